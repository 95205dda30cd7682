"""What the season's gear is good for: checks in short, doses of a charge and what moves them, machines' own numbers.

=======================  ======================================================================================
table                    one row is
=======================  ======================================================================================
`gear_summary`           an item, supply and check: `item, verdict, check, times, recorded, expected_p05 _p50 _p95,
                         likely_cause, what_to_check`; `check` with its unit in brackets, `recorded` the median;
                         worst verdict first
`charge`                 a battery with a machine: `battery, sublimator, air_c, minutes_per_colony, doses_p05 _p50 _p95,
                         limit, caution`
`charge_swings`          an input of that: `battery, sublimator, input, low, high, unit, doses_at_low, doses_at_high`
`machine_numbers`        a number of a machine by its own times: `item, number, unit, value_p05 _p50 _p95, shrunk_pct,
                         found, advice`
`chamber`                a machine too cold or too hot by its seconds: see `kit.season.machines.chamber`
=======================  ======================================================================================
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.battery import Battery
from kit.calc.doses import Swing, doses_per_charge, doses_sensitivity
from kit.calc.fits import ADVICE, OwnTimes, fit_machine
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.errors import ValidityError
from kit.season.machines.chamber import chamber_warnings
from kit.season.machines.charges import USUAL_MINUTES, known_health_pct
from kit.season.machines.gear import gear_checks
from kit.season.machines.supplies import SupplyUsed, battery, battery_item, inverter, sublimator
from kit.season.machines.uses import air_or_usual, uses
from kit.season.machines.vapour import best_supply, supply_key

if TYPE_CHECKING:
    from kit.records.records import Records

SUMMARY = [
    *("item", "verdict", "check", "times", "recorded", "expected_p05", "expected_p50", "expected_p95"),
    *("likely_cause", "what_to_check"),
]
CHARGE = [
    *("battery", "sublimator", "air_c", "minutes_per_colony", "doses_p05", "doses_p50", "doses_p95", "limit", "caution")
]
SWINGS = ["battery", "sublimator", "input", "low", "high", "unit", "doses_at_low", "doses_at_high"]
NUMBERS = ["item", "number", "unit", "value_p05", "value_p50", "value_p95", "shrunk_pct", "found", "advice"]
FAULTS_FIRST = ("ran out early", "slow", "low", "not full", "fast", "in order", "not run down")
INPUT_WORDS = {
    "loss_w_per_k": ("heat lost to the air", "W/K"),
    "minutes_per_colony": ("minutes a colony", "min"),
    "dose_g": ("grams on the spoon", "g"),
    "health_pct": ("battery's age", "% left"),
    "exponent": ("toll of a high current", ""),
    "efficiency_pct": ("inverter's efficiency", "%"),
    "idle_w": ("inverter's own use", "W"),
    "battery_c": ("battery's temperature", "°C"),
    "internal_ohm": ("battery's resistance", "ohm"),
}
"""An input of `doses_per_charge` as a reader would call it."""
NUMBER_WORDS = {
    "heat_capacity_j_per_k": ("heat it stores", "J/K"),
    "loss_w_per_k": ("heat lost to the air", "W/K"),
    "contact_w_per_k": ("contact with the crystals", "W/K"),
    "power_w": ("power", "W"),
}
"""A number of a machine as a reader would call it, and its unit."""


def gear_tables(records: Records) -> dict[str, pd.DataFrame]:
    """The table `gear` and the five tables above, by name."""
    checks = gear_checks(records)
    return {
        "gear": checks,
        "gear_summary": gear_summary(checks),
        "charge": charge_outlook(records),
        "charge_swings": charge_swings(records),
        "machine_numbers": machine_numbers(records),
        "chamber": chamber_warnings(records),
    }


def gear_summary(checks: pd.DataFrame) -> pd.DataFrame:
    """The rows of `gear_checks` in short, one for each item, check and verdict; faults first."""
    columns = ["item", "kind", "check", "verdict", "likely_cause", "what_to_check"]
    units = checks["unit"].where(checks["unit"] != "colonies", "")
    checks = checks.assign(check=checks["check"] + units.map(lambda unit: f" [{unit}]" if unit else ""))
    numbers = ["recorded", "expected_p05", "expected_p50", "expected_p95"]
    grouped = checks.groupby(columns, sort=True)
    table = grouped[numbers].median().reset_index().assign(times=grouped.size().to_numpy())
    table = table.assign(order=table["verdict"].map(FAULTS_FIRST.index))
    return table.sort_values(["order", "kind", "item", "check"], kind="stable", ignore_index=True)[SUMMARY]


def charge_outlook(records: Records) -> pd.DataFrame:
    """Doses that a full charge of each battery should give, in the season's air and at its pace."""
    rows = []
    for day in _days(records):
        found = doses_per_charge(*day.objects, air_c=day.air_c, minutes_per_colony=day.minutes_per_colony)
        band = {"doses_p05": found.p05, "doses_p50": found.p50, "doses_p95": found.p95}
        place = {"air_c": day.air_c, "minutes_per_colony": day.minutes_per_colony}
        rows.append(day.names | place | band | {"limit": found.limit, "caution": found.caution})
    return pd.DataFrame(rows, columns=CHARGE)


def charge_swings(records: Records) -> pd.DataFrame:
    """What moves those doses most, each input from its 5 to its 95 % point; the largest first for each battery."""
    rows = [
        day.names | _swing(swing)
        for day in _days(records)
        for swing in doses_sensitivity(*day.objects, air_c=day.air_c, minutes_per_colony=day.minutes_per_colony)
    ]
    return pd.DataFrame(rows, columns=SWINGS)


def _swing(swing: Swing) -> dict[str, Any]:
    word, unit = INPUT_WORDS[swing.what]
    ends = {"doses_at_low": swing.doses_at_low, "doses_at_high": swing.doses_at_high}
    return {"input": word, "low": swing.low, "high": swing.high, "unit": unit, **ends}


class _Day(NamedTuple):
    """A battery at the health it showed, with the machine it fed most, in the season's mean air and at its own pace."""

    names: dict[str, Any]
    objects: tuple[Battery, Inverter, Sublimator]
    air_c: float
    minutes_per_colony: float


def _days(records: Records) -> Iterator[_Day]:
    used = uses(records)
    health = known_health_pct(records, used)
    items = [battery_item(records, SupplyUsed(*p)) for p in zip(used["supply_item"], used["supply_kind"], strict=True)]
    used = used.assign(battery=items)
    for item, own in used[used["battery"] != ""].groupby("battery"):
        named = own.loc[own["sublimator"] != "", "sublimator"].mode()
        machine = str(named.iloc[0]) if len(named) else ""
        timed = own[own["minutes"].notna() & (own["colonies_done"] > 0)]
        pace = timed["minutes"].sum() / timed["colonies_done"].sum() if len(timed) else USUAL_MINUTES
        own_battery = battery(records, str(item))
        own_battery = replace(own_battery, health_pct=health.get(str(item), own_battery.health_pct))
        objects = own_battery, inverter(records), sublimator(records, machine)
        names = {"battery": str(item), "sublimator": machine}
        yield _Day(names, objects, air_or_usual(own["air_c"].mean()), float(pace))


def machine_numbers(records: Records) -> pd.DataFrame:
    """Capacity, loss, contact and power of each machine by its own times, and what those times cannot tell.

    Times on the supply it did best on are used. A machine that nothing was timed of has no row; one whose times fit
    no machine of its watts has a single row that says so.
    """
    rows: list[dict[str, Any]] = []
    for item, own in uses(records).groupby("sublimator"):
        timed = own[own[["expel_s", "warm_up_min"]].notna().any(axis=1)]
        if item and len(timed):
            best = timed[supply_key(timed) == best_supply(timed)]
            rows += [{"item": item, **row} for row in _numbers(sublimator(records, str(item)), best)]
    return pd.DataFrame(rows, columns=NUMBERS)


def _numbers(machine: Sublimator, timed: pd.DataFrame) -> list[dict[str, Any]]:
    dose_g = timed["dose_g"].median()
    times = OwnTimes(
        tuple(timed["warm_up_min"].dropna()),
        tuple(timed["expel_s"].dropna()),
        air_c=air_or_usual(timed["air_c"].mean()),
        dose_g=machine.dose_g if np.isnan(dose_g) else float(dose_g),
    )
    try:
        fit = fit_machine(times, watts=machine.watts, hold_c=machine.hold_c)
    except ValidityError as error:
        return [{"number": "", "advice": str(error), "found": False}]
    return [
        {
            **dict(zip(("number", "unit"), NUMBER_WORDS[n.name], strict=True)),
            "shrunk_pct": n.shrunk_pct, "found": n.found,
            **dict(zip(("value_p05", "value_p50", "value_p95"), n.band, strict=True)),
            "advice": "" if n.found else ADVICE[n.name],
        }
        for n in fit.numbers
    ]  # fmt: skip
