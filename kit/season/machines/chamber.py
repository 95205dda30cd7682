"""Chambers that their seconds make out to be too cold or too hot for the dose, with what else may explain them.

Columns of the table `chamber`: `item, supply, times, dose_g, seconds, chamber_c_p05 _p50 _p95, warning, likely_cause`,
one row for a machine on a supply whose middle seconds call for a warning. No sheet holds a chamber's temperature: it
is the one that would give those seconds with everything else in good order, so `likely_cause` stands beside it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pandas as pd
from scipy.optimize import brentq

from kit.calc.expulsion import expel_s, temperature_warnings
from kit.calc.ranges import Band
from kit.calc.sublimator import Sublimator
from kit.constants import chemistry
from kit.constants import heat as k
from kit.season.machines.uses import air_or_usual, uses
from kit.season.machines.vapour import Pairing, pairings, supply_key

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    *("item", "supply", "times", "dose_g", "seconds", "chamber_c_p05", "chamber_c_p50", "chamber_c_p95"),
    *("warning", "likely_cause"),
]
COLDEST_C = chemistry.SUBLIMES_C.value + 1
HOTTEST_C = 400.0
"""The range in which a chamber is looked for; seconds beyond it are told by its ends."""


def chamber_warnings(records: Records) -> pd.DataFrame:
    """The rows above, the slowest first; empty when no seconds are recorded or all chambers seem in order."""
    used = uses(records)
    rows = []
    for (item, key), pairing in pairings(records).items():
        timed = used[(used["sublimator"] == item) & (supply_key(used) == key) & used["expel_s"].notna()]
        rows += [row for row in [_row(pairing, timed)] if len(timed) and row["warning"]]
    table = pd.DataFrame(rows, columns=COLUMNS)
    return table.sort_values("seconds", ascending=False, kind="stable", ignore_index=True)


def _row(pairing: Pairing, timed: pd.DataFrame) -> dict[str, Any]:
    machine, seconds = pairing.machine, float(timed["expel_s"].median())
    dose = timed["dose_g"].median()
    dose_g = machine.dose_g if math.isnan(dose) else float(dose)
    band = chamber_band_c(machine, seconds, dose_g, air_or_usual(timed["air_c"].mean())) if len(timed) else None
    warnings = temperature_warnings(band.p50, dose_g) if band else ()
    return {
        "item": pairing.item, "supply": pairing.supply.said, "times": len(timed), "dose_g": dose_g, "seconds": seconds,
        **dict(zip(("chamber_c_p05", "chamber_c_p50", "chamber_c_p95"), band or (math.nan,) * 3, strict=True)),
        "warning": " ".join(warnings),
        "likely_cause": pairing.likely if seconds > machine.expel_s else "a short dose, or a thermostat set high",
    }  # fmt: skip


def chamber_band_c(machine: Sublimator, seconds: float, dose_g: float, air_c: float) -> Band:
    """Chamber that would give these seconds with the machine otherwise in good order, by the watch's scatter.

    Parameters
    ----------
    machine : Sublimator
        In good order.
    seconds : float
        One dose [s].
    dose_g : float
        Crystals [g].
    air_c : float
        [°C].

    Returns
    -------
    Band
        Between `COLDEST_C` and `HOTTEST_C` [°C].
    """
    spread = math.exp(1.645 * k.STOPWATCH_REL.value)
    return Band(*(_chamber_c(machine, s, dose_g, air_c) for s in (seconds * spread, seconds, seconds / spread)))


def _chamber_c(machine: Sublimator, seconds: float, dose_g: float, air_c: float) -> float:
    def miss(chamber_c: float) -> float:
        chamber = machine.chamber._replace(hold_c=chamber_c)
        return 1 / seconds - 1 / float(expel_s(dose_g, chamber, chamber_c=chamber_c, air_c=air_c))

    if miss(COLDEST_C) <= 0:
        return COLDEST_C
    return HOTTEST_C if miss(HOTTEST_C) >= 0 else float(brentq(miss, COLDEST_C, HOTTEST_C, xtol=1e-6))
