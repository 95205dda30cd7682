r"""The likeliest parameters of every hive given all counts, and draws around them.

.. math::
    \hat z = \arg\max \Big[ \sum_k \log p(y_k \mid z) - \tfrac12 z^\top z \Big], \qquad
    z \mid y \approx N(\hat z, H^{-1})

z are standard normals of the operation, of each apiary and of each hive (`kit.season.latent`); H is Fisher's
information plus one. Given operation and apiary the hives know nothing of each other, so each is solved by itself and
the shared ones by what is left (Schur complement): time grows with the number of hives, and three counted hives
inform the twenty beside them. Newton steps are halved until the fit no longer gets worse. The normal approximation is
the limit of this reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
from scipy import linalg

from kit.constants import reading
from kit.season.course import course, slopes
from kit.season.evidence import Frames, Look, expected, slope, weigh
from kit.season.latent import Latent
from kit.season.usual import Array

STEPS = 60
SETTLED = 1e-3
"""A step that gains less log probability than this changes no band."""
DRAWS = 200


@dataclass
class Place:
    """One apiary in the fit: its hives, their counts, and where the fit stands.

    `shared` (size,) and `own` (units, size) are standard normals.
    """

    apiary: str
    latent: Latent
    looks: Sequence[Look]
    frames: Sequence[Frames]
    shared: Array
    own: Array

    @classmethod
    def at_rest(cls, apiary: str, latent: Latent, looks: Sequence[Look], frames: Sequence[Frames] = ()) -> Place:
        """At the usual year."""
        return cls(apiary, latent, looks, frames, np.zeros(latent.size), np.zeros((len(latent.units), latent.size)))

    def parameters(self, operation: Array) -> Array:
        """Parameters of each hive, shape (units, size)."""
        latent = self.latent
        common = operation @ latent.from_operation + self.shared * latent.shared_spread
        return latent.centre + common + self.own * latent.own_spread

    def moved(self, shared: Array, own: Array) -> Place:
        """The same place elsewhere."""
        return replace(self, shared=self.shared + shared, own=self.own + own)


@dataclass(frozen=True)
class Fit:
    """Where the fit came to rest, and the curvature there.

    Parameters
    ----------
    operation : ndarray, shape (size,)
        Standard normals of the operation.
    places : sequence of Place
        Apiaries in the order of their names.
    blocks : sequence of Block
        Curvature of each place.
    root : ndarray
        Lower Cholesky root of the shared precision, operation first, then each place.
    settled : bool
        Whether the last step was too small to matter.
    """

    operation: Array
    places: Sequence[Place]
    blocks: Sequence[Block]
    root: Array
    settled: bool


@dataclass(frozen=True)
class Block:
    """Slope and curvature of one place by its own hives (u) and by what they share (s: operation, then apiary)."""

    slope_own: Array
    slope_shared: Array
    own: Array
    across: Array
    shared: Array


def fit(places: Sequence[Place], size: int) -> Fit:
    """The likeliest parameters of all places together; `size` is the number of the operation's standard normals."""
    places = sorted(places, key=lambda place: place.apiary)
    operation = np.zeros(size)
    value = _value(operation, places)
    settled = False
    for _ in range(STEPS):
        blocks = [_block(place, operation) for place in places]
        root, step_shared = _shared_step(operation, places, blocks)
        new_operation, new_places, new_value = _downhill(operation, places, blocks, step_shared, value)
        settled = new_value - value < SETTLED
        operation, places, value = new_operation, new_places, new_value
        if settled:
            break
    blocks = [_block(place, operation) for place in places]
    root, _ = _shared_step(operation, places, blocks)
    return Fit(operation, places, blocks, root, settled)


def draws(found: Fit, place: int, seed: int, count: int = DRAWS) -> Array:
    """Draws of the parameters of one place's hives, shape (count, units, size); keyed by (seed, apiary, colony)."""
    here, block, latent = found.places[place], found.blocks[place], found.places[place].latent
    stray = _shared_stray(found, seed, count)
    first = len(found.operation)
    mine = first + sum(p.latent.size for p in found.places[:place])
    both = np.hstack([stray[:, :first], stray[:, mine : mine + latent.size]])
    own = np.empty((count, len(latent.units), latent.size))
    for number, unit in enumerate(latent.units):
        rng = np.random.default_rng([seed, crc32(unit.apiary.encode()), crc32(f"{unit.scope}/{unit.colony}".encode())])
        root = linalg.cholesky(block.own[number], lower=True)
        free = linalg.solve_triangular(root.T, rng.standard_normal((latent.size, count)), lower=False).T
        pulled = linalg.cho_solve((root, True), block.across[number] @ both.T).T
        own[:, number] = here.own[number] - pulled + free
    operation = found.operation + stray[:, :first]
    shared = here.shared + stray[:, mine : mine + latent.size]
    common = operation @ latent.from_operation + shared * latent.shared_spread
    return latent.centre + common[:, None, :] + own * latent.own_spread


def _shared_stray(found: Fit, seed: int, count: int) -> Array:
    keys = ["", *(place.apiary for place in found.places)]
    sizes = [len(found.operation), *(place.latent.size for place in found.places)]
    normals = [
        np.random.default_rng([seed, crc32(key.encode()), 1]).standard_normal((count, size))
        for key, size in zip(keys, sizes, strict=True)
    ]
    return linalg.solve_triangular(found.root.T, np.hstack(normals).T, lower=False).T


def _value(operation: Array, places: Sequence[Place]) -> float:
    total = -0.5 * float(operation @ operation)
    for place in places:
        total -= 0.5 * (float(place.shared @ place.shared) + float(np.sum(place.own**2)))
        if place.looks:
            parameters = place.parameters(operation)
            run = course(place.latent.lanes(parameters, np.arange(len(parameters))))
            total += sum(weigh(look, expected(look, run, parameters)).value for look in place.looks)
        total -= 0.5 * sum(look.stray(place.parameters(operation)) ** 2 for look in place.frames)
    return total


def _block(place: Place, operation: Array) -> Block:
    latent = place.latent
    units, size = len(latent.units), latent.size
    score, bend = np.zeros((units, size)), np.zeros((units, size, size))
    parameters = place.parameters(operation)
    for seen in place.frames:
        score[seen.unit] += seen.stray(parameters) / reading.FRAME_SPREAD.value * seen.by
        bend[seen.unit] += np.outer(seen.by, seen.by) / reading.FRAME_SPREAD.value**2
    if place.looks:
        each = np.arange(units)
        run, bent = slopes(latent.lanes(parameters, each), latent.bends(parameters, each))
        for look in place.looks:
            by = slope(look, run, bent, parameters)
            weight = weigh(look, expected(look, run, parameters))
            score[look.unit] += weight.score * by
            bend[look.unit] += weight.information * np.outer(by, by)
    common = np.vstack([latent.from_operation, np.diag(latent.shared_spread)])
    scaled = latent.own_spread[:, :, None] * bend
    return Block(
        slope_own=score * latent.own_spread - place.own,
        slope_shared=common @ score.sum(axis=0),
        own=scaled * latent.own_spread[:, None, :] + np.eye(size),
        across=scaled @ common.T,
        shared=common @ bend.sum(axis=0) @ common.T,
    )


def _shared_step(operation: Array, places: Sequence[Place], blocks: Sequence[Block]) -> tuple[Array, Array]:
    """Root of the shared precision with the hives taken out, and the Newton step of the shared normals."""
    first = len(operation)
    size = first + sum(place.latent.size for place in places)
    precision, lean = np.eye(size), np.concatenate([-operation, *(-place.shared for place in places)])
    at = first
    for place, block in zip(places, blocks, strict=True):
        where = np.r_[0:first, at : at + place.latent.size]
        solved = np.linalg.solve(block.own, block.across)
        precision[np.ix_(where, where)] += block.shared - np.einsum("uip,uiq->pq", block.across, solved)
        lean[where] += block.slope_shared - np.einsum("uip,ui->p", solved, block.slope_own)
        at += place.latent.size
    root = linalg.cholesky(precision, lower=True)
    return root, linalg.cho_solve((root, True), lean)


def _downhill(
    operation: Array, places: Sequence[Place], blocks: Sequence[Block], step: Array, value: float
) -> tuple[Array, list[Place], float]:
    first = len(operation)
    at, parts = first, []
    for place, block in zip(places, blocks, strict=True):
        shared = step[at : at + place.latent.size]
        both = np.concatenate([step[:first], shared])
        own = np.linalg.solve(block.own, (block.slope_own - block.across @ both)[:, :, None])[:, :, 0]
        parts.append((shared, own))
        at += place.latent.size
    scale = 1.0
    while scale > 1e-4:
        moved = [place.moved(scale * s, scale * o) for place, (s, o) in zip(places, parts, strict=True)]
        there = _value(operation + scale * step[:first], moved)
        if there >= value:
            return operation + scale * step[:first], moved, there
        scale /= 2
    return operation, list(places), value
