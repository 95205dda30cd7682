"""One apiary in the reading: its hives, what was seen of them, and how likely that is under given parameters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.mites import simulate_many
from kit.season.posterior import traits as t
from kit.season.posterior.hives import Hives
from kit.season.posterior.sight import Seen, Sight
from kit.season.usual import Array

Whole = NDArray[np.int64]

STEP = 0.01
"""Step of a log parameter for slopes; of the season's shift in days, a hundred times as much."""


class Block(NamedTuple):
    """Slope and curvature of one apiary by its own hives and by what they share (operation first, then apiary).

    `slope_own` (units, size), `slope_shared` (shared,), `own` (units, size, size), `across` (units, size, shared),
    `shared` (shared, shared). Of a hive from which another was split off: with that other taken out, whose pull on it
    is `lent` (splits, size of the part, size of the parent).
    """

    slope_own: Array
    slope_shared: Array
    own: Array
    across: Array
    shared: Array
    lent: Array


@dataclass(frozen=True)
class Place:
    """One apiary, and where its standard normals stand: `shared` (size,) of the apiary, `own` (units, size)."""

    apiary: str
    hives: Hives
    sights: Sequence[Sight]
    shared: Array
    own: Array

    @classmethod
    def at_rest(cls, apiary: str, hives: Hives, sights: Sequence[Sight]) -> Place:
        """At the usual year."""
        return cls(apiary, hives, sights, np.zeros(hives.size), np.zeros((len(hives.units), hives.size)))

    def moved(self, shared: Array, own: Array) -> Place:
        """The same apiary elsewhere."""
        return replace(self, shared=self.shared + shared, own=self.own + own)

    def parameters(self, operation: Array, shared: Array, own: Array) -> Array:
        """Parameters of each hive, shape (..., units, size), from standard normals of shape (..., those of each)."""
        hives = self.hives
        common = operation @ hives.from_operation + shared * hives.spreads[1]
        parameters = np.asarray(hives.centre + common[..., None, :] + own * hives.own_spread)
        parameters[..., hives.parts, :] += own[..., hives.parents, :] * hives.lent_spread
        return parameters

    @cached_property
    def at(self) -> Whole:
        """Days of the law's run that any look needs."""
        days = np.unique(np.concatenate([sight.at for sight in self.sights])) if self.sights else np.zeros(0, np.int64)
        return days.astype(np.int64)

    def run(self, parameters: Array, units: Whole) -> Seen:
        """The law for lanes of parameters (lanes, size) of units (lanes,), at the days needed."""
        run = simulate_many(self.hives.lanes(parameters, units), at=self.at)
        return Seen(run.on_bees, run.adults, run.fallen, self.hives.capped(parameters, units, self.at))

    def seen(self, run: Seen, lanes: Whole, unit: int) -> Seen:
        """What the looks of one unit need of a run of many."""
        days = np.searchsorted(self.at, self.sights[unit].at)
        return Seen(*(values[lanes][:, days] for values in run))

    def log_likelihood(self, parameters: Array, units: Whole) -> Array:
        """Log likelihood of each lane given all that was seen of its unit, shape (lanes,)."""
        total = np.zeros(len(parameters))
        seen = np.array([len(sight.looks) > 0 for sight in self.sights])
        lanes = np.flatnonzero(seen[units])
        if len(lanes):
            run = self.run(parameters[lanes], units[lanes])
            for unit in np.unique(units[lanes]):
                mine = np.flatnonzero(units[lanes] == unit)
                sight, here = self.sights[unit], parameters[lanes[mine]]
                expected = sight.log_expected(self.seen(run, mine, unit), here)
                total[lanes[mine]] = sight.log_likelihood(expected, sight.sizes(here)).sum(axis=1)
        return total

    def value(self, operation: Array) -> float:
        """Log probability of this apiary's counts and standard normals, up to a constant."""
        parameters = self.parameters(operation, self.shared, self.own)
        seen = float(self.log_likelihood(parameters, np.arange(len(parameters))).sum())
        return seen - 0.5 * (float(self.shared @ self.shared) + float(np.sum(self.own**2)))

    def block(self, operation: Array) -> Block:
        """Slope and curvature here; the curvature is Fisher's information plus one."""
        hives = self.hives
        score, bend = self._lean(self.parameters(operation, self.shared, self.own))
        common = np.vstack([hives.from_operation, np.diag(hives.spreads[1])])
        scaled = hives.own_spread[:, :, None] * bend
        plain = Block(
            slope_own=score * hives.own_spread - self.own,
            slope_shared=common @ score.sum(axis=0),
            own=scaled * hives.own_spread[:, None, :] + np.eye(hives.size),
            across=scaled @ common.T,
            shared=common @ bend.sum(axis=0) @ common.T,
            lent=scaled[hives.parts] * hives.lent_spread[:, None, :],
        )
        self._take_parts_out(plain, score, bend, common)
        return plain

    def _take_parts_out(self, block: Block, score: Array, bend: Array, common: Array) -> None:
        """Give each hive what the hives split off from it say of it, in place."""
        hives = self.hives
        for lent, spread, part, parent in zip(block.lent, hives.lent_spread, hives.parts, hives.parents, strict=True):
            pull = np.linalg.solve(block.own[part], lent)
            by = spread[:, None] * bend[part]
            block.slope_own[parent] += spread * score[part] - pull.T @ block.slope_own[part]
            block.own[parent] += by * spread - lent.T @ pull
            block.across[parent] += by @ common.T - pull.T @ block.across[part]

    def _lean(self, parameters: Array) -> tuple[Array, Array]:
        """Slope (units, size) and information (units, size, size) of each hive's likelihood by its parameters."""
        size = self.hives.size
        score, bend = np.zeros((len(parameters), size)), np.zeros((len(parameters), size, size))
        seen = [n for n, sight in enumerate(self.sights) if sight.looks]
        if not seen:
            return score, bend
        steps = np.full(size, STEP)
        steps[t.SHIFT] *= 100
        rows = parameters[seen][:, None, :] + np.vstack([np.zeros(size), np.diag(steps)])
        run = self.run(rows.reshape(-1, size), np.repeat(seen, size + 1))
        for place, unit in enumerate(seen):
            mine = np.arange(place * (size + 1), (place + 1) * (size + 1))
            sight = self.sights[unit]
            expected = sight.log_expected(self.seen(run, mine, unit), rows[place])
            here, sizes = rows[place][0], sight.sizes(rows[place][:1])[0]
            for lean, by in (
                (sight.lean(expected[0], sizes), (expected[1:] - expected[0]).T / steps),
                (sight.lean_scatter(expected[0], here), sight.scatter_by(size)),
            ):
                score[unit] += lean[0] @ by
                bend[unit] += by.T @ (lean[1][:, None] * by)
        return score, bend
