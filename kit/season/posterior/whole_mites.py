r"""Mites are whole: what births, deaths and kills by chance alone add to the course of few mites.

.. math:: N = \Bigl(\sqrt n + \tfrac12 \sqrt{\phi/H}\, x_t\Bigr)^2 - \phi/4H

n mites by the law, H hives averaged, :math:`\phi` the variance against the mean, x a slowly wandering standard normal
of its own for each draw. The law's mites are a mean; one colony's are counted in ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from zlib import crc32

import numpy as np

from kit.constants import hives
from kit.season.units import COLONY, Unit
from kit.season.usual import Array, Draws

KNOT_DAYS = 30
"""Days over which one colony's luck is forgotten: about two generations of mites."""


def whole(mites: Draws, units: Sequence[Unit], seed: int) -> Draws:
    """The mites with the luck of few, of shape (draws, units, days) as given; whole numbers for single colonies."""
    found = np.empty_like(mites)
    for n, unit in enumerate(units):
        key = [seed, crc32(unit.apiary.encode()), crc32(f"{unit.scope}/{unit.colony}".encode()), 3]
        luck = _wandering(np.random.default_rng(key), len(mites), mites.shape[2])
        step = np.sqrt(hives.LUCK_OF_FEW.value / unit.averaged) / 2
        lucky = np.maximum(np.sqrt(mites[:, n]) + step * luck, 0) ** 2 - step**2
        found[:, n] = np.maximum(np.rint(lucky) if unit.scope == COLONY else lucky, 0)
    return found


def _wandering(rng: np.random.Generator, draws: int, days: int) -> Array:
    """Standard normals that turn slowly from one knot to the next, shape (draws, days)."""
    at = np.arange(days) / KNOT_DAYS
    knots = rng.standard_normal((draws, int(at[-1]) + 2))
    before = at.astype(int)
    turn = np.pi / 2 * (at - before)
    return np.asarray(knots[:, before] * np.cos(turn) + knots[:, before + 1] * np.sin(turn))
