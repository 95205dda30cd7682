"""The usual year as the season reading takes it, day by day: growth, brood, bees, and what falls on a board.

It comes out of the law of the mites (`kit.calc.mites`) for a full colony with few mites, left alone. The fall on a
board is the geometric middle of the law's and of the handbook's: the law says a 45th of the mites a day in summer,
the leaflet a 30th, other measurements 3 to 5 in a hundred, and no count in these records can say which holds
(managing_varroa, martin1998).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from kit.calc.counts import drop_factor
from kit.calc.mites import simulate
from kit.constants import reading

Array = NDArray[np.float64]

FEW_MITES = 10.0
"""Mites with which the law is asked: far from crowding, so that their number does not matter."""


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

    @property
    def end(self) -> date:
        """The last day."""
        return self.start + timedelta(days=self.days - 1)

    def index(self, on: date) -> int:
        """The index of a date; the first or last day for a date outside."""
        return min(max((on - self.start).days, 0), self.days - 1)


def usual_year(start: date, days: int) -> Usual:
    """The usual year of a full colony over `days` days from `start`."""
    law = simulate(start=start, days=days, mites=FEW_MITES)
    handbook = np.array([drop_factor(start + timedelta(days=n)).p50 for n in range(days)])
    months = np.array([(start + timedelta(days=n)).month for n in range(days)])
    autumn = (months >= 7) & (months <= 10)
    rest = reading.REINVASION_REST.value / 100
    return Usual(
        start=start,
        growth=np.diff(np.log(law.total), prepend=np.log(FEW_MITES)),
        in_brood=law.in_brood / law.total,
        adults=law.adults,
        falling=np.sqrt(law.board_drop_per_day / law.total / handbook),
        reinvasion=reading.REINVASION.value * np.where(autumn, 1.0, rest),
    )
