"""The kit of each visit, counted out and back, and what protects whoever goes."""

from __future__ import annotations

import math
from datetime import date
from typing import NamedTuple

import pandas as pd

from kit.constants import plan
from kit.constants.treatment_words import OXALIC, SUBLIMATION
from kit.plan.ahead import Ahead, day_of
from kit.plan.jobs import Means
from kit.plan.rota import Rota, Visit
from kit.plan.visit.power import refusal
from kit.plan.visit.visits import deed, visit_id

KIT_COLUMNS = ["visit_id", "apiary", "date", "item", "count", "note"]


class Gear(NamedTuple):
    """Dates on which protection falls due, None when not recorded, and batteries by id."""

    filter_due: date | None
    fit_due: date | None
    batteries: tuple[str, ...]


def gear_of(gear: pd.DataFrame) -> Gear:
    """Filters, fit tests and batteries of the sheet `gear`."""

    def due(kind: str) -> date | None:
        return day_of(gear.loc[gear["kind"] == kind, "expires"].min())

    return Gear(due("mask filter"), due("face fit"), tuple(gear.loc[gear["kind"] == "battery", "item"]))


def kit_table(rota: Rota, ahead: Ahead, means: Means, gear: Gear) -> pd.DataFrame:
    """One row for each thing to take to each visit; columns `KIT_COLUMNS`."""
    rows = [
        {
            "visit_id": visit_id(v, ahead.label),
            "apiary": v.job.wish.apiary,
            "date": v.day,
            "item": item,
            "count": n,
            "note": note,
        }
        for v in rota.visits
        for item, n, note in kit_for(v, means, gear)
    ]
    return pd.DataFrame(rows, columns=KIT_COLUMNS).astype({"date": "datetime64[us]", "count": "float64"})


Item = tuple[str, float, str]


def kit_for(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    """What one visit takes: item, how many, and what to mind."""
    if visit.job.wish.word == SUBLIMATION:
        return [*_sealing(visit, means), *_power(visit, means, gear), *_doses(visit), *_protection(visit, means, gear)]
    people = means.hands.crew.people
    what = [] if deed(visit) == "take out" else _doses(visit)
    taken = [("bag for used strips or trays", 1.0, "count them back")] if deed(visit) == "take out" else []
    return [*what, *taken, ("gloves, pairs", float(people), ""), ("visit sheet with pencil", 1.0, "")]


def _sealing(visit: Visit, means: Means) -> list[Item]:
    hives = visit.job.hives
    closed = float(min(hives, 2 * means.hands.crew.group_size))
    mesh = visit.job.site.floor != "solid"
    back = "counted out and back: a hive left sealed is a dead hive"
    trays = (
        [("trays", float(hives), "they seal the mesh and are the mite board: read at the next visit")] if mesh else []
    )
    return [*trays, ("entrance foams", closed, back), ("seals for gaps", closed, back)]


def _power(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    supply = visit.job.site.supply(visit.job.wish.window)
    machines: list[Item] = [
        ("sublimator", float(means.hands.crew.machines), "hot nozzle: never on polystyrene or dry grass"),
    ]
    if not visit.job.from_battery:
        minded = {
            "vehicle": "engine running in the open, exhaust downwind"
            if refusal(visit.job, means.charge)
            else "it must start again: stop in time",
            "generator": "in the open, 6 m away and downwind; fuel",
            "mains": "residual-current device; stop in the wet",
        }
        return [*machines, (f"power: {supply}", 1.0, minded[supply])]
    hives = visit.job.hives
    middle, poor = (means.charge.needed(hives, poor=case) for case in (False, True))
    which = f"of {', '.join(gear.batteries)}; " if gear.batteries else ""
    spare = f"take {poor}: the poor case needs them" if poor > middle else "full"
    return [
        *machines,
        ("battery, charged", float(poor), which + spare),
        ("inverter and leads", 1.0, "check power-up"),
    ]


def _doses(visit: Visit) -> list[Item]:
    job, wish = visit.job, visit.job.wish
    if wish.word not in OXALIC:
        if wish.amount is None:
            return [(f"{wish.product or wish.word}, for hives", float(job.hives), "by the label")]
        return [(f"{wish.product or wish.word}, {wish.unit}", job.hives * wish.amount, f"{wish.amount:g} a hive")]
    spare = spare_doses(job.hives)
    return [(f"doses of {wish.product or 'oxalic acid'}", float(job.hives + spare), f"{spare} of them spare")]


def spare_doses(hives: int) -> int:
    """Doses to spare at one visit."""
    return max(1, math.ceil(hives * plan.SPARE_DOSES_PCT.value / 100))


def _protection(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    people = float(means.hands.crew.people)
    return [
        ("full-face mask", people, _due("fit test", gear.fit_due, visit.day)),
        ("mask filter P3 with E", people, _due("filter", gear.filter_due, visit.day)),
        ("gloves, pairs", people, "closed sleeves"),
        ("water for eyes, litres", plan.EYE_WATER_L.value * people, "many minutes, then a doctor"),
        ("visit sheet with pencil", 1.0, ""),
    ]


def _due(what: str, due: date | None, day: date) -> str:
    if due is None:
        return f"{what} date not recorded: check it"
    return (
        f"{what} was due {due:%Y-%m-%d}: renew it before this visit" if due < day else f"{what} good to {due:%Y-%m-%d}"
    )
