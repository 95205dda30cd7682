"""Compiled parts of the search for a plan: tours, insertion, removal. Private behind `schedule` and `tours`.

Taking an apiary out and putting it back is cheap: with all other apiaries fixed, the best days for its rounds follow
exactly by dynamic programming over days, because its visits fall on different days.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar, cast

import numba
import numpy as np

from kit.plan.solver.problem import Bools, Floats, Ints

Function = TypeVar("Function", bound=Callable[..., Any])


def compiled(function: Function) -> Function:
    """The function compiled on first use and kept on disk; it runs without holding up other threads."""
    return cast("Function", numba.njit(nogil=True, cache=True, error_model="numpy")(function))


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
def _stop_at(stops: Ints, count: int, k: int) -> int:
    """Node of the k-th stop; the base before the first and after the last."""
    return stops[k] + 1 if 0 <= k < count else 0


@compiled
def _better_place(travel: Floats, stops: Ints, count: int) -> tuple[int, int]:
    """A stop and the place ahead of which it is better called at, both -1 when there is none."""
    for a in range(count):
        before, here, after = _stop_at(stops, count, a - 1), stops[a] + 1, _stop_at(stops, count, a + 1)
        freed = travel[before, here] + travel[here, after] - travel[before, after]
        for b in range(count + 1):
            if b != a and b != a + 1:
                last, ahead = _stop_at(stops, count, b - 1), _stop_at(stops, count, b)
                if travel[last, here] + travel[here, ahead] - travel[last, ahead] < freed - 1e-9:
                    return a, b
    return -1, -1


@compiled
def tidy(travel: Floats, stops: Ints, count: int) -> float:
    """Shorten the order of `stops` in place, moving one stop at a time until none helps; its driving [min]."""
    a, b = _better_place(travel, stops, count)
    while a >= 0:
        stop = stops[a]
        if a < b:
            stops[a : b - 1] = stops[a + 1 : b].copy()
            stops[b - 1] = stop
        else:
            stops[b + 1 : a + 1] = stops[b:a].copy()
            stops[b] = stop
        a, b = _better_place(travel, stops, count)
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
def best_days(given: Given, state: State, i: int, found: Ints, open_days: Bools) -> float:
    """Fill `found` with the cheapest of the open days for all rounds of apiary `i`, the rest fixed; their cost."""
    n_days, rounds = len(given.minutes), given.rounds[i]
    least = np.full((rounds, n_days), np.inf)
    came = np.full((rounds, n_days), -1, dtype=np.int64)
    for d in range(given.release[i], n_days):
        if not open_days[d]:
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
