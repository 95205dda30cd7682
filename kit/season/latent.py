"""How an apiary's hives differ from the usual year: the parameters of each hive, and what is shared by whom.

The parameters of a hive, in this order: log mites at the start; growth added [1/day]; log mites carried in; log bees,
log bees in winter, log natural fall on a board, log fall in winter, log dead found on a board, log bees on a frame,
log share of the mites on bees, each against the usual; growth added in each calendar month [1, over
the month]; log hazard of each round's kill. They are the usual values plus standard normals of the operation, of the
apiary and of the hive, each times its spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.constants import Constant, reading
from kit.season.course import Lanes
from kit.season.kills import Kill
from kit.season.units import ANY, Unit
from kit.season.usual import Array, Usual

Whole = NDArray[np.int64]

START, GROWTH, REINVASION, ADULTS, WINTER_ADULTS, FALL, WINTER_FALL, DEAD, FRAME, ON_BEES = range(10)
_FIXED = 10
_NAMES = (
    "SPRING", "GROWTH", "REINVASION", "ADULTS", "WINTER_ADULTS", "FALL", "WINTER_FALL", "DEAD", "FRAME", "ON_BEES",
)  # fmt: skip


def _spreads(of: str) -> tuple[Constant, ...]:
    """The spreads between operations, apiaries or colonies, in the order of the parameters."""
    return tuple(getattr(reading, f"{name}_{of}") for name in _NAMES)


_OPERATION, _SHARED, _OWN = _spreads("OPERATION"), _spreads("APIARY"), _spreads("COLONY")


@dataclass(frozen=True)
class Latent:
    """The parameters of the hives of one apiary.

    Parameters
    ----------
    usual : Usual
        The usual year.
    units : sequence of Unit
        Of one apiary.
    kills : sequence of Kill
        Rounds at that apiary that have a usual kill.
    words : sequence of str
        Treatment words of the whole operation, sorted: each has a kill in common.
    """

    usual: Usual
    units: Sequence[Unit]
    kills: Sequence[Kill]
    words: Sequence[str]

    @cached_property
    def months(self) -> Array:
        """Share of each calendar month's days that a day is, shape (days, months) [1]."""
        dates = [self.usual.start + timedelta(days=n) for n in range(self.usual.days)]
        keys = [(day.year, day.month) for day in dates]
        each = sorted(set(keys))
        return np.array([[(key == month) / DAYS_IN_MONTH for month in each] for key in keys])

    @property
    def size(self) -> int:
        """Number of parameters of a hive."""
        return self._first_kill + len(self.kills)

    @cached_property
    def shared_spread(self) -> Array:
        """Spread of each parameter between apiaries, shape (size,)."""
        return self._spread(_SHARED, reading.NOISE_APIARY, reading.KILL_ROUND)

    @cached_property
    def own_spread(self) -> Array:
        """Spread of each parameter between hives; smaller for an average of hives, shape (units, size)."""
        hive = self._spread(_OWN, reading.NOISE_COLONY, reading.KILL_HIVE)
        return np.array([hive / np.sqrt(u.averaged) for u in self.units])

    @cached_property
    def from_operation(self) -> Array:
        """What one standard normal of the operation adds to each parameter, shape (operation_size, size)."""
        adds = np.zeros((operation_size(self.words), self.size))
        adds[:_FIXED, :_FIXED] = np.diag([spread.value for spread in _OPERATION])
        for place, kill in enumerate(self.kills):
            adds[_FIXED + list(self.words).index(kill.treatment), self._first_kill + place] = (
                reading.KILL_OPERATION.value
            )
        return adds

    @cached_property
    def centre(self) -> Array:
        """The usual parameters, shape (units, size). A mean of hives lies above their median by half their variance."""
        centre = np.zeros((len(self.units), self.size))
        single = reading.SPRING_COLONY.value**2 / 2
        lift = [single if u.scope == ANY else single * (1 - 1 / u.averaged) for u in self.units]
        centre[:, START] = np.log(reading.SPRING_MITES.value) + lift
        centre[:, WINTER_ADULTS] = np.log(reading.WINTER_ADULTS.value / 100)
        centre[:, self._first_kill :] = np.log([kill.hazard for kill in self.kills])
        return centre

    def lanes(self, parameters: Array, units: Whole, *, without: int | None = None) -> Lanes:
        """What drives the hives of these parameters.

        Parameters
        ----------
        parameters : ndarray, shape (lanes, size)
            One row for each lane.
        units : ndarray of int, shape (lanes,)
            The unit of each lane.
        without : int, optional
            A treatment number whose rounds are left out.
        """
        months = self.months @ parameters[:, _FIXED : self._first_kill].T
        growth = self.usual.growth[:, None] + parameters[:, GROWTH] + months
        carried = self.usual.reinvasion[:, None] * np.exp(parameters[:, REINVASION])
        kept = np.array([kill.treatment_no != without for kill in self.kills])
        hazard = self.daily.T @ (self._taken(parameters, units)[0] * kept).T
        return Lanes(np.exp(parameters[:, START]), growth, carried, hazard)

    def bends(self, parameters: Array, units: Whole) -> Lanes:
        """Derivatives of `lanes` by the parameters."""
        lanes, days, size = len(parameters), self.usual.days, self.size
        start = np.zeros((lanes, size))
        start[:, START] = np.exp(parameters[:, START])
        growth, carried, hazard = (np.zeros((days, lanes, size)) for _ in range(3))
        growth[:, :, GROWTH] = 1
        growth[:, :, _FIXED : self._first_kill] = self.months[:, None, :]
        carried[:, :, REINVASION] = self.usual.reinvasion[:, None] * np.exp(parameters[:, REINVASION])
        slope = self._taken(parameters, units)[1]
        hazard[:, :, self._first_kill :] = slope * self.daily.T[:, None, :]
        return Lanes(start, growth, carried, hazard)

    @cached_property
    def wintering(self) -> Array:
        """How far each day has come from the summer's bees (0) to the winter's (1), shape (days,)."""
        days = [(self.usual.start + timedelta(days=n)).timetuple().tm_yday for n in range(self.usual.days)]
        return np.interp(days, WINTERING_DAYS, (1.0, 0.0, 0.0, 1.0))

    @cached_property
    def daily(self) -> Array:
        """The part of each round's hazard that works on each day, shape (kills, days)."""
        return np.array([kill.daily for kill in self.kills]).reshape(len(self.kills), self.usual.days)

    @property
    def _first_kill(self) -> int:
        return _FIXED + int(self.months.shape[1])

    def _taken(self, parameters: Array, units: Whole) -> tuple[Array, Array]:
        """Hazard of each round for an average of treated and untreated hives, and its slope by the log hazard."""
        full = np.exp(np.minimum(parameters[:, self._first_kill :], LOG_HAZARD_MAX))
        share = np.array([kill.share for kill in self.kills]).reshape(len(self.kills), len(self.units)).T[units]
        left = 1 - share * -np.expm1(-full)
        return -np.log(left), share * np.exp(-full) * full / left

    def _spread(self, fixed: Sequence[Constant], month: Constant, kill: Constant) -> Array:
        each = [c.value for c in fixed]
        return np.array(each + [month.value] * self.months.shape[1] + [kill.value] * len(self.kills))


def operation_size(words: Sequence[str]) -> int:
    """Number of standard normals of an operation that uses these treatment words."""
    return _FIXED + len(words)


DAYS_IN_MONTH = 30.4
WINTERING_DAYS = (75, 135, 230, 305)
"""Days of the year: winter's bees until mid-March, summer's from mid-May to mid-August, winter's from November."""
LOG_HAZARD_MAX = float(np.log(12.0))
"""A hazard of 12 leaves 6 mites in a million; more than that is the same."""
