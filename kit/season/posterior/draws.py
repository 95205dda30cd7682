"""Draws of every hive's parameters: from the curvature at the mode, then set right against the law by slice moves.

Every draw is a chain of its own that starts at the normal approximation. A round moves the operation (all apiaries and
hives following), then each apiary with its hives, then each hive by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from kit.held import Held
from kit.season.posterior.chains import WIDER, Chains
from kit.season.posterior.mode import Mode
from kit.season.posterior.slices import Open, turn
from kit.season.usual import Array

DRAWS = 200
ROUNDS = 4
OPERATION_MOVES, APIARY_MOVES, HIVE_MOVES = 1, 1, 1


@dataclass(frozen=True)
class Drawn:
    """Draws of one apiary.

    Parameters
    ----------
    parameters, first : ndarray, shape (draws, units, size)
        Of the hives, and where each chain began (in single precision).
    runs : int
        Years of the law run, all hives and draws together.
    """

    parameters: Array
    first: NDArray[np.float32]
    runs: int


def packed(drawn: Sequence[Drawn | None]) -> dict[str, NDArray[Any]]:
    """Draws of all places as arrays by name, to be kept; None where sampling failed."""
    arrays: dict[str, NDArray[Any]] = {"places": np.array(len(drawn))}
    for place, one in enumerate(drawn):
        if one is not None:
            arrays |= {f"parameters {place}": one.parameters, f"first {place}": one.first}
            arrays[f"runs {place}"] = np.array(one.runs)
    return arrays


def unpacked(arrays: Mapping[str, NDArray[Any]]) -> list[Drawn | None]:
    """Draws from what `packed` made of them."""
    return [_unpacked(arrays, place) for place in range(int(arrays["places"]))]


def _unpacked(arrays: Mapping[str, NDArray[Any]], place: int) -> Drawn | None:
    if f"runs {place}" not in arrays:
        return None
    return Drawn(arrays[f"parameters {place}"], arrays[f"first {place}"], int(arrays[f"runs {place}"]))


def sample(found: Mode, seed: int, *, rounds: int = ROUNDS, count: int = DRAWS) -> list[Drawn]:
    """Draws of the hives of every place, in its order; the climbs are let go."""
    rng = np.random.default_rng([seed, 1])
    operation = found.operation + _free(found, rng, count)
    chains = found.climbs.made(Chains, found.operation, operation, seed)
    found.climbs.let_go()
    for _ in range(rounds):
        for _ in range(OPERATION_MOVES):
            operation = _move_operation(found, operation, chains, rng)
        chains.each(_move_below)
    return chains.each(_drawn)


def _drawn(chains: Chains) -> Drawn:
    return Drawn(chains.parameters(), chains.first, chains.runs)


def _move_below(chains: Chains) -> None:
    for _ in range(APIARY_MOVES):
        chains.move_apiary()
    for _ in range(HIVE_MOVES):
        chains.move_hives()


def _move_operation(found: Mode, operation: Array, chains: Held[Chains], rng: np.random.Generator) -> Array:
    """One move of the operation of every draw; every apiary and hive keeps its stray."""
    away, free = operation - found.operation, np.sqrt(WIDER) * _free(found, rng, len(operation))
    stand, tried = operation.copy(), operation

    def weigh(there: Array) -> Array:
        stretched = (there - found.operation) @ found.root
        return np.asarray(0.5 * np.sum(stretched**2, axis=1) / WIDER - 0.5 * np.sum(there**2, axis=1))

    def propose(angle: Array, open_: Open) -> Array:
        nonlocal tried
        tried = found.operation + away * np.cos(angle)[:, None] + free * np.sin(angle)[:, None]
        return sum(chains.each(Chains.follow_operation, tried, open_), weigh(tried))

    def keep(good: Open) -> None:
        stand[good] = tried[good]
        chains.each(Chains.take, good)

    turn(sum(chains.each(Chains.total), weigh(operation)), lambda _: rng.random(len(operation)), propose, keep)
    return stand


def _free(found: Mode, rng: np.random.Generator, count: int) -> Array:
    free = rng.standard_normal((len(found.operation), count))
    return np.asarray(linalg.solve_triangular(found.root.T, free, lower=False).T)
