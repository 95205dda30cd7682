"""The usual year as the season reading takes it, day by day: growth, brood, bees, and what falls on a board."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from kit.constants import reading

Array = NDArray[np.float64]

_MID_MONTH = (-16, 15, 46, 75, 105, 135, 166, 196, 227, 258, 288, 319, 349, 380)
_GROWTH = (-0.003, -0.002, 0.0, 0.010, 0.022, 0.025, 0.025, 0.024, 0.021, 0.012, 0.0, -0.003)
_IN_BROOD = (0.05, 0.35, 0.55, 0.68, 0.72, 0.72, 0.70, 0.67, 0.60, 0.35, 0.12, 0.03)
_ADULTS = (11e3, 10e3, 10e3, 14e3, 26e3, 38e3, 40e3, 33e3, 25e3, 18e3, 15e3, 13e3)
_FACTOR = (400, 400, 100, 60, 30, 30, 30, 30, 60, 100, 400, 400)


@dataclass(frozen=True)
class Usual:
    """The usual year from `start`, one value for each day.

    Parameters
    ----------
    start : date
        Day of index 0.
    growth : ndarray, shape (days,)
        Rate of growth of all mites, uncrowded [1/day].
    in_brood : ndarray, shape (days,)
        Share of mites in capped cells [1].
    adults : ndarray, shape (days,)
        Adult bees of a full colony [bees].
    falling : ndarray, shape (days,)
        Share of all mites that falls on a board in a day without treatment [1/day].
    reinvasion : ndarray, shape (days,)
        Mites carried in [mites/day].
    """

    start: date
    growth: Array
    in_brood: Array
    adults: Array
    falling: Array
    reinvasion: Array

    @property
    def days(self) -> int:
        """Number of days."""
        return len(self.growth)

    def index(self, on: date) -> int:
        """The index of a date; the first or last day for a date outside."""
        return min(max((on - self.start).days, 0), self.days - 1)


def usual_year(start: date, days: int) -> Usual:
    """The usual year of a full colony over `days` days from `start`."""
    dates = [start + timedelta(days=n) for n in range(days)]
    months = np.array([day.month for day in dates])
    autumn = (months >= 7) & (months <= 10)
    rest = reading.REINVASION_REST.value / 100
    return Usual(
        start=start,
        growth=_smooth(_GROWTH, dates),
        in_brood=_smooth(_IN_BROOD, dates),
        adults=np.exp(_smooth(tuple(np.log(_ADULTS)), dates)),
        falling=np.exp(-_smooth(tuple(np.log(_FACTOR)), dates)),
        reinvasion=reading.REINVASION.value * np.where(autumn, 1.0, rest),
    )


def _smooth(by_month: tuple[float, ...], dates: list[date]) -> Array:
    day_of_year = np.array([day.timetuple().tm_yday for day in dates], dtype=float)
    return np.interp(day_of_year, _MID_MONTH, (by_month[-1], *by_month, by_month[0]))
