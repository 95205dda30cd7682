"""Which apiary on which day: solve a `VisitProblem` within seconds or within a fixed budget of work.

The search is the kit's own (`search`); the lower bound comes from a linear programme of HiGHS (`bound`).
`check` reads any plan independently.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from kit.checks import positive
from kit.plan.solver.bound import Allowance, prove
from kit.plan.solver.check import check
from kit.plan.solver.kernel import Given, State
from kit.plan.solver.problem import Schedule, VisitProblem
from kit.plan.solver.search import empty_state, given_of, load, run, visits_of
from kit.plan.solver.tours import shortest_tour

__all__ = ["Schedule", "VisitProblem", "check", "day_tours", "solve", "solve_work"]

CHUNK = 100
"""Steps of the search between two looks at the budget."""

HEATS = (0.3, 0.5)
"""Temperatures at the start as shares of the mean cost of an apiary, by worker; they fall with the budget's square."""

PROVABLE, SEARCH_SHARES = 15, (0.4, 0.8)
"""Up to so many apiaries the larger part of the time goes into the proof, above it into the search."""

PROOF_NODES = 100_000
"""Nodes of the integer programme, a limit that the clock reaches first."""

Visits = Mapping[int, tuple[int, ...]]
NO_PROOF = Allowance(0, 0)


@dataclass
class _Searcher:
    """One thread's search, run in chunks."""

    given: Given
    plans: tuple[State, State, State]
    rng: np.random.Generator
    heat: float = 0.0
    cost: float = float("inf")

    def chunk(self, done_share: float, steps: int = CHUNK) -> None:
        heat = self.heat * (1.0 - done_share) ** 2
        self.cost = float(run(self.given, self.plans, self.rng, (heat, heat), steps))


def solve(
    problem: VisitProblem, *, seconds: float, seed: int, workers: int = 2, start: Visits | None = None
) -> Schedule:
    """Find a good plan within `seconds`, with a lower bound on the best.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.
    seconds : float
        Time to search and to prove [s]; compiling on the very first use comes on top.
    seed : int
        Of the random choices.
    workers : int
        Searches side by side, each with its own stream.
    start : mapping, optional
        Visits of an earlier plan to begin from; those that no longer fit are passed over.

    Returns
    -------
    Schedule
        It passes `check`.

    Raises
    ------
    ValidityError
        When `seconds` or `workers` is not above zero.
    """
    positive("seconds", seconds)
    positive("workers", workers)
    if problem.n == 0 or problem.day_minutes.max(initial=0) <= 0:
        return _nothing(problem)
    searchers = [_searcher(problem, seed, worker, start or {}) for worker in range(workers)]
    searching_s = seconds * SEARCH_SHARES[problem.n > PROVABLE]
    begun = time.monotonic()

    def spent(_: int) -> float:
        return (time.monotonic() - begun) / searching_s

    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(lambda searcher: _search(searcher, spent), searchers))
    return _best(problem, searchers, Allowance(PROOF_NODES, PROOF_NODES, lambda: begun + seconds - time.monotonic()))


def solve_work(
    problem: VisitProblem, *, steps: int, seed: int, start: Visits | None = None, proof: Allowance = NO_PROOF
) -> Schedule:
    """Find a good plan with a fixed budget of work: the same answer each time, whatever the machine.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.
    steps : int
        Steps of the search.
    seed : int
        Of the random choices.
    start : mapping, optional
        Visits of an earlier plan to begin from; those that no longer fit are passed over.
    proof : Allowance, optional
        Work on the bound and on proving the best plan; none by default.

    Returns
    -------
    Schedule
        It passes `check`.

    Raises
    ------
    ValidityError
        When `steps` is not above zero.
    """
    positive("steps", steps)
    if problem.n == 0 or problem.day_minutes.max(initial=0) <= 0:
        return _nothing(problem)
    searcher = _searcher(problem, seed, 0, start or {})
    _search(searcher, lambda done: done / steps)
    return _best(problem, [searcher], proof)


def day_tours(problem: VisitProblem, schedule: Schedule) -> dict[int, tuple[float, tuple[int, ...]]]:
    """Driving [min] and apiaries in driving order, by day, of the days with visits."""
    stops: dict[int, list[int]] = {}
    for i, days in schedule.visits.items():
        for d in days:
            stops.setdefault(d, []).append(i)
    return {d: shortest_tour(problem.travel_min, stops[d]) for d in sorted(stops)}


def _searcher(problem: VisitProblem, seed: int, worker: int, start: Visits) -> _Searcher:
    given = given_of(problem)
    plans = (empty_state(problem), empty_state(problem), empty_state(problem))
    for plan in plans[:2]:
        load(problem, plan, dict(start))
    searcher = _Searcher(given, plans, np.random.default_rng([seed, worker]))
    searcher.chunk(1.0)
    searcher.heat = HEATS[worker % len(HEATS)] * searcher.cost / problem.n
    return searcher


def _search(searcher: _Searcher, share_of: Callable[[int], float]) -> None:
    done = CHUNK
    while (share := share_of(done)) < 1.0:
        searcher.chunk(share)
        done += CHUNK


def _best(problem: VisitProblem, searchers: list[_Searcher], allowance: Allowance) -> Schedule:
    best = min(searchers, key=lambda searcher: searcher.cost)
    visits = visits_of(problem, best.plans[1])
    cost = _cost(problem, visits)
    proof = prove(problem, visits, cost, allowance)
    if proof.visits is not None and (better := _cost(problem, proof.visits)) < cost:
        visits, cost = dict(proof.visits), better
    return Schedule(visits, cost, min(cost, proof.bound))


def _nothing(problem: VisitProblem) -> Schedule:
    cost = float(problem.untreated_cost.sum())
    return Schedule({}, cost, cost)


def _cost(problem: VisitProblem, visits: Visits) -> float:
    late = sum(float(problem.lateness_cost[i, d]) for i, days in visits.items() for d in days)
    out = sum(float(problem.untreated_cost[i]) for i in range(problem.n) if i not in visits)
    drive = sum(minutes for minutes, _ in day_tours(problem, Schedule(visits, 0.0, 0.0)).values())
    return late + out + problem.travel_cost_per_min * drive
