"""The bees of every hive by its records: the usual year early and late, with splits, swarms, caged queens.

A split takes bees and brood and stands queenless until its young queen lays; a swarm takes bees alone. The numbers and
their grades are in `kit.constants.bees`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kit.calc.brood import DRONE_CAPPED, WORKER_CAPPED, BroodYear, default_year
from kit.calc.lanes import brood_curves
from kit.calc.treatments import year_with
from kit.constants import bees as known
from kit.constants import hives
from kit.season.posterior.given import Given
from kit.season.units import COLONY, Unit
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records

SHIFTS = np.arange(-24.0, 25.0, 4.0)
"""Days by which the season is early or late in the rows of one hive."""
QUEENLESS_DAYS = int(known.QUEENLESS_DAYS.value)
DRONES_UNTIL = (190, 235)
"""Days of the year between which colonies stop raising drones: July and August (common practice, no source)."""
MOSTLY = 0.5


USUAL = BroodYear(
    eggs=tuple(
        float(np.sqrt(mild.value * eggs)) for mild, eggs in zip(hives.MILD_EGGS, default_year().eggs, strict=True)
    ),
    drone_share=hives.DRONE_SHARE.value,
)
"""The usual year of the reading: laying between the law's default and a mild year's."""


@dataclass(frozen=True)
class Bees:
    """Rows of bees by day, and the first row of each unit.

    Parameters
    ----------
    curves : ndarray, shape (rows, days, 5)
        As `kit.calc.lanes.brood_curves` makes them.
    first : ndarray, shape (units,)
        The unit's row of the earliest season; one row for each of `SHIFTS` follows.
    days : int
        Days of the season; the rows begin some days before it.
    """

    curves: Array
    first: Array
    days: int

    def row(self, shift_days: Array, units: NDArray[np.int64]) -> Array:
        """Rows, with fractions between, of units whose season is later by some days."""
        step = SHIFTS[1] - SHIFTS[0]
        return np.asarray(self.first[units] + np.clip((shift_days - SHIFTS[0]) / step, 0, len(SHIFTS) - 1))

    def capped(self, row: Array, days: NDArray[np.int64]) -> Array:
        """Capped cells standing in some rows, with fractions between, on some days of the season: (rows, days)."""
        before = row.astype(int)
        part = (row - before)[:, None]
        after = np.minimum(before + 1, len(self.curves) - 1)
        return np.asarray((1 - part) * self._capped[before][:, days] + part * self._capped[after][:, days])

    @cached_property
    def _capped(self) -> Array:
        lead = self.curves.shape[1] - self.days
        found = []
        for cells, capped_days in ((self.curves[:, :, 1], WORKER_CAPPED), (self.curves[:, :, 2], DRONE_CAPPED)):
            sums = np.cumsum(cells, axis=1)
            found.append((sums - np.pad(sums, ((0, 0), (capped_days, 0)))[:, : sums.shape[1]])[:, lead:])
        return np.asarray(found[0] + found[1])


def bees(records: Records, units: Sequence[Unit], doses: Sequence[Given], start: date, days: int) -> Bees:
    """The bees of one apiary's units."""
    return bees_of([_year(records, unit, n, doses) for n, unit in enumerate(units)], start, days)


def bees_of(years: Sequence[BroodYear], start: date, days: int) -> Bees:
    """The bees of units whose years are known."""
    each = list(dict.fromkeys(years))
    curves = brood_curves([year.shifted(float(shift)) for year in each for shift in SHIFTS], start, days)
    curves[:, :, 2] *= _drones(start, curves.shape[1] - days, days)
    return Bees(curves, np.array([each.index(year) * len(SHIFTS) for year in years], dtype=float), days)


def _drones(start: date, lead: int, days: int) -> Array:
    """Drone cells of each day against what the law takes: none are raised once colonies throw drones out."""
    on = [(start + timedelta(days=n)).timetuple().tm_yday for n in range(-lead, days)]
    return np.interp(on, DRONES_UNTIL, (1.0, 0.0))


def _year(records: Records, unit: Unit, number: int, doses: Sequence[Given]) -> BroodYear:
    year = year_with(USUAL, [one.dose for one in doses if one.stops_laying and one.share[number] > MOSTLY])
    if unit.scope != COLONY:
        return year
    events = records.in_season("events")
    for row in events.sort_values(["date", "kind"], kind="stable").to_dict("records"):
        if unit.colony in (row["from"], row["to"]):
            year = _befallen(year, str(row["kind"]), row["date"].date(), left=unit.colony == row["to"])
    return year


def _befallen(year: BroodYear, kind: str, on: date, *, left: bool) -> BroodYear:
    """The year after an event; `left`: this colony is the one that was made by it."""
    if kind == "swarm":
        return year.parted(on, bees_pct=known.SWARM_PCT.value, brood_pct=0, queenless_days=QUEENLESS_DAYS)
    if kind == "split" and left:
        return year.without_laying(on, on + timedelta(days=QUEENLESS_DAYS))
    if kind == "split":
        return split_from(year, on)
    if kind == "requeened":
        return year.without_laying(on, on + timedelta(days=QUEENLESS_DAYS // 2))
    return year.caged(on) if kind == "caged" else year


def split_from(year: BroodYear, on: date) -> BroodYear:
    """The year of a hive from which a part is split off; it keeps its queen."""
    share = known.SPLIT_PCT.value
    return year.parted(on, bees_pct=share, brood_pct=share)


def split_off(year: BroodYear, on: date) -> BroodYear:
    """The year of the part: it takes its share of a whole hive and raises a queen."""
    rest = 100 - known.SPLIT_PCT.value
    return year.parted(on, bees_pct=rest, brood_pct=rest, queenless_days=QUEENLESS_DAYS)
