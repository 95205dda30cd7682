r"""Brood and bees through a year.

.. math::
    W_t &= s\,(1-q_t)\,E_{t-9} \qquad D_t = s\,q_t\,E_{t-10} \\
    A_t &= k_t A_{t-1}\,(1-m_t) + W_{t-12} + D_{t-14}

:math:`E` eggs laid, after an event no more than :math:`A` bees can raise;
:math:`q` the share of drones among them, :math:`s` the share that reaches a capped cell,
:math:`W, D` worker and drone cells capped that day, :math:`A` adults, :math:`k` the share of bees that stays
(a split or swarm takes the rest), :math:`m` daily death of adults. :math:`m` is not assumed: it is what keeps the
year's own eggs and adults in balance, so that a year without events follows its monthly adults exactly, and a colony
whose queen is caged or that swarms leaves them as its births and deaths say.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit import checks
from kit.constants import bees
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]

WORKER_OPEN = int(bees.WORKER_UNCAPPED_DAYS.value)
WORKER_CAPPED = int(bees.WORKER_CAPPED_DAYS.value)
DRONE_OPEN = int(bees.DRONE_UNCAPPED_DAYS.value)
DRONE_CAPPED = int(bees.DRONE_CAPPED_DAYS.value)
MEMORY_DAYS = DRONE_OPEN + DRONE_CAPPED
"""How far back laying still shows in the brood."""
_MID_MONTH = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349], dtype=float)
_YEAR = 365.25


class BroodCurves(NamedTuple):
    """A stretch of days of one colony; each array of shape (days,)."""

    adults: FloatArray
    """Adult bees at the end of the day."""
    worker_cells: FloatArray
    """Worker cells capped that day."""
    drone_cells: FloatArray
    """Drone cells capped that day."""
    bees_kept: FloatArray
    """Share of the bees that stays that day (1 on all but a split's or swarm's)."""
    brood_kept: FloatArray
    """Share of the brood that stays that day."""

    @property
    def capped_worker(self) -> FloatArray:
        """Capped worker cells standing at the end of each day, shape (days,)."""
        return _standing(self.worker_cells, self.brood_kept, WORKER_CAPPED)

    @property
    def capped_drone(self) -> FloatArray:
        """Capped drone cells standing at the end of each day, shape (days,)."""
        return _standing(self.drone_cells, self.brood_kept, DRONE_CAPPED)


class Leaving(NamedTuple):
    """Bees and brood that leave on a day: a split, a swarm, a sale of combs."""

    on: date
    bees_pct: float
    brood_pct: float


class LayingStop(NamedTuple):
    """Days without eggs: `begin` is the first of them, `end` the first day with eggs again."""

    begin: date
    end: date


@dataclass(frozen=True, slots=True)
class BroodYear:
    """The bees of one colony by day of the year, with what befell them.

    Parameters
    ----------
    eggs : tuple of 12 float
        Eggs laid a day in the middle of each month, January first, straight lines between [1/d].
    adults : tuple of 12 float
        Adult bees in the middle of each month [1].
    drone_share : float
        Drones among the eggs at the height of the season, less as laying is less [1].
    shift_days : float
        Season later (+) or earlier (−) by so many days [d].
    stops : tuple of LayingStop
        Queen caged, brood break, requeening.
    leavings : tuple of Leaving
        Splits and swarms.

    Raises
    ------
    ValidityError
        For negative or NaN numbers, or fewer than one adult bee.

    Examples
    --------
    >>> BroodYear().scaled(0.5).adults[6]
    20000.0
    """

    eggs: tuple[float, ...] = tuple(c.value for c in bees.EGGS)
    adults: tuple[float, ...] = tuple(c.value for c in bees.ADULTS)
    drone_share: float = bees.DRONE_SHARE.value
    shift_days: float = 0.0
    stops: tuple[LayingStop, ...] = ()
    leavings: tuple[Leaving, ...] = ()

    def __post_init__(self) -> None:
        if len(self.eggs) != 12 or len(self.adults) != 12:
            raise ValidityError(f"eggs and adults must hold 12 months: got {len(self.eggs)} and {len(self.adults)}")
        for value in self.eggs:
            checks.not_negative("eggs", value)
        for value in self.adults:
            checks.within("adults", value, 1, 200_000)
        checks.within("drone_share", self.drone_share, 0, 1)
        checks.within("shift_days", self.shift_days, -180, 180)

    def scaled(self, strength: float) -> "BroodYear":
        """The same year with eggs and adults times `strength` [1]."""
        checks.positive("strength", strength)
        eggs, adults = tuple(e * strength for e in self.eggs), tuple(a * strength for a in self.adults)
        return replace(self, eggs=eggs, adults=adults)

    def shifted(self, days: float) -> "BroodYear":
        """The same year later (+) or earlier (−) by `days` [d]; events keep their dates."""
        return replace(self, shift_days=self.shift_days + days)

    def without_laying(self, begin: date, end: date) -> "BroodYear":
        """No eggs from `begin` until before `end`: a queen caged, a brood break.

        Raises
        ------
        ValidityError
            When `end` is not after `begin`.
        """
        if end <= begin:
            raise ValidityError(f"end of the laying stop must be after {begin}: got {end}")
        return replace(self, stops=(*self.stops, LayingStop(begin, end)))

    def caged(self, on: date, days: int = int(bees.CAGED_DAYS.value)) -> "BroodYear":
        """Queen caged on a day for `days` [d]."""
        return self.without_laying(on, on + timedelta(days=days))

    def parted(self, on: date, *, bees_pct: float, brood_pct: float, queenless_days: int = 0) -> "BroodYear":
        """Split or swarm: a share of bees and of brood leaves, and no eggs follow for `queenless_days` [d].

        Parameters
        ----------
        on : date
            The day they leave.
        bees_pct, brood_pct : float
            Leaving [%]. A swarm takes about 60 % of the bees and no brood, and the young queen lays some 25 days later
            (common practice).
        queenless_days : int
            Days without eggs from that day [d].
        """
        checks.within("bees_pct", bees_pct, 0, 99)
        checks.within("brood_pct", brood_pct, 0, 100)
        year = replace(self, leavings=(*self.leavings, Leaving(on, bees_pct, brood_pct)))
        return year.without_laying(on, on + timedelta(days=queenless_days)) if queenless_days else year

    def curves(self, start: date, days: int) -> BroodCurves:
        """The bees on each day from `start`.

        Parameters
        ----------
        start : date
            First day.
        days : int
            Number of days, at least 1 [d].

        Returns
        -------
        BroodCurves
            Each array of shape (days,), index i = day `start` + i.
        """
        if days < 1:
            raise ValidityError(f"days must be >= 1: got {days}")
        if not self.stops and not self.leavings:
            return _quiet(self, start, days)
        return _eventful(self, start, days)


def default_year() -> BroodYear:
    """The default maritime-temperate year."""
    return BroodYear()


def broodless(adults: float = bees.BROODLESS_ADULTS.value) -> BroodYear:
    """A colony without brood all year: the limit in which kill can be read off.

    Parameters
    ----------
    adults : float
        Adult bees, every day [1].

    Returns
    -------
    BroodYear
        Without a single egg.

    Raises
    ------
    ValidityError
        For fewer than one bee.

    Examples
    --------
    >>> float(broodless().curves(date(2025, 12, 1), 1).adults[0])
    12000.0
    """
    return BroodYear(eggs=(0.0,) * 12, adults=(float(adults),) * 12)


def _by_day(months: Sequence[float], day_of_year: FloatArray) -> FloatArray:
    found: FloatArray = np.interp(day_of_year, _MID_MONTH, np.asarray(months, dtype=float), period=_YEAR)
    return found


def _days_of_year(first: date, days: int, shift: float) -> FloatArray:
    return first.timetuple().tm_yday - 1 - shift + np.arange(days, dtype=float)


def _laid(year: BroodYear, first: date, days: int) -> tuple[FloatArray, FloatArray]:
    """Worker and drone eggs that reach a capped cell, by day of laying, before any event."""
    eggs = _by_day(year.eggs, _days_of_year(first, days, year.shift_days))
    share = year.drone_share * np.clip(eggs / max(*year.eggs, 1e-9) * 1.5 - 0.25, 0, 1)
    return bees.EGG_TO_CAPPED.value * (1 - share) * eggs, bees.EGG_TO_CAPPED.value * share * eggs


def _quiet(year: BroodYear, start: date, days: int) -> BroodCurves:
    lead = MEMORY_DAYS
    worker, drone = _laid(year, start - timedelta(days=lead), lead + days)
    adults = _by_day(year.adults, _days_of_year(start, days, year.shift_days))
    whole = np.ones(days)
    return BroodCurves(
        adults, worker[lead - WORKER_OPEN :][:days], drone[lead - DRONE_OPEN :][:days], whole, whole.copy()
    )


def _eventful(year: BroodYear, start: date, days: int) -> BroodCurves:
    """Births and deaths day by day from before the first event that can still be felt."""
    first = min(start, _first_event(year)) - timedelta(days=MEMORY_DAYS + 1)
    lead = (start - first).days
    quiet = _quiet(replace(year, stops=(), leavings=()), first, lead + days)
    worker, drone, bees_kept, brood_kept = _with_events(year, quiet, first)
    adults = _grown(year, quiet, first, (worker, drone, bees_kept, brood_kept))
    return BroodCurves(adults[lead:], worker[lead:], drone[lead:], bees_kept[lead:], brood_kept[lead:])


def _grown(
    year: BroodYear, quiet: BroodCurves, first: date, of: tuple[FloatArray, FloatArray, FloatArray, FloatArray]
) -> FloatArray:
    """Adults day by day after events; cells that so few bees cannot raise are taken out of `of`, in place."""
    worker, drone, bees_kept, brood_kept = of
    adults, death, stays = quiet.adults.copy(), _death(year, quiet, first), np.cumprod(brood_kept)
    raised, begun = bees.EGG_TO_CAPPED.value * bees.MOST_EGGS.value, (_first_event(year) - first).days
    for t in range(MEMORY_DAYS + 1, len(adults)):
        born = sum(
            cells[t - capped] * stays[t] / max(stays[t - capped], 1e-300)
            for cells, capped in ((worker, WORKER_CAPPED), (drone, DRONE_CAPPED))
        )
        adults[t] = max(1.0, bees_kept[t] * adults[t - 1] * (1 - death[t]) + born)
        if t >= begun:
            _no_more_than(raised * adults[t], worker, drone, t)
    return adults


def _first_event(year: BroodYear) -> date:
    return min([stop.begin for stop in year.stops] + [gone.on for gone in year.leavings])


def _no_more_than(most: float, worker: FloatArray, drone: FloatArray, laid: int) -> None:
    """Cells of the eggs laid on a day cut to what the bees of that day can raise, in place."""
    cells = worker[laid + WORKER_OPEN :][:1], drone[laid + DRONE_OPEN :][:1]
    share = min(1.0, most / max(sum(float(each.sum()) for each in cells), 1e-300))
    for each in cells:
        each *= share


def _with_events(
    year: BroodYear, quiet: BroodCurves, first: date
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    days = len(quiet.adults)
    worker, drone = quiet.worker_cells.copy(), quiet.drone_cells.copy()
    for stop in year.stops:
        a, b = (stop.begin - first).days, (stop.end - first).days
        worker[_span(a + WORKER_OPEN, b + WORKER_OPEN, days)] = 0.0
        drone[_span(a + DRONE_OPEN, b + DRONE_OPEN, days)] = 0.0
    bees_kept, brood_kept = np.ones(days), np.ones(days)
    for gone in year.leavings:
        t = (gone.on - first).days
        if t < days:
            bees_kept[t] *= 1 - gone.bees_pct / 100
            brood_kept[t] *= 1 - gone.brood_pct / 100
            worker[t : t + WORKER_OPEN] *= 1 - gone.brood_pct / 100
            drone[t : t + DRONE_OPEN] *= 1 - gone.brood_pct / 100
    return worker, drone, bees_kept, brood_kept


def _span(begin: int, end: int, days: int) -> slice:
    return slice(min(max(begin, 0), days), min(max(end, 0), days))


def _death(year: BroodYear, quiet: BroodCurves, first: date) -> FloatArray:
    """Daily death that keeps the year's own eggs and adults in balance, within its bounds."""
    lead = MEMORY_DAYS + 1
    days = len(quiet.adults)
    longer = _quiet(replace(year, stops=(), leavings=()), first - timedelta(days=lead), lead + days)
    whole = np.ones(lead + days)
    births = _emerging(longer.worker_cells, whole, WORKER_CAPPED) + _emerging(longer.drone_cells, whole, DRONE_CAPPED)
    before, after = longer.adults[lead - 1 : -1], longer.adults[lead:]
    death = (before + births[lead:] - after) / before
    return np.clip(death, bees.ADULT_DEATH_LOW.value, bees.ADULT_DEATH_HIGH.value)


def _emerging(cells: FloatArray, kept: FloatArray, capped_days: int) -> FloatArray:
    """Bees emerging by day: cells capped `capped_days` before, less what left in between."""
    share = np.cumprod(kept)
    out = np.zeros_like(cells)
    out[capped_days:] = cells[:-capped_days] * share[capped_days:] / np.maximum(share[:-capped_days], 1e-300)
    out[:capped_days] = cells[0]  # before the first day the brood is taken as even
    return out


def _standing(cells: FloatArray, kept: FloatArray, capped_days: int) -> FloatArray:
    share = np.maximum(np.cumprod(kept), 1e-300)
    weighed = np.concatenate([np.full(capped_days - 1, cells[0]), cells / share])
    standing: FloatArray = np.convolve(weighed, np.ones(capped_days), mode="valid") * share
    return standing
