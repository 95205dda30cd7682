r"""Mites are whole: what births, deaths and kills by chance alone add to the course of few mites.

.. math::
    N = \Bigl(\sqrt n + \tfrac12 \sqrt{\phi/H}\, x_t\Bigr)^2 - \phi/4H, \qquad
    B = N p + \sqrt{N p (1 - p)/H}\, y_t

n mites by the law, H hives averaged, :math:`\phi` the variance against the mean, B of them on bees where the law has a
share p there, x and y slowly wandering standard normals of their own for each draw. The law's mites are a mean; one
colony's are counted in ones.
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
CELL_DAYS = 12
"""Days over which it is forgotten which mites sit in cells: one worker cell."""
LUCK, WHERE = 3, 6
"""Random streams of the two."""


def whole(mites: Draws, units: Sequence[Unit], seed: int) -> Draws:
    """The mites with the luck of few, of shape (draws, units, days) as given; whole numbers for single colonies."""
    found = np.empty_like(mites)
    for n, unit in enumerate(units):
        luck = _wandering(_stream(unit, seed, LUCK), mites[:, n].shape, KNOT_DAYS)
        step = np.sqrt(hives.LUCK_OF_FEW.value / unit.averaged) / 2
        lucky = np.maximum(np.sqrt(mites[:, n]) + step * luck, 0) ** 2 - step**2
        found[:, n] = np.maximum(np.rint(lucky) if unit.scope == COLONY else lucky, 0)
    return found


def on_bees(mites: Draws, share: Draws, units: Sequence[Unit], seed: int) -> Draws:
    """How many of some mites sit on bees where a share of them does by the law; both (draws, units, days)."""
    found = np.empty_like(mites)
    for n, unit in enumerate(units):
        luck = _wandering(_stream(unit, seed, WHERE), mites[:, n].shape, CELL_DAYS)
        whole_mites, p = mites[:, n], np.clip(share[:, n], 0, 1)
        lucky = whole_mites * p + np.sqrt(whole_mites * p * (1 - p) / unit.averaged) * luck
        found[:, n] = np.clip(np.rint(lucky) if unit.scope == COLONY else lucky, 0, whole_mites)
    return found


def _stream(unit: Unit, seed: int, kind: int) -> np.random.Generator:
    return np.random.default_rng(
        [seed, crc32(unit.apiary.encode()), crc32(f"{unit.scope}/{unit.colony}".encode()), kind]
    )


def _wandering(rng: np.random.Generator, shape: tuple[int, ...], knot_days: int) -> Array:
    """Standard normals that turn slowly from one knot to the next, shape (draws, days)."""
    at = np.arange(shape[1]) / knot_days
    knots = rng.standard_normal((shape[0], int(at[-1]) + 2))
    before = at.astype(int)
    turn = np.pi / 2 * (at - before)
    return np.asarray(knots[:, before] * np.cos(turn) + knots[:, before + 1] * np.sin(turn))
