r"""The likeliest parameters of all hives given all that was seen, and the curvature there.

.. math::
    \hat z = \arg\max \Big[ \sum_k \log p(y_k \mid z) - \tfrac12 z^\top z \Big]

z are standard normals of the operation, of each apiary and of each hive. Given operation and apiary the hives know
nothing of each other but for those split off, which are taken out before the whole, and given the operation the
apiaries do not: hives are taken out first, then apiaries, so that time and memory grow with their number. Newton steps
by Fisher's information are cut to a standard normal, for from far below the counts they point far beyond them, and
halved until the fit no longer gets worse.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from kit.held import Held
from kit.season.posterior.climb import Climb
from kit.season.usual import Array

STEPS = 60
SETTLED = 0.02
"""A step that gains less log probability than this, for all hives together, changes no band."""
LONGEST = 1.0
"""No standard normal moves further in one step."""
LEAST_SCALE = 1e-3


@dataclass(frozen=True)
class Mode:
    """Where the fit came to rest.

    Parameters
    ----------
    operation : ndarray, shape (size,)
        Standard normals of the operation.
    climbs : Held of Climb
        Of each apiary in the order given.
    root : ndarray
        Lower Cholesky root of the operation's precision with all else taken out.
    settled : bool
        Whether the last step was too small to matter; False where it stood before a long one that made nothing better.
    """

    operation: Array
    climbs: Held[Climb]
    root: Array
    settled: bool


def mode(climbs: Held[Climb], size: int) -> Mode:
    """The likeliest parameters of all places together; `size` is the number of the operation's standard normals."""
    operation, settled = np.zeros(size), False
    value = _value(operation, climbs.each(Climb.value, operation))
    for _ in range(STEPS):
        root, lean = _curvature(operation, climbs)
        step = linalg.cho_solve((root, True), lean)
        longest = max([float(np.abs(step).max(initial=0.0)), *climbs.each(Climb.aim, step)])
        operation, new_value = _uphill(operation, climbs, (step, LONGEST / max(longest, LONGEST)), value)
        gained, value = new_value - value, new_value
        settled = gained < SETTLED and longest < LONGEST
        if settled or gained == 0:
            break
    return Mode(operation, climbs, _curvature(operation, climbs)[0], settled)


def _value(operation: Array, values: list[float]) -> float:
    return sum(values, -0.5 * float(operation @ operation))


def _curvature(operation: Array, climbs: Held[Climb]) -> tuple[Array, Array]:
    """Root of the operation's precision, and its slope, with everything below taken out."""
    pulls = climbs.each(Climb.bend, operation)
    precision = sum((left for left, _ in pulls), np.eye(len(operation)))
    return linalg.cholesky(precision, lower=True), sum((lean for _, lean in pulls), -operation)


def _uphill(operation: Array, climbs: Held[Climb], way: tuple[Array, float], value: float) -> tuple[Array, float]:
    """The first improvement along a step of the operation, begun at a part of it and halved; here if there is none."""
    step, scale = way
    least = LEAST_SCALE * scale
    while scale > least:
        there = operation + scale * step
        reached = _value(there, climbs.each(Climb.tried, scale, there))
        if reached >= value:
            climbs.each(Climb.take)
            return there, reached
        scale /= 2
    return operation, value
