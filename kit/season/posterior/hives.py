"""The hives of one apiary: from parameters to what drives the law of the mites."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.calc.mites import RATE_NAMES, Lanes, Rates
from kit.constants import hives, reading
from kit.constants.treatment_words import SUBLIMATION
from kit.season.posterior import traits as t
from kit.season.posterior.bees import Bees
from kit.season.posterior.descent import Split
from kit.season.posterior.given import Given
from kit.season.posterior.left import Left
from kit.season.units import ANY, Unit
from kit.season.usual import Array

Whole = NDArray[np.int64]

_YEAR = 365.25
_ADULTS_AT = (105, 170, 225, 290, 380)
"""Days of the year at which adult bees may stray: mid-April, mid-June, mid-August, mid-October, mid-January."""
_BROOD_AT = (75, 110, 140, 240, 280, 315, 345, 410)
_BROOD_SHAPES = ((1, 1, 0, 0, 0, 0, 0, 0), (0, 0, 0, 0, 1, 0, 0, 0), (0, 0, 0, 0, 0, 1, 1, 1))
"""Parts of the year in which brood may stray: spring, October, winter; days of the year as above."""
_GUESTS_AT = (15, 160, 200, 245, 285, 330)
_GUESTS = (0.1, 0.1, 0.4, 1.0, 1.0, 0.2)
"""Drifting and robbing through the year, against the late summer's."""
MOST_HAZARD = 12.0
"""A hazard of 12 leaves 6 mites in a million; more than that is the same."""
MOST_FALL = 0.6
_LOAD = (t.START, t.GROWTH, t.REINVASION, t.SHIFT, t.INVADE, t.DEATH_WINTER)
"""Traits that decide how many mites there are on a day, the wander and the kills beside them."""
HALF_CAPPED = 6
"""Days since the middle one of the cells that stand capped was capped."""


@dataclass(frozen=True)
class Hives:
    """The hives of one apiary over one season.

    Parameters
    ----------
    start, days : date, int
        The season.
    units : sequence of Unit
        Of one apiary.
    given : sequence of Given
        Its rounds.
    words : sequence of str
        Treatment words of the whole operation, sorted: each has a kill in common.
    bees : Bees
        Of the units.
    splits : sequence of Split
        Units that were a part of another until a day.
    left : Left, optional
        The mites that the season before left in them.
    """

    start: date
    days: int
    units: Sequence[Unit]
    given: Sequence[Given]
    words: Sequence[str]
    bees: Bees
    splits: Sequence[Split] = ()
    left: Left | None = None

    @property
    def size(self) -> int:
        """Number of parameters of a hive."""
        return t.FIRST_KILL + len(self.given) + 2 * len(self.words)

    @property
    def _first_word(self) -> int:
        return t.FIRST_KILL + len(self.given)

    @cached_property
    def spreads(self) -> Array:
        """Standard deviations of each parameter, shape (3, size): operation (of a kill: its word), apiary, colony."""
        words = len(self.words)
        each = [*t.SPREADS, *[t.KILL] * len(self.given), *[t.RESIDUE] * words, *[t.CELLS] * words]
        if self.left is not None:
            each[t.START] = t.Spread(0.0, self.left.together, float(np.linalg.norm(each[t.START])))
        return np.array(each).T

    @cached_property
    def own_spread(self) -> Array:
        """Spread between hives; smaller for an average of hives, shape (units, size).

        Of a hive split off, in what it has from its parent: by how far its share of the mites may differ.
        """
        spread = self._between
        for split in self.splits:
            spread[split.part, self._before(split.on)] = 0.0
            spread[split.part, t.START] = hives.SPLIT_MITES.value
        return spread

    @cached_property
    def lent_spread(self) -> Array:
        """What one standard normal of the parent adds to a hive split off from it, shape (splits, size)."""
        lent = np.zeros((len(self.splits), self.size))
        for row, split in zip(lent, self.splits, strict=True):
            before = self._before(split.on)
            row[before] = self._between[split.parent, before]
        return lent

    @cached_property
    def parts(self) -> Whole:
        """The unit of each split, shape (splits,)."""
        return np.array([split.part for split in self.splits], dtype=np.int64)

    @cached_property
    def parents(self) -> Whole:
        """The unit each was split off from, shape (splits,)."""
        return np.array([split.parent for split in self.splits], dtype=np.int64)

    @property
    def _between(self) -> Array:
        between = np.array([self.spreads[2] / np.sqrt(unit.averaged) for unit in self.units])
        if self.left is not None:
            between[self.left.known, t.START] = self.left.apart[self.left.known]
        return between

    def _before(self, on: date) -> Whole:
        """Parameters that decide how many mites a hive holds on a day."""
        day = (on - self.start).days
        knots = np.linspace(0, self.days - 1, t.KNOTS) < day
        rounds = [one.dose.day < on for one in self.given]
        wander = np.arange(t.WANDER.start, t.WANDER.stop)[knots]
        return np.concatenate([_LOAD, wander, t.FIRST_KILL + np.flatnonzero(rounds)])

    @cached_property
    def from_operation(self) -> Array:
        """What one standard normal of the operation adds to each parameter, shape (operation_size, size)."""
        adds = np.zeros((operation_size(self.words), self.size))
        plain = np.r_[0 : t.FIRST_KILL, self._first_word : self.size]
        adds[np.arange(len(plain)), plain] = self.spreads[0, plain]
        for place, one in enumerate(self.given):
            vapour = one.treatment == SUBLIMATION
            word = len(plain) + list(self.words).index(one.treatment)
            adds[word, t.FIRST_KILL + place] = t.SUBLIMATION_KILL if vapour else t.KILL.operation
            if vapour and one.seal in t.SEALS:
                adds[list(t.SEALS).index(one.seal) - len(t.SEALS), t.FIRST_KILL + place] = t.SEALS[one.seal]
        return adds

    @cached_property
    def centre(self) -> Array:
        """The usual parameters, shape (units, size). A mean of hives lies above their median by half their variance."""
        centre = np.zeros((len(self.units), self.size))
        single = self.spreads[2, t.START] ** 2 / 2
        lift = [single if u.scope == ANY else single * (1 - 1 / u.averaged) for u in self.units]
        centre[:, t.START] = np.log(reading.SPRING_MITES.value) + lift
        centre[:, t.BEES_AUTUMN] = np.log(hives.AUTUMN_BEES.value / 100)
        centre[:, t.BEES_WINTER] = np.log(hives.WINTER_BEES.value / 100)
        if self.left is not None:
            centre[self.left.known, t.START] = self.left.log_mites[self.left.known]
            for split in self.splits:
                centre[split.part, t.START] = centre[split.parent, t.START]
        return centre

    def lanes(self, parameters: Array, units: Whole, *, without: int | None = None) -> Lanes:
        """What drives the law for hives of these parameters.

        Parameters
        ----------
        parameters : ndarray, shape (lanes, size)
            One row for each lane.
        units : ndarray of int, shape (lanes,)
            The unit of each lane.
        without : int, optional
            A treatment number whose rounds are left out.
        """
        p = parameters
        strength = p[:, [t.STRENGTH]]
        adults = strength + p[:, t.BEES_SPRING : t.BEES_WINTER + 1] @ self._adults.T
        return Lanes(
            start=self.start,
            days=self.days,
            mites=np.exp(p[:, t.START]),
            curves=self.bees.curves,
            year_at=self.bees.row(p[:, t.SHIFT], units),
            rates=_rates(p),
            adults_factor=np.exp(adults),
            brood_factor=np.exp(self._log_brood(p)),
            growth=np.exp(p[:, [t.GROWTH]] + p[:, t.WANDER]),
            reinvasion_per_day=np.exp(p[:, [t.REINVASION]]) * self._guests,
            when=self._when,
            effects=self._effects(p, units, without),
        )

    def capped(self, parameters: Array, units: Whole, at: Whole) -> Array:
        """Capped cells standing on some days, shape (lanes, len(at))."""
        row = self.bees.row(parameters[:, t.SHIFT], units)
        knot = np.maximum(at - HALF_CAPPED, 0) / (self.days - 1) * (t.KNOTS - 1)
        before = np.minimum(knot.astype(int), t.KNOTS - 2)
        logs = self._log_brood(parameters)
        factor = logs[:, before] + (knot - before) * (logs[:, before + 1] - logs[:, before])
        return np.asarray(self.bees.capped(row, at) * np.exp(factor))

    def _log_brood(self, p: Array) -> Array:
        """Log factor on the cells capped, shape (lanes, knots)."""
        shape = p[:, t.SPRING_BROOD : t.WINTER_BROOD + 1] @ self._brood.T
        return np.asarray(p[:, [t.STRENGTH]] + p[:, [t.BROOD]] + shape)

    @cached_property
    def _knot_days(self) -> Array:
        """Day of the year of each knot, shape (knots,)."""
        days = np.linspace(0, self.days - 1, t.KNOTS)
        return np.array([(self.start + timedelta(days=float(day))).timetuple().tm_yday for day in days], dtype=float)

    @cached_property
    def _adults(self) -> Array:
        return np.array([np.interp(self._knot_days, _ADULTS_AT, row, period=_YEAR) for row in np.eye(5)]).T

    @cached_property
    def _brood(self) -> Array:
        return np.array([np.interp(self._knot_days, _BROOD_AT, row, period=_YEAR) for row in _BROOD_SHAPES]).T

    @cached_property
    def _guests(self) -> Array:
        return reading.REINVASION.value * np.interp(self._knot_days, _GUESTS_AT, _GUESTS, period=_YEAR)

    @cached_property
    def _when(self) -> Whole:
        """First day and first day after of each round, shape (1, rounds, 2)."""
        days = [[(one.dose.day - self.start).days, (one.dose.end - self.start).days] for one in self.given]
        return np.array(days, dtype=np.int64).reshape(1, len(self.given), 2)

    def _effects(self, p: Array, units: Whole, without: int | None) -> Array:
        """Effects of each round in each lane, shape (lanes, rounds, 6); an unknown part of the hives thins the kill."""
        usual = np.array([one.effect for one in self.given], dtype=float).reshape(len(self.given), 6)
        word = [list(self.words).index(one.treatment) for one in self.given]
        more = p[:, t.FIRST_KILL : self._first_word]
        residue = np.exp(p[:, self._first_word :][:, word])
        cells = more + p[:, self._first_word + len(self.words) :][:, word]
        kept = np.array([one.treatment_no != without for one in self.given], dtype=float)
        share = kept * np.array([one.share for one in self.given]).reshape(len(self.given), len(self.units)).T[units]
        found = np.empty((len(p), len(self.given), 6))
        for place, log_factor in ((0, more), (3, more), (4, cells), (5, cells)):
            found[:, :, place] = share * _kill(usual[:, place], log_factor)
        found[:, :, 1:3] = usual[:, 1:3] * residue[:, :, None]
        return found


def operation_size(words: Sequence[str]) -> int:
    """Number of standard normals of an operation that uses these treatment words."""
    return t.FIRST_KILL + 3 * len(words) + len(t.SEALS)


def _kill(usual: Array, log_factor: Array) -> Array:
    """A kill whose hazard is the usual one times a factor."""
    hazard = -np.log1p(-np.minimum(usual, 1 - 1e-6))
    return np.asarray(-np.expm1(-np.minimum(hazard * np.exp(log_factor), MOST_HAZARD)))


def _rates(p: Array) -> Array:
    """The numbers of the law in each lane, shape (lanes, 16)."""
    rates = np.tile(np.array(astuple(USUAL_RATES), dtype=float), (len(p), 1))
    for names, trait in _MOVES:
        rates[:, [RATE_NAMES.index(name) for name in names]] *= np.exp(p[:, [trait]])
    fall = [RATE_NAMES.index("fall_worker"), RATE_NAMES.index("fall_drone")]
    rates[:, fall] = np.minimum(rates[:, fall], MOST_FALL)
    return rates


_MOVES = (
    (("invade_worker_g", "invade_drone_g"), t.INVADE),
    (("invade_drone_g",), t.DRONES),
    (("fall_worker", "fall_drone"), t.FALL),
    (("fall_drone",), t.DRONE_FALL),
    (("death_summer",), t.DEATH_SUMMER),
    (("death_winter",), t.DEATH_WINTER),
    (("crowding_worker", "crowding_drone"), t.CROWDING),
    (("daughters_worker_winter",), t.COLD_DAUGHTERS),
    (("dead_fall_per_day",), t.DEAD_FALL),
    (("dead_lingering",), t.LINGERING),
)
USUAL_RATES = replace(Rates(), fall_worker=hives.FALLING.value / 100, fall_drone=hives.DRONE_FALLING.value / 100)
"""The usual numbers of the reading."""
