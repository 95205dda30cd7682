"""Kill from counts: intervals that hold their figure, and what is refused."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kit.calc import efficacy
from kit.errors import ValidityError


def test_more_mites_make_a_narrower_interval() -> None:
    few = efficacy.efficacy_follow_up_interval_pct(killed=94, follow_up=6)
    many = efficacy.efficacy_follow_up_interval_pct(killed=940, follow_up=60)
    assert few.low < many.low < 94 < many.high < few.high


def test_boards_that_scatter_more_than_chance_widen_the_interval() -> None:
    plain = efficacy.efficacy_follow_up_interval_pct(killed=940, follow_up=60)
    rough = efficacy.efficacy_follow_up_interval_pct(killed=940, follow_up=60, overdispersion=5)
    assert rough.low < plain.low < plain.high < rough.high


def test_nothing_left_alive_is_not_a_kill_of_all_for_certain() -> None:
    low, high = efficacy.efficacy_abbott_interval_pct(control_after=80, treated_after=0)
    assert low < 97 and high <= 100


def test_a_treatment_that_did_worse_than_none_comes_out_below_zero() -> None:
    assert efficacy.efficacy_abbott_pct(control_after=50, treated_after=60) == pytest.approx(-20)


def test_a_treatment_without_a_product_has_no_guideline() -> None:
    with pytest.raises(ValidityError, match="treatment must be one with a guideline"):
        efficacy.guideline_pct("queen caging")


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: efficacy.efficacy_abbott_pct(control_after=0, treated_after=1), "control_after must be > 0: got 0"),
        (lambda: efficacy.efficacy_abbott_pct(control_after=5, treated_after=-1), "treated_after must be >= 0: got -1"),
        (lambda: efficacy.efficacy_follow_up_pct(killed=0, follow_up=0), r"killed \+ follow_up must be > 0: got 0"),
        (
            lambda: efficacy.efficacy_follow_up_interval_pct(killed=9, follow_up=1, overdispersion=0.5),
            "overdispersion must be between 1 and inf",
        ),
        (
            lambda: efficacy.efficacy_henderson_tilton_pct(
                control_before=1, control_after=1, treated_before=0, treated_after=1
            ),
            "treated_before must be > 0: got 0",
        ),
        (lambda: efficacy.meets_guideline(float("nan"), treatment="thymol"), "efficacy_pct must be a finite number"),
    ],
)
def test_what_cannot_be_is_refused_with_the_rule_and_the_value(refused: Callable[[], object], message: str) -> None:
    with pytest.raises(ValidityError, match=message):
        refused()
