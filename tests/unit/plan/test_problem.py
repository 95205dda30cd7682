"""A visit problem that contradicts itself is refused with the key and what is wrong."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kit.errors import ValidityError
from kit.plan.solver.schedule import VisitProblem, check, solve, solve_work

PLAIN: dict[str, Any] = {
    "travel_min": [[0, 10], [10, 0]],
    "service_min": [30],
    "colonies": [6],
    "rounds": [1],
    "gap_days": [[5, 7]],
    "release_day": [0],
    "day_minutes": [100, 0],
    "colonies_per_day": [10, 10],
    "lateness_cost": [[1, 2]],
    "untreated_cost": [90],
    "travel_cost_per_min": 1,
}


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"gap_days": [[7, 5]]}, r"gap_days\[0\] must be least <= most"),
        ({"gap_days": [[0, 5]]}, r"both >= 1"),
        ({"service_min": [-1]}, "service_min must be finite and >= 0"),
        ({"lateness_cost": [[1, float("nan")]]}, "lateness_cost must be finite"),
        ({"travel_min": [[0, 10]]}, r"travel_min must have shape \(2, 2\)"),
        ({"colonies_per_day": [10]}, "colonies_per_day must have shape"),
        ({"rounds": [0]}, "rounds must be >= 1"),
        ({"rounds": [1.5]}, "rounds must be whole numbers"),
        ({"travel_min": "far"}, "travel_min must be numbers"),
    ],
)
def test_what_contradicts_is_said_with_its_key(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidityError, match=said):
        VisitProblem.from_dict(PLAIN | changed)


def test_a_missing_key_is_named() -> None:
    with pytest.raises(ValidityError, match="must hold rounds, untreated_cost"):
        VisitProblem.from_dict({k: v for k, v in PLAIN.items() if k not in ("rounds", "untreated_cost")})


def test_a_file_that_is_no_problem_is_said_by_its_name(tmp_path: Path) -> None:
    (tmp_path / "half.json").write_text('{"rounds": ', encoding="utf-8")
    (tmp_path / "list.json").write_text("[1]", encoding="utf-8")
    for name in ("half.json", "list.json", "none.json"):
        with pytest.raises(ValidityError, match=name):
            VisitProblem.from_json(tmp_path / name)


def test_unknown_keys_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "p.json").write_text(json.dumps(PLAIN | {"about": "a note"}), encoding="utf-8")
    assert VisitProblem.from_json(tmp_path / "p.json").n == 1


@pytest.mark.parametrize("changed", [{"day_minutes": [0, 0]}, {"day_minutes": [69, 69]}, {"colonies_per_day": [5, 5]}])
def test_what_cannot_be_visited_is_left_out_and_paid_for(changed: dict[str, Any]) -> None:
    problem = VisitProblem.from_dict({**PLAIN, "service_min": [50], **changed})
    found = solve_work(problem, steps=100, seed=1)
    assert (found.visits, found.cost, check(problem, found)) == ({}, 90.0, [])


def test_no_apiaries_make_a_plan_of_nothing() -> None:
    none = {name: [] for name in PLAIN} | {"travel_min": [[0]], "travel_cost_per_min": 1, "day_minutes": [100]}
    problem = VisitProblem.from_dict(none | {"colonies_per_day": [10]})
    assert solve_work(problem, steps=10, seed=1).cost == 0


def test_seconds_and_steps_above_zero_are_asked_for() -> None:
    problem = VisitProblem.from_dict(PLAIN)
    with pytest.raises(ValidityError, match="seconds must be > 0"):
        solve(problem, seconds=0, seed=1)
    with pytest.raises(ValidityError, match="steps must be > 0"):
        solve_work(problem, steps=0, seed=1)
