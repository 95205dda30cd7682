"""The checker names every rule a plan can break: one plan made by hand for each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kit.plan.solver.schedule import Schedule, VisitProblem, check

# Two apiaries on a line: base - 10 - A - 5 - B, B 15 from base; 6 days of 100 minutes and 10 colonies.
PROBLEM = VisitProblem.from_dict(
    {
        "travel_min": [[0, 10, 15], [10, 0, 5], [15, 5, 0]],
        "service_min": [30, 40],
        "colonies": [6, 4],
        "rounds": [2, 1],
        "gap_days": [[2, 3], [5, 7]],
        "release_day": [1, 0],
        "day_minutes": [100, 100, 100, 100, 100, 100],
        "colonies_per_day": [10, 10, 10, 10, 10, 10],
        "lateness_cost": [[0, 1, 2, 3, 4, 5], [0, 2, 4, 6, 8, 10]],
        "untreated_cost": [50, 70],
        "travel_cost_per_min": 2.0,
        "close_day": [2, 5],
    }
)
# A on days 1 and 3, B on day 1 with A: late 1 + 3 + 2, driving 30 on day 1 and 20 on day 3 at 2 a minute.
RIGHT = Schedule({0: (1, 3), 1: (1,)}, cost=6 + 100, bound=0.0)


def test_a_plan_that_keeps_every_rule_has_nothing_said_about_it() -> None:
    assert check(PROBLEM, RIGHT) == []


def test_leaving_an_apiary_out_costs_what_it_costs() -> None:
    assert check(PROBLEM, Schedule({1: (1,)}, cost=50 + 2 + 60, bound=0.0)) == []


@pytest.mark.parametrize(
    ("visits", "rule"),
    [
        ({2: (1,)}, "not in the problem"),
        ({0: (1, 6)}, "outside the 6 days"),
        ({0: (1,)}, "gets 1 visits and needs 2"),
        ({0: ()}, "gets 0 visits and needs 2"),
        ({0: (0, 2)}, "before its release day 1"),
        ({0: (3, 5)}, "after its last day to begin 2"),
        ({0: (1, 2)}, "waits 1 days"),
        ({0: (1, 5)}, "waits 4 days"),
        ({0: (1, 1)}, "waits 0 days"),
    ],
)
def test_a_broken_rule_of_an_apiary_is_named(visits: dict[int, tuple[int, ...]], rule: str) -> None:
    said = check(PROBLEM, Schedule(visits, cost=0.0, bound=0.0))
    assert len(said) == 1
    assert rule in said[0]


@pytest.mark.parametrize(
    ("changed", "rule"),
    [
        ({"day_minutes": [100, 99, 100, 100, 100, 100]}, "day 1 takes 100 minutes and has 99"),
        ({"colonies_per_day": [10, 9, 10, 10, 10, 10]}, "day 1 treats 10 colonies and has charge for 9"),
    ],
)
def test_a_day_that_holds_too_much_is_named(changed: dict[str, list[float]], rule: str) -> None:
    import numpy as np

    tight = replace(PROBLEM, **{name: np.array(values, dtype=float) for name, values in changed.items()})
    assert check(tight, RIGHT) == [rule]


def test_a_cost_that_does_not_add_up_is_named() -> None:
    assert check(PROBLEM, replace(RIGHT, cost=105.0)) == ["the plan costs 106 and says 105"]


def test_a_bound_above_the_cost_is_named() -> None:
    assert "lower bound" in check(PROBLEM, replace(RIGHT, bound=107.0))[0]
