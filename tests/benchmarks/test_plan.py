"""How good a plan is after 1, 3 and 10 seconds, beside a general solver, and what many apiaries take. Ratios only."""

from __future__ import annotations

import tracemalloc
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kit.plan.solver.schedule import Schedule, VisitProblem, check, solve, solve_work
from tests.benchmarks.cp_sat import Model

PROBLEMS = Path(__file__).parents[1] / "visit_problems"
KNOWN = {"problem_10_a": 16333.0, "problem_10_b": 33243.0, "problem_30_a": 82163.0, "problem_60_a": 140919.0}
"""The first two proven outside the kit; the others the best this search has met in long runs, so only for the ratio."""


def made_up(n: int, seed: int) -> VisitProblem:
    """An instance of the same kind as the given ones, any size."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(0, 40, (n + 1, 2))
    travel = np.rint(np.linalg.norm(places[:, None] - places[None], axis=2)).astype(int)
    colonies = rng.integers(4, 20, n)
    worth = rng.integers(80, 1500, n)
    days = 60
    working = np.arange(days) % 7 < 5
    plain: dict[str, Any] = {
        "travel_min": travel.tolist(),
        "service_min": (15 + 3 * colonies).tolist(),
        "colonies": colonies.tolist(),
        "rounds": rng.integers(1, 5, n).tolist(),
        "gap_days": [[5, 7]] * n,
        "release_day": (7 * rng.integers(0, 3, n)).tolist(),
        "day_minutes": np.where(working, 330, 0).tolist(),
        "colonies_per_day": [80] * days,
        "lateness_cost": np.rint(worth[:, None] * 1.02 ** np.arange(days)).tolist(),
        "untreated_cost": (8 * worth).tolist(),
        "travel_cost_per_min": 20,
    }
    return VisitProblem.from_dict(plain)


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if "_10_" in name else pytest.mark.long) for name in KNOWN]
)
def test_the_gap_closes_with_time_and_ten_seconds_come_within_three_percent(name: str) -> None:
    problem = VisitProblem.from_json(PROBLEMS / f"{name}.json")
    gaps = {}
    for seconds in (1, 3, 10):
        found = solve(problem, seconds=seconds, seed=1)
        assert check(problem, found) == []
        gaps[seconds] = 100 * (found.cost / KNOWN[name] - 1)
    print(f"{name}: " + ", ".join(f"{gap:.1f} % after {s} s" for s, gap in gaps.items()))
    assert gaps[10] <= 3


@pytest.mark.parametrize(
    ("name", "work"),
    [
        pytest.param("problem_10_a", 1, marks=pytest.mark.slow),
        pytest.param("problem_10_b", 20, marks=pytest.mark.long),
        pytest.param("problem_30_a", 40, marks=pytest.mark.long),
    ],
)
def test_a_general_solver_agrees_on_the_rules_and_finds_nothing_better(name: str, work: float) -> None:
    """CP-SAT of OR-tools on a plain model of the same problem, within a fixed amount of work (1 is some 3 s)."""
    problem = VisitProblem.from_json(PROBLEMS / f"{name}.json")
    other = Model(problem).solve(work=work, seed=1)
    own = solve_work(problem, steps=10_000, seed=1)
    print(f"{name}: the general solver's plan costs {other.cost / own.cost:.3f} times ours")
    faults = check(problem, Schedule(other.visits, other.cost, other.bound))
    assert [
        said for said in faults if not said.startswith("the plan costs")
    ] == []  # its tours may be longer than need be
    assert other.bound <= own.cost <= other.cost


@pytest.mark.parametrize("n", [pytest.param(120, marks=pytest.mark.long), pytest.param(300, marks=pytest.mark.slow)])
def test_many_apiaries_are_planned_within_memory(n: int) -> None:
    problem = made_up(n, seed=n)
    tracemalloc.start()
    found = solve(problem, seconds=5, seed=1)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"{n} apiaries: {len(found.visits)} treated, {peak / 1e6:.0f} MB")
    assert check(problem, found) == []
    assert peak < 500e6


@pytest.mark.slow
def test_more_steps_are_worth_their_time() -> None:
    problem = VisitProblem.from_json(PROBLEMS / "problem_60_a.json")
    few, many = (np.mean([solve_work(problem, steps=n, seed=s).cost for s in range(3)]) for n in (500, 10_000))
    print(f"60 apiaries: twenty times the steps cost {100 * (1 - many / few):.1f} % less")
    assert many < few
