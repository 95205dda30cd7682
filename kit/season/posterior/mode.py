r"""The likeliest parameters of all hives given all that was seen, and the curvature there.

.. math::
    \hat z = \arg\max \Big[ \sum_k \log p(y_k \mid z) - \tfrac12 z^\top z \Big]

z are standard normals of the operation, of each apiary and of each hive. Given operation and apiary the hives know
nothing of each other, and given the operation the apiaries do not: hives are taken out first, then apiaries, so that
time and memory grow with their number. Newton steps by Fisher's information are halved until the fit no longer gets
worse.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy import linalg

from kit.season.posterior.place import Block, Place
from kit.season.usual import Array

STEPS = 40
SETTLED = 0.02
"""A step that gains less log probability than this, for all hives together, changes no band."""
LEAST_SCALE = 1e-3

Each = Callable[[Callable[[Any], Any], Sequence[Any]], list[Any]]
"""Runs one function over many places and gives the results in their order."""


class Arrow(NamedTuple):
    """The shared precision of one apiary with its hives taken out: apiary (a), operation (o) and between.

    `root` lower Cholesky root of the apiary's own block; `pull` the operation's pull on it; `left` what is left for the
    operation; `lean_apiary`, `lean_operation` slopes with hives and apiary taken out.
    """

    root: Array
    pull: Array
    left: Array
    lean_apiary: Array
    lean_operation: Array


@dataclass(frozen=True)
class Mode:
    """Where the fit came to rest.

    Parameters
    ----------
    operation : ndarray, shape (size,)
        Standard normals of the operation.
    places, blocks, arrows : sequence
        Of each apiary in the order given.
    root : ndarray
        Lower Cholesky root of the operation's precision with all else taken out.
    settled : bool
        Whether the last step was too small to matter.
    """

    operation: Array
    places: Sequence[Place]
    blocks: Sequence[Block]
    arrows: Sequence[Arrow]
    root: Array
    settled: bool


def mode(places: Sequence[Place], size: int, each: Each) -> Mode:
    """The likeliest parameters of all places together; `size` is the number of the operation's standard normals."""
    operation, settled = np.zeros(size), False
    value = _value(operation, places, each)
    for _ in range(STEPS):
        blocks, arrows, root = _curvature(operation, places, each)
        step = linalg.cho_solve((root, True), sum((a.lean_operation for a in arrows), -operation))
        new_operation, new_places, new_value = _uphill(operation, places, (blocks, arrows), (step, value), each)
        settled = new_value - value < SETTLED
        operation, places, value = new_operation, new_places, new_value
        if settled:
            break
    return Mode(operation, places, *_curvature(operation, places, each), settled)


def _value(operation: Array, places: Sequence[Place], each: Each) -> float:
    return sum(each(lambda place: place.value(operation), places), -0.5 * float(operation @ operation))


def _curvature(operation: Array, places: Sequence[Place], each: Each) -> tuple[Sequence[Block], Sequence[Arrow], Array]:
    both = each(lambda place: _bent(place, operation), places)
    arrows = [arrow for _, arrow in both]
    precision = sum((arrow.left for arrow in arrows), np.eye(len(operation)))
    return [block for block, _ in both], arrows, linalg.cholesky(precision, lower=True)


def _bent(place: Place, operation: Array) -> tuple[Block, Arrow]:
    block = place.block(operation)
    first = len(operation)
    solved = np.linalg.solve(block.own, block.across)
    shared = block.shared - np.einsum("uip,uiq->pq", block.across, solved)
    lean = block.slope_shared - np.einsum("uip,ui->p", solved, block.slope_own)
    root = linalg.cholesky(shared[first:, first:] + np.eye(len(shared) - first), lower=True)
    pull = linalg.cho_solve((root, True), shared[first:, :first])
    lean_apiary = linalg.cho_solve((root, True), lean[first:] - place.shared)
    left = shared[:first, :first] - shared[:first, first:] @ pull
    return block, Arrow(root, pull, left, lean_apiary, lean[:first] - shared[:first, first:] @ lean_apiary)


def _uphill(
    operation: Array,
    places: Sequence[Place],
    bent: tuple[Sequence[Block], Sequence[Arrow]],
    step_value: tuple[Array, float],
    each: Each,
) -> tuple[Array, Sequence[Place], float]:
    step, value = step_value
    steps = [_steps(block, arrow, step) for block, arrow in zip(*bent, strict=True)]
    scale = 1.0
    while scale > LEAST_SCALE:
        moved = [place.moved(scale * s, scale * o) for place, (s, o) in zip(places, steps, strict=True)]
        there = _value(operation + scale * step, moved, each)
        if there >= value:
            return operation + scale * step, moved, there
        scale /= 2
    return operation, places, value


def _steps(block: Block, arrow: Arrow, step: Array) -> tuple[Array, Array]:
    shared = arrow.lean_apiary - arrow.pull @ step
    both = np.concatenate([step, shared])
    own = np.linalg.solve(block.own, (block.slope_own - block.across @ both)[:, :, None])[:, :, 0]
    return shared, own
