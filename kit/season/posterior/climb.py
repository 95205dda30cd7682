"""One apiary on its way to the likeliest parameters: where it stands, its curvature, and the step it tries."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy import linalg

from kit.season.posterior.place import Block, Place
from kit.season.usual import Array


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


class Climb:
    """One apiary with its hives.

    Parameters
    ----------
    place : Place
        Where it begins.
    """

    block: Block
    arrow: Arrow
    aimed: tuple[Array, Array]

    def __init__(self, place: Place) -> None:
        self.place = self.trial = place

    def value(self, operation: Array) -> float:
        """Log probability of its counts and standard normals, up to a constant."""
        return self.place.value(operation)

    def bend(self, operation: Array) -> tuple[Array, Array]:
        """Take the curvature here; what is left of it for the operation, and the slope."""
        self.block, self.arrow = _bent(self.place, operation)
        return self.arrow.left, self.arrow.lean_operation

    def aim(self, step: Array) -> float:
        """Take the whole Newton step, the operation's part being `step`; its longest part."""
        shared = self.arrow.lean_apiary - self.arrow.pull @ step
        both = np.concatenate([step, shared])
        block, hives = self.block, self.place.hives
        own = np.linalg.solve(block.own, (block.slope_own - block.across @ both)[:, :, None])[:, :, 0]
        for lent, part, parent in zip(block.lent, hives.parts, hives.parents, strict=True):
            own[part] -= np.linalg.solve(block.own[part], lent @ own[parent])
        self.aimed = shared, own
        return float(max(np.abs(part).max(initial=0.0) for part in self.aimed))

    def tried(self, scale: float, there: Array) -> float:
        """The value a part of that step away, the operation being `there`."""
        shared, own = self.aimed
        self.trial = self.place.moved(scale * shared, scale * own)
        return self.trial.value(there)

    def take(self) -> None:
        """Stand where it tried."""
        self.place = self.trial


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
