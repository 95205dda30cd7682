"""Compiled parts of the search for a plan: tours, insertion, removal. Private behind `schedule` and `tours`.

Taking an apiary out and putting it back is cheap: with all other apiaries fixed, the best days for its rounds follow
exactly by dynamic programming over days, because its visits fall on different days.
"""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

from kit.plan.problem import Floats, Ints

compiled = numba.njit(nogil=True, cache=True, error_model="numpy")


class Given(NamedTuple):
    """The problem as arrays; names as in `VisitProblem`."""

    travel: Floats
    service: Floats
    colonies: Floats
    rounds: Ints
    gaps: Ints
    release: Ints
    close: Ints
    minutes: Floats
    capacity: Floats
    late: Floats
    untreated: Floats
    per_min: float


class State(NamedTuple):
    """A plan under change: days by apiary (-1 left out), and of each day its stops in order and what they use."""

    days: Ints
    held: Ints
    stops: Ints
    drive: Floats
    service: Floats
    colonies: Floats


@compiled
def tour_length(travel: Floats, stops: Ints, count: int) -> float:
    """Driving [min] of base - stops in order - base."""
    total, last = 0.0, 0
    for k in range(count):
        total += travel[last, stops[k] + 1]
        last = stops[k] + 1
    return float(total + travel[last, 0])


@compiled
def _reversed_better(travel: Floats, stops: Ints, count: int) -> bool:
    before = tour_length(travel, stops, count)
    for a in range(count - 1):
        for b in range(a + 1, count):
            stops[a : b + 1] = stops[a : b + 1][::-1].copy()
            if tour_length(travel, stops, count) < before - 1e-9:
                return True
            stops[a : b + 1] = stops[a : b + 1][::-1].copy()
    return False


@compiled
def _moved_better(travel: Floats, stops: Ints, count: int) -> bool:
    before = tour_length(travel, stops, count)
    old = stops[:count].copy()
    for a in range(count):
        for b in range(count):
            if a != b:
                stop = old[a]
                k = 0
                for j in range(count):
                    if j != a:
                        if k == b:
                            k += 1
                        stops[k] = old[j]
                        k += 1
                stops[b] = stop
                if tour_length(travel, stops, count) < before - 1e-9:
                    return True
                stops[:count] = old
    return False


@compiled
def tidy(travel: Floats, stops: Ints, count: int) -> float:
    """Shorten the order of `stops` in place by reversals and moves until neither helps; its driving [min]."""
    while _reversed_better(travel, stops, count) or _moved_better(travel, stops, count):
        pass
    return tour_length(travel, stops, count)


@compiled
def shortest_small(travel: Floats, nodes: Ints) -> tuple[float, Ints]:
    """The shortest tour of a few stops and its order as positions in `nodes` (Held and Karp)."""
    m = len(nodes)
    best = np.full((1 << m, m), np.inf)
    came = np.full((1 << m, m), -1, dtype=np.int64)
    for k in range(m):
        best[1 << k, k] = travel[0, nodes[k] + 1]
    for seen in range(1, 1 << m):
        for k in range(m):
            if best[seen, k] < np.inf:
                for j in range(m):
                    if not seen & (1 << j):
                        length = best[seen, k] + travel[nodes[k] + 1, nodes[j] + 1]
                        if length < best[seen | (1 << j), j]:
                            best[seen | (1 << j), j] = length
                            came[seen | (1 << j), j] = k
    return _walked_back(travel, nodes, best, came)


@compiled
def _walked_back(travel: Floats, nodes: Ints, best: Floats, came: Ints) -> tuple[float, Ints]:
    m = len(nodes)
    seen, last, drive = (1 << m) - 1, 0, np.inf
    for k in range(m):
        if best[seen, k] + travel[nodes[k] + 1, 0] < drive:
            drive, last = best[seen, k] + travel[nodes[k] + 1, 0], k
    order = np.zeros(m, dtype=np.int64)
    for position in range(m - 1, -1, -1):
        order[position] = last
        before = came[seen, last]
        seen &= ~(1 << last)
        last = before
    return drive, order


@compiled
def insertion(given: Given, state: State, d: int, i: int) -> tuple[float, int]:
    """Least added driving [min] and position of apiary `i` on day `d`; infinite when the day cannot hold it."""
    travel, count, node = given.travel, state.held[d], i + 1
    service = state.service[d] + given.service[i]
    full = count + 1 >= state.stops.shape[1]
    if full or state.colonies[d] + given.colonies[i] > given.capacity[d] or service > given.minutes[d]:
        return np.inf, 0
    added, position, last = np.inf, 0, 0
    for k in range(count + 1):
        ahead = state.stops[d, k] + 1 if k < count else 0
        more = travel[last, node] + travel[node, ahead] - (travel[last, ahead] if count else 0.0)
        if more < added:
            added, position = more, k
        last = ahead
    if state.drive[d] + added + service > given.minutes[d] + 1e-9:
        return np.inf, 0
    return added, position


@compiled
def best_days(given: Given, state: State, i: int, found: Ints) -> float:
    """Fill `found` with the cheapest days for all rounds of apiary `i`, the rest of the plan fixed; their cost."""
    n_days, rounds = len(given.minutes), given.rounds[i]
    least = np.full((rounds, n_days), np.inf)
    came = np.full((rounds, n_days), -1, dtype=np.int64)
    for d in range(given.release[i], n_days):
        if given.minutes[d] <= 0:
            continue
        added, _ = insertion(given, state, d, i)
        if added < np.inf:
            _reach(given, i, d, given.late[i, d] + given.per_min * added, (least, came))
    last = int(np.argmin(least[rounds - 1]))
    cost: float = least[rounds - 1, last]
    for r in range(rounds - 1, -1, -1):
        found[r] = last
        last = came[r, last]
    return cost


@compiled
def _reach(given: Given, i: int, d: int, cost: float, table: tuple[Floats, Ints]) -> None:
    least, came = table
    if d <= given.close[i]:
        least[0, d] = cost
    for r in range(1, given.rounds[i]):
        for gap in range(given.gaps[i, 0], given.gaps[i, 1] + 1):
            if d - gap >= 0 and least[r - 1, d - gap] + cost < least[r, d]:
                least[r, d] = least[r - 1, d - gap] + cost
                came[r, d] = d - gap


@compiled
def put_in(given: Given, state: State, i: int, found: Ints) -> None:
    """Add the visits of apiary `i` on the days in `found`."""
    for r in range(given.rounds[i]):
        d = found[r]
        _, position = insertion(given, state, d, i)
        for k in range(state.held[d], position, -1):
            state.stops[d, k] = state.stops[d, k - 1]
        state.stops[d, position] = i
        state.held[d] += 1
        _settle(given, state, d, (given.service[i], given.colonies[i]))
        state.days[i, r] = d


@compiled
def take_out(given: Given, state: State, i: int) -> None:
    """Remove all visits of apiary `i`."""
    for r in range(given.rounds[i]):
        d = state.days[i, r]
        k = 0
        while state.stops[d, k] != i:
            k += 1
        for j in range(k, state.held[d] - 1):
            state.stops[d, j] = state.stops[d, j + 1]
        state.held[d] -= 1
        _settle(given, state, d, (-given.service[i], -given.colonies[i]))
        state.days[i, r] = -1


@compiled
def _settle(given: Given, state: State, d: int, used: tuple[float, float]) -> None:
    state.service[d] += used[0]
    state.colonies[d] += used[1]
    state.drive[d] = tidy(given.travel, state.stops[d], state.held[d]) if state.held[d] else 0.0


@compiled
def cost_of(given: Given, state: State) -> float:
    """Cost of the plan as it stands."""
    total = 0.0
    for i in range(len(given.service)):
        if state.days[i, 0] < 0:
            total += given.untreated[i]
        else:
            for r in range(given.rounds[i]):
                total += given.late[i, state.days[i, r]]
    return float(total + given.per_min * state.drive.sum())
