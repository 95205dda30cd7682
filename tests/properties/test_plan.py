"""What must hold for every visit problem: plans keep the rules, tours are the shortest, nothing beats the bound."""

from __future__ import annotations

from itertools import pairwise, permutations, product
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.plan.solver.schedule import Schedule, VisitProblem, check, solve_work
from kit.plan.solver.tours import shortest_tour


def ways(n: int, largest: int = 40) -> st.SearchStrategy[list[list[int]]]:
    row = st.lists(st.integers(0, largest), min_size=n, max_size=n)
    return st.lists(row, min_size=n, max_size=n)


@st.composite
def problems(draw: st.DrawFn, most: int = 4, days: int = 7) -> VisitProblem:
    n = draw(st.integers(1, most))
    each = lambda low, high: draw(st.lists(st.integers(low, high), min_size=n, max_size=n))  # noqa: E731
    travel = np.array(draw(ways(n + 1)))
    least = each(1, 3)
    plain: dict[str, Any] = {
        "travel_min": np.triu(travel, 1) + np.triu(travel, 1).T,
        "service_min": each(5, 60),
        "colonies": each(0, 12),
        "rounds": each(1, 2),
        "gap_days": [(low, low + draw(st.integers(0, 2))) for low in least],
        "release_day": each(0, 3),
        "day_minutes": draw(st.lists(st.sampled_from([0, 60, 120, 200]), min_size=days, max_size=days)),
        "colonies_per_day": draw(st.lists(st.integers(0, 20), min_size=days, max_size=days)),
        "lateness_cost": draw(
            st.lists(st.lists(st.integers(0, 50), min_size=days, max_size=days), min_size=n, max_size=n)
        ),
        "untreated_cost": each(0, 400),
        "travel_cost_per_min": draw(st.integers(0, 5)),
    }
    return VisitProblem.from_dict(plain)


def every_plan(problem: VisitProblem) -> list[dict[int, tuple[int, ...]]]:
    """All visits that keep an apiary's own rules, over all apiaries, by brute force."""

    def choices(i: int) -> list[tuple[int, ...]]:
        days = product(range(problem.days), repeat=int(problem.rounds[i]))
        return [(), *days]

    plans = product(*(choices(i) for i in range(problem.n)))
    return [{i: days for i, days in enumerate(plan) if days} for plan in plans]


def brute_force_cost(problem: VisitProblem, visits: dict[int, tuple[int, ...]]) -> float:
    late = sum(problem.lateness_cost[i, d] for i, days in visits.items() for d in days)
    out = sum(problem.untreated_cost[i] for i in range(problem.n) if i not in visits)
    drive = 0.0
    for d in range(problem.days):
        stops = [i for i, days in visits.items() if d in days]
        drive += brute_force_tour(problem.travel_min, stops)
    return float(late + out + problem.travel_cost_per_min * drive)


def brute_force_tour(travel: np.ndarray[Any, Any], stops: list[int]) -> float:
    """Every order tried: the definition of the shortest round trip."""
    routes = ([0, *(i + 1 for i in order), 0] for order in permutations(stops))
    return float(min(sum(travel[a, b] for a, b in pairwise(route)) for route in routes))


@given(st.integers(1, 7).flatmap(lambda n: ways(n + 1)))
@settings(max_examples=60, deadline=None)
def test_tours_are_as_short_as_the_shortest_of_all_orders(travel: list[list[int]]) -> None:
    matrix = np.array(travel, dtype=float)
    stops = list(range(len(travel) - 1))
    minutes, order = shortest_tour(matrix, stops)
    assert minutes == brute_force_tour(matrix, stops)
    route = [0, *(i + 1 for i in order), 0]
    assert sum(matrix[a, b] for a, b in pairwise(route)) == minutes
    assert sorted(order) == stops


@given(problems())
@settings(max_examples=60, deadline=None)
def test_every_plan_found_keeps_the_rules_and_the_bound_lies_below(problem: VisitProblem) -> None:
    found = solve_work(problem, steps=200, seed=3)
    assert check(problem, found) == []
    assert found.bound <= found.cost + 1e-6


@given(problems(most=2, days=5))
@settings(max_examples=40, deadline=None)
def test_small_problems_are_solved_as_well_as_by_trying_everything(problem: VisitProblem) -> None:
    plans = every_plan(problem)
    costs = [
        cost
        for visits in plans
        if not check(problem, Schedule(visits, cost := brute_force_cost(problem, visits), bound=0.0))
    ]
    found = solve_work(problem, steps=400, seed=1)
    assert found.cost == min(costs)
    assert found.bound <= min(costs)
