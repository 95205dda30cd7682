"""The usual year by the law of the mites (`kit.calc.mites`): a full colony with few mites, left alone, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from kit.calc.mites import simulate

Array = NDArray[np.float64]
Draws = NDArray[np.float32]
"""Draws of a course, single precision: five hundred hives are 150 MB."""

FEW_MITES = 10.0
"""Mites with which the law is asked: far from crowding, so that their number does not matter."""


@dataclass(frozen=True)
class Usual:
    """The usual year from `start`, one value for each day.

    Parameters
    ----------
    start : date
        Day of index 0.
    in_brood : ndarray, shape (days,)
        Share of mites in capped cells [1].
    adults : ndarray, shape (days,)
        Adult bees of a full colony [bees].
    """

    start: date
    in_brood: Array
    adults: Array

    @property
    def days(self) -> int:
        """Number of days."""
        return len(self.adults)

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
    return Usual(start, law.in_brood / law.total, law.adults)
