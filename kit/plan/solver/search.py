"""Large neighbourhood search: take a few related apiaries out, put them back at their exact best, keep what is better.

Worse plans are kept too, less and less often, as temperature falls (simulated annealing), so that the search leaves
a corner it has run into. Work is counted in iterations; the caller decides when to stop.
"""

from __future__ import annotations

import numpy as np

from kit.plan.solver.kernel import Given, State, best_days, compiled, cost_of, put_in, take_out
from kit.plan.solver.problem import Floats, Ints, VisitProblem
from kit.plan.solver.tours import EXACT_STOPS


def given_of(problem: VisitProblem) -> Given:
    """The problem as the compiled search wants it."""
    return Given(
        problem.travel_min,
        problem.service_min,
        problem.colonies,
        problem.rounds,
        problem.gap_days,
        problem.release_day,
        problem.close_day,
        problem.day_minutes,
        problem.colonies_per_day,
        problem.lateness_cost,
        problem.untreated_cost,
        problem.travel_cost_per_min,
    )


def empty_state(problem: VisitProblem) -> State:
    """A plan in which every apiary is left out."""
    n, days = problem.n, problem.days
    return State(
        days=np.full((n, int(problem.rounds.max(initial=1))), -1, dtype=np.int64),
        held=np.zeros(days, dtype=np.int64),
        stops=np.zeros((days, _most_stops(problem) + 1), dtype=np.int64),
        drive=np.zeros(days),
        service=np.zeros(days),
        colonies=np.zeros(days),
    )


def _most_stops(problem: VisitProblem) -> int:
    """No day holds more stops than its minutes allow the quickest apiaries, nor more than a tour is exact for."""
    quickest = np.cumsum(np.sort(problem.service_min))
    return min(int(np.searchsorted(quickest, problem.day_minutes.max(initial=0), "right")), EXACT_STOPS)


def visits_of(problem: VisitProblem, state: State) -> dict[int, tuple[int, ...]]:
    """Days by apiary, of the apiaries treated."""
    return {
        i: tuple(int(d) for d in state.days[i, : problem.rounds[i]]) for i in range(problem.n) if state.days[i, 0] >= 0
    }


def load(problem: VisitProblem, state: State, visits: dict[int, tuple[int, ...]]) -> None:
    """Put the visits of an earlier plan into an empty state, passing over those that no longer fit."""
    given = given_of(problem)
    for i, days in sorted(visits.items()):
        found = np.array(days, dtype=np.int64)
        if 0 <= i < problem.n and len(found) == problem.rounds[i] and _still_fits(given, state, i, found):
            put_in(given, state, i, found)


def _still_fits(given: Given, state: State, i: int, found: Ints) -> bool:
    only = np.isin(np.arange(len(given.minutes)), found)
    days = np.zeros(len(found), dtype=np.int64)
    return bool(best_days(given, state, i, days, only) < np.inf and np.array_equal(days, found))


@compiled
def _copy(source: State, target: State) -> None:
    target.days[:] = source.days
    target.held[:] = source.held
    target.stops[:] = source.stops
    target.drive[:] = source.drive
    target.service[:] = source.service
    target.colonies[:] = source.colonies


@compiled
def _chosen(given: Given, state: State, rng: np.random.Generator) -> Floats:
    """A key for each apiary: those with the smallest keys go out. Near each other, near in time, or at random."""
    n = len(given.service)
    key, seed, kind = np.empty(n), int(rng.random() * n), rng.random()
    for i in range(n):
        noise = 0.5 + rng.random()
        if kind < 0.4:
            key[i] = given.travel[seed + 1, i + 1] * noise
        elif kind < 0.8:
            day = state.days[i, int(rng.random() * given.rounds[i])]
            seed_day = state.days[seed, 0]
            key[i] = 5.0 * rng.random() if day < 0 or seed_day < 0 else abs(day - seed_day) * noise
        else:
            key[i] = rng.random()
    key[seed] = -1.0
    return key


@compiled
def _rebuild(given: Given, state: State, out: Ints, rng: np.random.Generator) -> None:
    """Put apiaries back one by one in a random order that favours the dear ones; each at its exact best days."""
    weight = np.empty(len(out))
    greedy = rng.random() < 0.5
    for k in range(len(out)):
        value = given.untreated[out[k]] / given.rounds[out[k]]
        weight[k] = -value * (0.3 + rng.random()) if greedy else rng.random()
    found = np.zeros(state.days.shape[1], dtype=np.int64)
    open_days = given.minutes > 0
    for k in np.argsort(weight):
        i = out[k]
        if best_days(given, state, i, found, open_days) < given.untreated[i]:
            put_in(given, state, i, found)


@compiled
def _step(given: Given, state: State, rng: np.random.Generator, most: int) -> None:
    n = len(given.service)
    k = min(n, 1 + int(rng.random() * most))
    order = np.argsort(_chosen(given, state, rng))
    out = np.zeros(n, dtype=np.int64)
    count = 0
    for position in range(n):
        i = order[position]
        treated = state.days[i, 0] >= 0
        if position < k and treated:
            take_out(given, state, i)
        if position < k or not treated:
            out[count] = i
            count += 1
    _rebuild(given, state, out[:count], rng)


@compiled
def run(
    given: Given, plans: tuple[State, State, State], rng: np.random.Generator, heat: tuple[float, float], steps: int
) -> float:
    """Search on from `plans` (now, best, scratch) for `steps`, cooling from one temperature to another; best cost."""
    now, best, scratch = plans
    cost, least = cost_of(given, now), cost_of(given, best)
    most = max(2, min(12, len(given.service) // 2))
    for step in range(steps):
        temperature = heat[0] + (heat[1] - heat[0]) * step / steps
        _copy(now, scratch)
        _step(given, now, rng, most)
        new = cost_of(given, now)
        if new < cost - temperature * np.log(1.0 - rng.random()):
            cost = new
        else:
            _copy(scratch, now)
        if cost < least - 1e-9:
            least = cost
            _copy(now, best)
    return least
