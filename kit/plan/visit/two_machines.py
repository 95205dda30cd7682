"""Machines compared for the season planned: one that holds its heat against one that cools between hives."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import pandas as pd

from kit.calc.machines import (
    BreakEvenSwing,
    Machine,
    break_even_colonies,
    break_even_sensitivity,
    cools_between,
    costs,
    holds_heat,
)
from kit.constants.treatment_words import SUBLIMATION
from kit.plan.jobs import Means
from kit.plan.rota import Rota

MACHINE_COLUMNS = [
    *("machine", "minutes_a_colony", "people", "colonies_a_day", "person_hours", "cost_a_year", "cost_a_treatment"),
    *("pays_from_colonies", "basis"),
]
SWING_COLUMNS = ["input", "low", "high", "unit", "pays_from_at_low", "pays_from_at_high"]
WORDS = {
    "pan heating": ("heating the pan", "min"),
    "pan cooling": ("cooling the pan", "min"),
    "dosing": ("a heated dose", "min"),
    "outlay": ("price", ""),
    "life": ("life", "years"),
    "rounds": ("rounds a year", ""),
    "labour": ("an hour's worth", ""),
}
"""An input of the break-even as a reader would call it, and its unit."""


class Season(NamedTuple):
    """What the season planned asks of a machine."""

    colonies: int
    rounds: float
    colonies_per_visit: float
    hours_a_day: float


def season_of(rota: Rota, means: Means) -> Season | None:
    """Colonies, rounds, visits and hours at the hives of a day; None when nothing is sublimated."""
    visits = [v for v in rota.visits if v.job.wish.word == SUBLIMATION]
    if not visits:
        return None
    doses = sum(v.job.hives for v in visits)
    sites = {v.job.site.apiary: v.job.site.hives for v in visits}
    driving = sum(day.drive_min for day in rota.days) / max(len(rota.days), 1) / 60
    colonies = sum(sites.values())
    return Season(colonies, doses / colonies, doses / len(visits), max(means.hours - driving, 0.5))


def machines_table(rota: Rota, means: Means, outlay: float | None) -> pd.DataFrame:
    """One row for each way of working; columns `MACHINE_COLUMNS`. Empty when nothing is sublimated.

    `outlay` is what the own sublimator and inverter cost, None for the trade's usual [currency].
    """
    season = season_of(rota, means)
    if season is None:
        return pd.DataFrame(columns=MACHINE_COLUMNS)
    both = [_own(machine, means) for machine in (holds_heat(), cools_between())]
    both[0] = replace(both[0], outlay=both[0].outlay if outlay is None else outlay)
    even = break_even_colonies(
        *both,
        rounds=season.rounds,
        labour_per_hour=means.labour_per_hour,
        colonies_per_visit=season.colonies_per_visit,
    )
    rows = [_row(machine, season, means, outlay) | {"pays_from_colonies": even} for machine in both]
    rows[1]["pays_from_colonies"] = float("nan")
    return pd.DataFrame(rows, columns=MACHINE_COLUMNS)


def _own(machine: Machine, means: Means) -> Machine:
    """At one's own pace and with one's own people, who share the work of a colony."""
    hands = means.hands
    return replace(
        machine,
        minutes_per_colony=machine.minutes_per_colony * hands.own_pace / hands.crew.people,
        minutes_per_visit=machine.minutes_per_visit * hands.own_pace,
        people=hands.crew.people,
    )


def _row(machine: Machine, season: Season, means: Means, outlay: float | None) -> dict[str, Any]:
    found = costs(
        machine,
        colonies=season.colonies,
        rounds=season.rounds,
        colonies_per_visit=season.colonies_per_visit,
        labour_per_hour=means.labour_per_hour,
        hours=season.hours_a_day,
    )
    pace = "your own pace" if means.hands.paced_on else "the trade's usual minutes"
    own = outlay is not None and machine.name == holds_heat().name
    return {
        "machine": machine.name, "minutes_a_colony": machine.minutes_per_colony, "people": machine.people,
        "colonies_a_day": found.colonies_per_day, "person_hours": found.hours, "cost_a_year": found.money,
        "cost_a_treatment": found.per_treatment,
        "basis": f"{pace}; price {'of your gear' if own else 'as the trade has it'}",
    }  # fmt: skip


def swings_table(rota: Rota, means: Means, outlay: float | None) -> pd.DataFrame:
    """Which input moves the break-even most, the largest first; columns `SWING_COLUMNS`."""
    season = season_of(rota, means)
    if season is None:
        return pd.DataFrame(columns=SWING_COLUMNS)
    found = break_even_sensitivity(
        labour_per_hour=means.labour_per_hour,
        colonies_per_visit=season.colonies_per_visit,
        pace=means.hands.own_pace,
        rounds=season.rounds,
        outlay=outlay,
    )
    return pd.DataFrame([_swing(swing) for swing in found], columns=SWING_COLUMNS)


def _swing(swing: BreakEvenSwing) -> dict[str, Any]:
    word, unit = WORDS[swing.what]
    ends = {"pays_from_at_low": swing.colonies_at_low, "pays_from_at_high": swing.colonies_at_high}
    return {"input": word, "low": swing.low, "high": swing.high, "unit": unit, **ends}


def outlay_of(gear: pd.DataFrame) -> float | None:
    """What one sublimator that holds its heat cost, with the inverter; None when no price is recorded [currency]."""
    holding = gear[(gear["kind"] == "sublimator") & (gear["type"] != "pan")]["cost"].dropna()
    inverter = gear[gear["kind"] == "inverter"]["cost"].dropna()
    if holding.empty:
        return None
    return float(holding.median()) + (float(inverter.median()) if len(inverter) else 0.0)
