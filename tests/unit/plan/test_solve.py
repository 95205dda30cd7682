"""The search on the four made-up instances, and that it is the same each time."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.plan.solver.schedule import VisitProblem, check, day_tours, solve, solve_work

PROBLEMS = Path(__file__).parents[2] / "visit_problems"


@pytest.mark.parametrize(("name", "best"), [("problem_10_a", 16333.0), ("problem_10_b", 33243.0)])
def test_the_proven_optima_of_ten_apiaries_are_reached(name: str, best: float) -> None:
    """Optima proven outside the kit, given with the instances."""
    problem = VisitProblem.from_json(PROBLEMS / f"{name}.json")
    found = solve(problem, seconds=4, seed=1)
    assert found.cost == best
    assert check(problem, found) == []


def test_a_fixed_budget_gives_the_same_plan_each_time() -> None:
    problem = VisitProblem.from_json(PROBLEMS / "problem_30_a.json")
    once, again = (solve_work(problem, steps=1500, seed=7) for _ in range(2))
    assert once == again
    assert check(problem, once) == []


def test_more_work_is_never_worse_from_where_it_stood() -> None:
    problem = VisitProblem.from_json(PROBLEMS / "problem_30_a.json")
    rough = solve_work(problem, steps=200, seed=7)
    assert solve_work(problem, steps=800, seed=8, start=rough.visits).cost <= rough.cost


def test_a_start_that_no_longer_fits_is_passed_over() -> None:
    problem = VisitProblem.from_json(PROBLEMS / "problem_10_a.json")
    found = solve_work(problem, steps=500, seed=1, start={0: (0, 1), 4: (999,), 99: (3,)})
    assert check(problem, found) == []


def test_day_tours_cover_each_days_stops_once() -> None:
    problem = VisitProblem.from_json(PROBLEMS / "problem_30_a.json")
    found = solve_work(problem, steps=1000, seed=1)
    for d, (minutes, order) in day_tours(problem, found).items():
        assert sorted(order) == sorted(i for i, days in found.visits.items() if d in days)
        assert minutes + sum(problem.service_min[i] for i in order) <= problem.day_minutes[d]
