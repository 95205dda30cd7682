"""How an apiary's hives differ from the usual year: the parameters of each hive, and what is shared by whom.

The parameters of a hive, in this order: log mites at the start; growth added [1/day]; log mites carried in; log bees, each against
the usual; growth added in each calendar month [1, over the month]; log hazard of each round's kill. They are the usual values
plus standard normals of the operation, of the apiary and of the hive, each times its spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

import numpy as np

from kit.constants import Constant, reading
from kit.season.course import Lanes
from kit.season.kills import Kill
from kit.season.units import ANY, Unit
from kit.season.usual import Array, Usual

START, GROWTH, REINVASION, ADULTS = range(4)
_FIXED = 4
_SHARED = (reading.SPRING_APIARY, reading.GROWTH_APIARY, reading.REINVASION_APIARY, reading.ADULTS_APIARY)
_OWN = (reading.SPRING_COLONY, reading.GROWTH_COLONY, reading.REINVASION_COLONY, reading.ADULTS_COLONY)


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
        return _FIXED + self.months.shape[1] + len(self.kills)

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
        """What one standard normal of the operation adds to each parameter, shape (2 + words, size)."""
        adds = np.zeros((2 + len(self.words), self.size))
        adds[0, START] = reading.SPRING_OPERATION.value
        adds[1, GROWTH] = reading.GROWTH_OPERATION.value
        for place, kill in enumerate(self.kills):
            adds[2 + list(self.words).index(kill.treatment), self._first_kill + place] = reading.KILL_OPERATION.value
        return adds

    @cached_property
    def centre(self) -> Array:
        """The usual parameters, shape (units, size). A mean of hives lies above their median by half their variance."""
        centre = np.zeros((len(self.units), self.size))
        single = reading.SPRING_COLONY.value**2 / 2
        lift = [single if u.scope == ANY else single * (1 - 1 / u.averaged) for u in self.units]
        centre[:, START] = np.log(reading.SPRING_MITES.value) + lift
        centre[:, self._first_kill :] = np.log([kill.hazard for kill in self.kills])
        return centre

    def lanes(self, parameters: Array, units: Array, *, without: int | None = None) -> Lanes:
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
        growth = self.usual.growth + parameters[:, [GROWTH]] + parameters[:, _FIXED : self._first_kill] @ self.months.T
        carried = np.exp(parameters[:, [REINVASION]]) * self.usual.reinvasion
        kept = np.array([kill.treatment_no != without for kill in self.kills])
        hazard = (self._taken(parameters, units)[0] * kept) @ self.daily
        return Lanes(np.exp(parameters[:, START]), growth, carried, hazard)

    def bends(self, parameters: Array, units: Array) -> Lanes:
        """Derivatives of `lanes` by the parameters."""
        lanes, days, size = len(parameters), self.usual.days, self.size
        start = np.zeros((lanes, size))
        start[:, START] = np.exp(parameters[:, START])
        growth, carried, hazard = (np.zeros((lanes, days, size)) for _ in range(3))
        growth[:, :, GROWTH] = 1
        growth[:, :, _FIXED : self._first_kill] = self.months
        carried[:, :, REINVASION] = np.exp(parameters[:, [REINVASION]]) * self.usual.reinvasion
        slope = self._taken(parameters, units)[1]
        hazard[:, :, self._first_kill :] = slope[:, None, :] * self.daily.T
        return Lanes(start, growth, carried, hazard)

    @cached_property
    def daily(self) -> Array:
        """The part of each round's hazard that works on each day, shape (kills, days)."""
        return np.array([kill.daily for kill in self.kills]).reshape(len(self.kills), self.usual.days)

    @property
    def _first_kill(self) -> int:
        return _FIXED + self.months.shape[1]

    def _taken(self, parameters: Array, units: Array) -> tuple[Array, Array]:
        """Hazard of each round for an average of treated and untreated hives, and its slope by the log hazard."""
        full = np.exp(np.minimum(parameters[:, self._first_kill :], LOG_HAZARD_MAX))
        share = np.array([kill.share for kill in self.kills]).reshape(len(self.kills), len(self.units)).T[units]
        left = 1 - share * -np.expm1(-full)
        return -np.log(left), share * np.exp(-full) * full / left

    def _spread(self, fixed: Sequence[Constant], month: Constant, kill: Constant) -> Array:
        each = [c.value for c in fixed]
        return np.array(each + [month.value] * self.months.shape[1] + [kill.value] * len(self.kills))


DAYS_IN_MONTH = 30.4
LOG_HAZARD_MAX = float(np.log(12.0))
"""A hazard of 12 leaves 6 mites in a million; more than that is the same."""
