"""Where every hive stood through the season: mites by date with a band, from counts, growth and usual kills.

A colony without a count gets its apiary's and its operation's mean with its own spread. Everything is deterministic
given the seed: draws are keyed by (seed, apiary, colony).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.calc.ranges import band_of
from kit.season.course import course
from kit.season.evidence import Look, frames, looks
from kit.season.fit import Fit, Place, draws, fit
from kit.season.kills import Kill, kills
from kit.season.latent import ADULTS, ON_BEES, WINTER_ADULTS, Latent, operation_size
from kit.season.units import ANY, COLONY, UNNUMBERED, Unit, apiaries, last_day, standing_unnumbered, units
from kit.season.usual import Array, Usual, usual_year

if TYPE_CHECKING:
    from kit.records.records import Records

Draws = NDArray[np.float32]
"""Draws of a course, single precision: five hundred hives are 150 MB."""

METHOD = "count-by-count reading carried by seasonal growth and each treatment's usual kill"
POINTS = ("p05", "p50", "p95")
COLUMNS = [
    "date", "apiary", "colony", "scope", "hives",
    *(f"mites_{p}" for p in POINTS), *(f"per_100_bees_{p}" for p in POINTS), "season",
]  # fmt: skip


@dataclass(frozen=True)
class Reading:
    """One apiary's hives as read: draws of their parameters and of their course.

    Parameters
    ----------
    apiary : str
        Its id.
    latent : Latent
        Its hives, rounds and the usual year.
    looks : sequence of Look
        The counts that were used.
    parameters : ndarray, shape (draws, units, size)
        Draws of the hives' parameters.
    last : int
        Index of the last day that is read; days after it are a forecast in which nothing more is done.
    """

    apiary: str
    latent: Latent
    looks: Sequence[Look]
    parameters: Array
    last: int

    @property
    def units(self) -> Sequence[Unit]:
        """Its hives."""
        return self.latent.units

    @property
    def usual(self) -> Usual:
        """The usual year."""
        return self.latent.usual

    @cached_property
    def mites(self) -> Draws:
        """Mites a hive at the end of each day, shape (draws, units, days)."""
        return self.rerun()

    def rerun(self, *, without: int | None = None) -> Draws:
        """The same draws without one treatment, shape (draws, units, days)."""
        return self.run(self.latent, self.parameters, without=without)

    @staticmethod
    def run(latent: Latent, parameters: Array, *, without: int | None = None) -> Draws:
        """The course of draws of parameters under a latent's rounds, shape (draws, units, days)."""
        count, number, size = parameters.shape
        each = np.tile(np.arange(number), count)
        lanes = latent.lanes(parameters.reshape(-1, size), each, without=without)
        mites = course(lanes).mites.astype(np.float32)
        return np.moveaxis(mites.reshape(-1, count, number), 0, 2)

    def per_100_bees(self, mites: Draws, days: slice) -> Array:
        """Mites on bees per 100 adult bees for some days of a course of mites, shape (draws, units, days)."""
        logs = self.parameters[:, :, [ADULTS]] + self.parameters[:, :, [WINTER_ADULTS]] * self.latent.wintering[days]
        on_bees = (1 - self.usual.in_brood[days]) * np.exp(self.parameters[:, :, [ON_BEES]])
        return 100 * mites[:, :, days] * np.minimum(on_bees, 1.0) / (self.usual.adults[days] * np.exp(logs))

    def infestation(self, day: int) -> Array:
        """Mites on bees per 100 adult bees at the end of one day, shape (draws, units)."""
        return self.per_100_bees(self.mites, slice(day, day + 1))[:, :, 0]

    @property
    def weights(self) -> Array:
        """How many hives each unit stands for, 1 where not recorded, 0 for stand-ins; shape (units,)."""
        return np.array([0.0 if u.scope == ANY else np.nan_to_num(u.hives, nan=1.0) for u in self.units])

    def standing(self, day: int) -> Array:
        """Whether each unit stood on a day index, shape (units,); after the last day read, as on that day."""
        on = self.usual.start + timedelta(days=min(day, self.last))
        return np.array([u.first <= on <= u.last for u in self.units])

    def mean(self, values: Array | Draws, day: int) -> Array:
        """Mean over the apiary's hives standing on a day of `values` of shape (draws, units); NaN when none stood."""
        weights = self.weights * self.standing(day)
        total = weights.sum()
        return np.asarray(values @ weights / total) if total > 0 else np.full(len(values), np.nan)


@dataclass(frozen=True)
class Season:
    """The season as read: one `Reading` for each apiary, and whether the fit settled."""

    usual: Usual
    readings: dict[str, Reading] = field(default_factory=dict)
    settled: bool = True


def read_season(records: Records, rounds: pd.DataFrame, *, seed: int) -> Season:
    """Fit all apiaries together and draw from the fit.

    `rounds` is the table of `kit.season.rounds.rounds`.
    """
    usual = usual_year(records.season.start, (records.season.end - records.season.start).days + 1)
    everyone = units(records)
    names = sorted({u.apiary for u in everyone})
    given = {name: _kills(records, rounds, name, everyone, usual) for name in names}
    words = sorted({kill.treatment for found in given.values() for kill in found})
    places = []
    for name in names:
        mine = [u for u in everyone if u.apiary == name]
        latent = Latent(usual, mine, given[name], words)
        places.append(Place.at_rest(name, latent, looks(records, latent), frames(records, latent)))
    found = fit(places, operation_size(words))
    last = usual.index(last_day(records))
    order = [name for name in apiaries(records, [u for u in everyone if u.scope == COLONY]) if name in names]
    by_name = {place.apiary: _reading(found, number, seed, last) for number, place in enumerate(found.places)}
    return Season(usual, {name: by_name[name] for name in order}, found.settled)


def loads(records: Records, rounds: pd.DataFrame, season: Season) -> pd.DataFrame:
    """The table of loads: weekly, and on each day of a count or a round, up to the last day read."""
    rows = []
    for reading in season.readings.values():
        for day in _days(records, rounds, reading):
            rows += _rows(records, reading, day)
    table = pd.DataFrame(rows, columns=COLUMNS)
    table["date"] = pd.to_datetime(table["date"])
    return table.sort_values(["date", "apiary", "scope", "colony"], kind="stable", ignore_index=True)


def _kills(records: Records, rounds: pd.DataFrame, name: str, everyone: Sequence[Unit], usual: Usual) -> list[Kill]:
    mine = [u for u in everyone if u.apiary == name]
    return kills(records, rounds[rounds["apiary"] == name], mine, usual)


def _reading(found: Fit, number: int, seed: int, last: int) -> Reading:
    place = found.places[number]
    return Reading(place.apiary, place.latent, place.looks, draws(found, number, seed), last)


def _days(records: Records, rounds: pd.DataFrame, reading: Reading) -> list[int]:
    counts = records.in_season("counts")
    dated = [
        *counts.loc[counts["apiary"] == reading.apiary, "date"],
        *rounds.loc[rounds["apiary"] == reading.apiary, "date"],
    ]
    special = {reading.usual.index(pd.Timestamp(day).date()) for day in dated}
    return sorted(day for day in {*range(0, reading.last + 1, 7), reading.last, *special} if day <= reading.last)


def _rows(records: Records, reading: Reading, day: int) -> list[list[object]]:
    on = reading.usual.start + timedelta(days=day)
    mites, share = reading.mites[:, :, day], reading.infestation(day)
    there = reading.standing(day)
    numbered = sum(unit.scope == COLONY and bool(here) for unit, here in zip(reading.units, there, strict=True))
    unnumbered = any(unit.scope == UNNUMBERED for unit in reading.units)
    spare = standing_unnumbered(records, reading.apiary, on, numbered) if unnumbered else 0.0
    rows = []
    for n, unit in enumerate(reading.units):
        if not there[n] or unit.scope == ANY or (unit.scope == UNNUMBERED and spare == 0):
            continue
        hives = 1.0 if unit.scope == COLONY else spare
        rows.append([on, unit.apiary, unit.colony, unit.scope, hives, *band_of(mites[:, n]), *band_of(share[:, n])])
    if rows:
        whole = [*band_of(reading.mean(mites, day)), *band_of(reading.mean(share, day))]
        rows.append([on, reading.apiary, "", "apiary", numbered + spare, *whole])
    return [[*row, records.season.label] for row in rows]
