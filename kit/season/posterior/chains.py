"""The chains of one apiary: a draw of what its hives share and of each hive, moved by elliptical slices.

The reference is the normal approximation at the mode, a little wider. What an apiary and its hives add to where the
approximation has them follow (their stray) is kept while the level above moves: so the levels move freely. A hive and
those split off from it move together.
"""

from __future__ import annotations

from copy import deepcopy
from functools import cached_property
from typing import NamedTuple
from zlib import crc32

import numpy as np
from scipy import linalg

from kit.season.posterior.climb import Climb
from kit.season.posterior.place import Whole
from kit.season.posterior.slices import Open, turn
from kit.season.usual import Array

WIDER = 1.15
"""The reference is wider than the normal approximation by this factor of the variance."""

MOVED = ("operation", "shared", "stray", "own", "weight")
"""What the moves of chains change in place."""


class Stand(NamedTuple):
    """Somewhere an apiary and its hives may move to: `operation`, `shared`, `own` and `weight` as of `Chains`."""

    operation: Array
    shared: Array
    own: Array
    weight: Array


class Chains:
    """As many chains as there are draws of the operation. Random streams are keyed by (seed, apiary, colony).

    Parameters
    ----------
    climb : Climb
        The apiary at the mode.
    middle : ndarray, shape (operation_size,)
        Standard normals of the operation there.
    operation : ndarray, shape (draws, operation_size)
        Draws of the operation's standard normals.
    seed : int
        Of the run.
    """

    tried: Stand

    def __init__(self, climb: Climb, middle: Array, operation: Array, seed: int) -> None:
        self.place, self.arrow, block = climb.place, climb.arrow, climb.block
        self.middle, self.operation = middle, operation.copy()
        units, apiary = self.place.hives.units, self.place.apiary
        self.rng = np.random.default_rng([seed, crc32(apiary.encode()), 2])
        self.rngs = [
            np.random.default_rng([seed, crc32(apiary.encode()), crc32(f"{u.scope}/{u.colony}".encode())])
            for u in units
        ]
        self.count, self.units, self.size = len(operation), len(units), self.place.hives.size
        self.runs = 0
        self.roots = np.linalg.cholesky(block.own)
        parts, parents = self.place.hives.parts, self.place.hives.parents
        self.pull = np.linalg.solve(block.own[parts], block.lent)  # splits, size of the part, size of the parent
        follow = np.linalg.solve(block.own, block.across)  # units, size, operation and apiary
        follow[parts] -= self.pull @ follow[parents]
        self.follow = np.ascontiguousarray(np.moveaxis(follow, 2, 0).reshape(follow.shape[2], -1))
        self.shared = self.shared_middle(operation) + self._free_apiary()
        self.stray = self._free_hives()
        self.own = self.own_middle(operation, self.shared) + self._away(self.stray)
        everyone = np.ones((self.count, self.units), dtype=bool)
        parameters = self.parameters()
        self.first = parameters.astype(np.float32)
        self.weight = self.weights(parameters, self.own, self.stray, everyone)

    def __copy__(self) -> Chains:
        """The same chains, to be moved apart from these: what moves in place is copied."""
        new = object.__new__(Chains)
        new.__dict__ = self.__dict__ | {name: getattr(self, name).copy() for name in MOVED}
        new.rng, new.rngs = deepcopy(self.rng), deepcopy(self.rngs)
        return new

    def parameters(self) -> Array:
        """Parameters where the chains stand, shape (draws, units, size)."""
        return self.place.parameters(self.operation, self.shared, self.own)

    def move_hives(self) -> None:
        """One move of every hive of every draw, apart but for those split off from each other."""
        middle, stray = self.own - self._away(self.stray), self.stray.copy()
        free = np.sqrt(WIDER) * self._free_hives()
        there, own, weight = np.empty_like(stray), np.empty_like(stray), self.weight

        def propose(angle: Array, open_: Open) -> Array:
            nonlocal weight
            each, wanted = angle[:, self._family][..., None], open_[:, self._family]
            there[:] = stray * np.cos(each) + free * np.sin(each)
            own[:] = middle + self._away(there)
            weight = self.weights(self.place.parameters(self.operation, self.shared, own), own, there, wanted)
            return self._by_family(weight)

        def keep(good: Open) -> None:
            hives = good[:, self._family]
            self.stray[hives], self.own[hives], self.weight[hives] = there[hives], own[hives], weight[hives]

        turn(self._by_family(self.weight), self._uniform, propose, keep)

    def move_apiary(self) -> None:
        """One move of what the hives of each draw share; every hive keeps its stray."""
        middle = self.shared_middle(self.operation)
        away, free = self.shared - middle, np.sqrt(WIDER) * self._free_apiary()

        def propose(angle: Array, open_: Open) -> Array:
            shared = middle + away * np.cos(angle)[:, None] + free * np.sin(angle)[:, None]
            return self._try(self.operation, shared, open_)

        turn(self.total(), lambda _: self.rng.random(self.count), propose, self.take)

    def follow_operation(self, operation: Array, open_: Open) -> Array:
        """Try where apiary and hives stand when the operation moves and every stray is kept; the totals there."""
        shared = self.shared_middle(operation) + self.shared - self.shared_middle(self.operation)
        return self._try(operation, shared, open_)

    def take(self, good: Open) -> None:
        """Let some draws stand where they tried."""
        for name, there in self.tried._asdict().items():
            getattr(self, name)[good] = there[good]

    def _try(self, operation: Array, shared: Array, open_: Open) -> Array:
        """Weigh a place of the open draws; log of posterior over reference there, shape (draws,)."""
        draw = np.flatnonzero(open_)
        own = self.own.copy()
        own[draw] = self.own_middle(operation[draw], shared[draw]) + self._away(self.stray[draw])
        parameters = np.empty((self.count, self.units, self.size))
        parameters[draw] = self.place.parameters(operation[draw], shared[draw], own[draw])
        weight = self.weights(parameters, own, self.stray, np.repeat(open_[:, None], self.units, axis=1))
        self.tried = Stand(operation, shared, own, weight)
        return self.apiary_weight(operation, shared, weight)

    def total(self) -> Array:
        """Log of posterior over reference of apiary and hives where the chains stand, shape (draws,)."""
        return self.apiary_weight(self.operation, self.shared, self.weight)

    def weights(self, parameters: Array, own: Array, stray: Array, wanted: Open) -> Array:
        """Log of posterior over reference for each draw and hive, where wanted; 0 elsewhere."""
        found = np.zeros((self.count, self.units))
        for n, root in enumerate(self.roots):
            mine = np.flatnonzero(wanted[:, n])
            found[mine, n] = 0.5 * np.sum((stray[mine, n] @ root) ** 2, axis=1) / WIDER
            found[mine, n] -= 0.5 * np.sum(own[mine, n] ** 2, axis=1)
        draw, unit = np.nonzero(wanted & self._seen)
        found[draw, unit] += self.place.log_likelihood(parameters[draw, unit], unit)
        self.runs += len(unit)
        return found

    def shared_middle(self, operation: Array) -> Array:
        """Where the normal approximation has the apiary, given the operation, shape (draws, size)."""
        return np.asarray(self.place.shared - (operation - self.middle) @ self.arrow.pull.T)

    def own_middle(self, operation: Array, shared: Array) -> Array:
        """Where it has each hive, given operation and apiary, shape (draws, units, size)."""
        both = np.hstack([operation - self.middle, shared - self.place.shared])
        return np.asarray(self.place.own - (both @ self.follow).reshape(len(both), self.units, self.size))

    def apiary_weight(self, operation: Array, shared: Array, weight: Array) -> Array:
        """Log of posterior over reference of apiary and hives, given the weights of the hives, shape (draws,)."""
        away = (shared - self.shared_middle(operation)) @ self.arrow.root
        return np.asarray(weight.sum(axis=1) + 0.5 * np.sum(away**2, axis=1) / WIDER - 0.5 * np.sum(shared**2, axis=1))

    def _away(self, stray: Array) -> Array:
        """How far the strays take the hives: one split off follows its parent. Shape (draws, units, size)."""
        away = stray.copy()
        for pull, part, parent in zip(self.pull, self.place.hives.parts, self.place.hives.parents, strict=True):
            away[:, part] -= stray[:, parent] @ pull.T
        return away

    @cached_property
    def _family(self) -> Whole:
        """The family of each hive, shape (units,)."""
        first = np.arange(self.units)
        first[self.place.hives.parts] = self.place.hives.parents
        return np.asarray(np.unique(first, return_inverse=True)[1], dtype=np.int64)

    def _by_family(self, weight: Array) -> Array:
        """Weights of hives summed over each family, shape (draws, families)."""
        return np.asarray(weight @ np.eye(self._family.max() + 1)[self._family])

    @cached_property
    def _seen(self) -> Open:
        return np.array([len(sight.looks) > 0 for sight in self.place.sights], dtype=bool)

    def _free_apiary(self) -> Array:
        free = self.rng.standard_normal((self.size, self.count))
        return np.asarray(linalg.solve_triangular(self.arrow.root.T, free, lower=False).T)

    def _free_hives(self) -> Array:
        found = np.empty((self.count, self.units, self.size))
        for n, (rng, root) in enumerate(zip(self.rngs, self.roots, strict=True)):
            free = rng.standard_normal((self.size, self.count))
            found[:, n] = linalg.solve_triangular(root.T, free, lower=False).T
        return found

    def _uniform(self, open_: Open) -> Array:
        """Even numbers for each draw and family; one whose draws want none leaves its stream alone."""
        found = np.full(open_.shape, 0.5)
        for family, first in enumerate(np.unique(self._family, return_index=True)[1]):
            if open_[:, family].any():
                found[:, family] = self.rngs[first].random(self.count)
        return found
