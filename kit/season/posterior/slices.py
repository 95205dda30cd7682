r"""Elliptical slice moves of many chains at once.

.. math::
    z' = \mu + (z-\mu)\cos\theta + \nu\sin\theta, \qquad \nu \sim N(0, \Sigma)

:math:`\theta` is drawn from a bracket that shrinks towards 0 until the weight, log posterior over the reference
N(:math:`\mu, \Sigma`), is above a level drawn below where the chain stands. No tuning; the posterior is left as it is
(Murray, Adams & MacKay 2010; a reference that is not the prior: Nishihara, Murray & Adams 2014).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from kit.season.usual import Array

Open = NDArray[np.bool_]

MOST_TRIES = 14
"""A bracket shrunk so often holds nothing but where the chain stands."""


def turn(
    weight: Array,
    uniform: Callable[[Open], Array],
    propose: Callable[[Array, Open], Array],
    keep: Callable[[Open], None],
) -> Array:
    """Move every chain once; returns the weights where the chains then stand.

    Parameters
    ----------
    weight : ndarray
        Where each chain stands; its shape is that of the chains.
    uniform : callable
        Numbers from 0 to 1 for the chains that are open.
    propose : callable
        Weights at some angles [rad] for the chains that are open.
    keep : callable
        Takes over the last proposal for some chains.
    """
    open_ = np.ones(weight.shape, dtype=bool)
    level = weight + np.log(uniform(open_))
    angle = 2 * np.pi * uniform(open_)
    low, high = angle - 2 * np.pi, angle.copy()
    weight = weight.copy()
    for _ in range(MOST_TRIES):
        there = propose(angle, open_)
        good = open_ & (there >= level)
        keep(good)
        weight[good] = there[good]
        open_ &= ~good
        if not open_.any():
            break
        low, high = np.where(angle < 0, angle, low), np.where(angle >= 0, angle, high)
        angle = np.where(open_, low + (high - low) * uniform(open_), angle)
    return weight
