"""One apiary's hives as read: draws of their parameters, and the courses of mites these give under the law."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.mites import simulate_many
from kit.season.posterior.given import Given
from kit.season.posterior.hives import Hives
from kit.season.posterior.whole_mites import on_bees, whole
from kit.season.units import ANY, Unit
from kit.season.usual import Array, Draws, Usual

BLOCK = 25
"""Draws run at once: memory while running stays flat."""
ROOM = 1000
"""Hives whose courses are kept: about 600 kB each."""


class Course(NamedTuple):
    """Mites a hive, and mites on bees per 100 adult bees, at the end of each day; both (draws, units, days)."""

    mites: Draws
    per_100: Draws


class ByLaw(NamedTuple):
    """A mean course by the law: mites, those on bees per 100 adult bees, and their share [1]; (draws, units, days)."""

    mites: Draws
    per_100: Draws
    on_bees: Draws


class Shelf:
    """The courses asked for last, of as many hives as there is room for, so that memory stays flat.

    Parameters
    ----------
    room : int
        Hives; the course asked for last is kept whatever its size.
    """

    def __init__(self, room: int = ROOM) -> None:
        self.room, self.courses = room, OrderedDict[str, Course]()

    def course(self, reading: Reading) -> Course:
        """Of one apiary's reading."""
        name = reading.apiary
        if name not in self.courses:
            self.courses[name] = reading.lucky(reading.law())
            while len(self.courses) > 1 and sum(one.mites.shape[1] for one in self.courses.values()) > self.room:
                self.courses.popitem(last=False)
        self.courses.move_to_end(name)
        return self.courses[name]


@dataclass(frozen=True)
class Reading:
    """One apiary's hives as read.

    Parameters
    ----------
    apiary : str
        Its id.
    usual : Usual
        The usual year.
    hives : Hives
        What drives the law for them.
    parameters : ndarray, shape (draws, units, size)
        Draws of the hives' parameters.
    last : int
        Index of the last day that is read; days after it are a forecast in which nothing more is done.
    seed : int
        Of the luck of few mites.
    method : str
        Name of the way it was read.
    log_factor : ndarray or None
        What the count-by-count reading puts on top of the law's course, shape (draws, units, days).
    trust : mapping
        Diagnostics: see the fact of that name.
    shelf : Shelf
        Where its course is kept, one for a whole season.
    """

    apiary: str
    usual: Usual
    hives: Hives
    parameters: Array
    last: int
    seed: int
    method: str
    log_factor: Draws | None = None
    trust: dict[str, Any] = field(default_factory=dict)
    shelf: Shelf = field(default_factory=lambda: Shelf())

    @property
    def units(self) -> Sequence[Unit]:
        """Its hives."""
        return self.hives.units

    @property
    def given(self) -> Sequence[Given]:
        """Its rounds that do something by the law."""
        return self.hives.given

    @property
    def course(self) -> Course:
        """The course as it happened; run again where the shelf has no room for it."""
        return self.shelf.course(self)

    @property
    def mites(self) -> Draws:
        """Mites a hive at the end of each day, shape (draws, units, days)."""
        return self.course.mites

    def law(self, *, hives: Hives | None = None, parameters: Array | None = None, without: int | None = None) -> ByLaw:
        """The course by the law: under other rounds or parameters, or without one treatment, where given."""
        hives, parameters = hives or self.hives, self.parameters if parameters is None else parameters
        blocks = [_run(hives, part, without) for part in np.array_split(parameters, -(-len(parameters) // BLOCK))]
        found = ByLaw(*(np.concatenate(each) for each in zip(*blocks, strict=True)))
        if self.log_factor is None:
            return found
        factor = np.exp(self.log_factor)
        return found._replace(mites=found.mites * factor, per_100=found.per_100 * factor)

    def lucky(self, course: ByLaw) -> Course:
        """A course of the law with the luck of few mites; the same luck for the same hives."""
        mites = whole(course.mites, self.units, self.seed)
        there = on_bees(mites, course.on_bees, self.units, self.seed)
        usual = np.maximum(course.mites * course.on_bees, np.float32(1e-6))
        return Course(mites, (course.per_100 * (there / usual)).astype(np.float32))

    def infestation(self, day: int) -> Array:
        """Mites on bees per 100 adult bees at the end of one day, shape (draws, units)."""
        return np.asarray(self.course.per_100[:, :, day], dtype=float)

    def strength(self, days: NDArray[np.int64]) -> tuple[Array, Array]:
        """Adult bees and capped cells of each hive at the end of some days, both (draws, units, days)."""
        draws, units, size = self.parameters.shape
        flat, which = self.parameters.reshape(-1, size), np.tile(np.arange(units), draws)
        years = simulate_many(self.hives.lanes(flat, which), at=days)
        shape = (draws, units, len(days))
        return years.adults.reshape(shape), self.hives.capped(flat, which, days).reshape(shape)

    @property
    def weights(self) -> Array:
        """How many hives each unit stands for, 1 where not recorded, 0 for stand-ins; shape (units,)."""
        return np.array([0.0 if u.scope == ANY else np.nan_to_num(u.hives, nan=1.0) for u in self.units])

    def standing(self, day: int) -> Array:
        """Whether each unit stood on a day index, shape (units,); after the last day read, as on that day."""
        on = self.usual.start + timedelta(days=min(day, self.last))
        return np.array([u.stands(on) for u in self.units])

    def mean(self, values: Array | Draws, day: int) -> Array:
        """Mean over the apiary's hives standing on a day of `values` of shape (draws, units); NaN when none stood."""
        weights = self.weights * self.standing(day)
        total = weights.sum()
        return np.asarray(values @ weights / total) if total > 0 else np.full(len(values), np.nan)


@dataclass(frozen=True)
class Season:
    """The season as read.

    Parameters
    ----------
    usual : Usual
        The usual year.
    readings : dict of Reading
        One for each apiary, in the order of the sheet.
    after : int, optional
        Label of the season before, where this one begins with what that one left.
    """

    usual: Usual
    readings: dict[str, Reading] = field(default_factory=dict)
    after: int | None = None

    @property
    def fallen_back(self) -> list[str]:
        """Apiaries whose sampling failed: they are read count by count."""
        return [name for name, here in self.readings.items() if here.log_factor is not None]


def _run(hives: Hives, parameters: Array, without: int | None) -> ByLaw:
    draws, units, size = parameters.shape
    lanes = hives.lanes(parameters.reshape(-1, size), np.tile(np.arange(units), draws), without=without)
    years = simulate_many(lanes)
    share = years.on_bees / np.maximum(years.total, 1e-9)
    found = (each.reshape(draws, units, -1).astype(np.float32) for each in (years.total, years.infestation_pct, share))
    return ByLaw(*found)
