"""Every set of apiaries that one day can hold, with the minutes of its shortest tour: for bounds and proofs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import shortest_path

from kit.plan.solver.kernel import compiled, shortest_small
from kit.plan.solver.problem import Bools, Floats, Ints, VisitProblem
from kit.plan.solver.tours import EXACT_STOPS


class DaySets(NamedTuple):
    """m sets of stops.

    Parameters
    ----------
    member : array, shape (m, n)
        1 where the apiary is in the set.
    drive, minutes, colonies : array, shape (m,)
        Of the shortest tour [min]; with service [min]; colonies in all.
    """

    member: NDArray[np.float32]
    drive: Floats
    minutes: Floats
    colonies: Floats

    def fit(self, minutes: float, colonies: float) -> Bools:
        """Which sets a day of so many minutes and colonies can hold."""
        return (self.minutes <= minutes + 1e-9) & (self.colonies <= colonies)


MOST_WORK = 500_000_000
"""Steps of tour finding, about a second's; a problem that needs more has too many sets to be of use."""


class Load(NamedTuple):
    """Minutes and colonies of each apiary, and the most that any day holds."""

    service: Floats
    colonies: Floats
    longest: float
    largest: float


def day_sets(problem: VisitProblem, visited: Bools, *, most: int) -> DaySets | None:
    """All sets that the longest day can hold, None when there are more than `most` or finding them takes too long.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.
    visited : array of bool, shape (n, D)
        Days on which an apiary may be visited; those that share none are in no set together.
    most : int
        Sets to stop at.
    """
    together = (visited.astype(np.float32) @ visited.T.astype(np.float32)) > 0
    longest, largest = problem.day_minutes.max(initial=0), problem.colonies_per_day.max(initial=0)
    stops = np.zeros((most, EXACT_STOPS), dtype=np.int64)
    counts, drive = np.zeros(most, dtype=np.int64), np.zeros(most)
    ways = np.asarray(shortest_path(problem.travel_min, method="FW"), dtype=np.float64)
    load = Load(problem.service_min, problem.colonies, float(longest), float(largest))
    found = _enumerated((problem.travel_min, ways), load, together, (stops, counts, drive))
    if found < 0:
        return None
    member = np.zeros((found, problem.n), dtype=np.float32)
    for k in range(EXACT_STOPS):
        held = counts[:found] > k
        member[np.flatnonzero(held), stops[:found, k][held]] = 1
    service, colonies = member @ problem.service_min, member @ problem.colonies
    return DaySets(member, drive[:found], drive[:found] + service, colonies)


@compiled
def _enumerated(travel: tuple[Floats, Floats], load: Load, together: Bools, out: tuple[Ints, Ints, Floats]) -> int:
    """Fill `out` with sets grown stop by stop in rising order; how many, or -1 when they do not fit into it."""
    stops, counts, drive = out
    found, work = 0, 0
    current = np.zeros(stops.shape[1] + 1, dtype=np.int64)
    depth, ahead = 0, 0
    while True:
        if ahead >= len(together) or depth == stops.shape[1]:
            if depth == 0:
                return found
            depth -= 1
            ahead = current[depth] + 1
            continue
        current[depth] = ahead
        chosen = current[: depth + 1]
        if not together[ahead][chosen].all():
            ahead += 1
            continue
        minutes, grows = _minutes(travel, load, chosen)
        work += (depth + 1) ** 2 << (depth + 1)
        if minutes >= 0:
            if found == len(counts) or work > MOST_WORK:
                return -1
            stops[found, : depth + 1], counts[found], drive[found] = chosen, depth + 1, minutes
            found += 1
        depth += grows
        ahead += 1


@compiled
def _minutes(travel: tuple[Floats, Floats], load: Load, chosen: Ints) -> tuple[float, int]:
    """Driving of a set, or -1 when no day holds it; and 1 when a larger set may still be held, else 0.

    By the shortest ways, other stops passed through at will, a larger set never takes fewer minutes.
    """
    direct, ways = travel
    at_work = load.service[chosen].sum()
    if at_work > load.longest or load.colonies[chosen].sum() > load.largest:
        return -1.0, 0
    least, _ = shortest_small(ways, chosen)
    if least + at_work > load.longest + 1e-9:
        return -1.0, 0
    drive, _ = shortest_small(direct, chosen)
    return (drive if drive + at_work <= load.longest + 1e-9 else -1.0), 1
