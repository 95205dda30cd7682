"""The bees of every hive by its records: the usual year early and late, with splits, swarms, caged queens.

A split takes bees and brood and stands queenless until its young queen lays; a swarm takes bees alone. The numbers and
their grades are in `kit.constants.bees`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.calc.brood import DRONE_CAPPED, WORKER_CAPPED, BroodYear, default_year
from kit.calc.lanes import brood_curves
from kit.calc.treatments import year_with
from kit.constants import bees as known
from kit.constants import hives
from kit.season.posterior.descent import Birth
from kit.season.posterior.given import Given
from kit.season.splits import SPLIT, SWARM
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


def bees(
    records: Records, born: Mapping[str, Birth], units: Sequence[Unit], doses: Sequence[Given], start: date, days: int
) -> Bees:
    """The bees of one apiary's units; `born` are the colonies split off in the season."""
    lives = Lives(records.in_season("events"), born)
    stopped = [
        year_with(USUAL, [one.dose for one in doses if one.stops_laying and one.share[n] > MOSTLY])
        for n in range(len(units))
    ]
    years = [lives.of(u.colony, year) if u.scope == COLONY else year for u, year in zip(units, stopped, strict=True)]
    return bees_of(years, start, days)


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


class Lives:
    """What befell numbered colonies, before they were split off as well.

    Parameters
    ----------
    events : DataFrame
        The sheet of that name.
    born : mapping
        Colonies split off in the season.
    """

    def __init__(self, events: pd.DataFrame, born: Mapping[str, Birth]) -> None:
        self.events = events.sort_values(["date", "kind"], kind="stable").to_dict("records")
        self.born = born

    def of(self, colony: str, year: BroodYear, until: date = date.max) -> BroodYear:
        """The year of a colony after all that happened to it before a day."""
        birth = self.born.get(colony)
        if birth is not None and birth.on < until:
            whole = self.of(birth.parent, year, birth.on) if birth.parent else year
            year = split_off(whole, birth.on)
        for row in self.events:
            on, made = row["date"].date(), row["to"] == colony
            if colony not in (row["from"], row["to"]) or on >= until:
                continue
            if birth is None or on > birth.on or (on == birth.on and not made):
                year = _befallen(year, str(row["kind"]), on, made=made)
        return year


def _befallen(year: BroodYear, kind: str, on: date, *, made: bool) -> BroodYear:
    """The year after an event; `made`: bees of another were given to this colony, which raised a queen with them."""
    if kind == SWARM:
        return year.parted(on, bees_pct=known.SWARM_PCT.value, brood_pct=0, queenless_days=QUEENLESS_DAYS)
    if kind == SPLIT and made:
        return year.without_laying(on, on + timedelta(days=QUEENLESS_DAYS))
    if kind == SPLIT:
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
