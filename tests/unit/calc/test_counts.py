"""What a count says by itself: words, zero counts, parts of boards, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from kit.calc import counts
from kit.calc.ranges import Band
from kit.errors import ValidityError

JULY = date(2025, 7, 8)


def test_none_found_is_not_none_there() -> None:
    found = counts.mites_from_board(mites=0, days=7, on=JULY)
    assert 0 < found.p05 < found.p50 < found.p95
    assert found.p95 < counts.mites_from_board(mites=3, days=7, on=JULY).p95


def test_a_longer_board_with_none_says_more() -> None:
    week, month = (counts.mites_from_board(mites=0, days=days, on=JULY).p95 for days in (7, 28))
    assert month == pytest.approx(week / 4)


def test_the_factor_is_that_of_the_days_the_board_lay_not_of_the_day_it_was_read() -> None:
    # Ten days read on 2 May lay mostly in April: factor 100, not 30.
    assert counts.mites_from_board(mites=1000, days=10, on=date(2025, 5, 2)).p50 == pytest.approx(10_000, rel=0.02)


def test_half_a_board_counts_double_and_is_less_sure() -> None:
    whole = counts.mites_from_board(mites=1000, days=7, on=JULY)
    half = counts.mites_from_board(mites=500, days=7, on=JULY, share_counted_pct=50)
    assert half.p50 == pytest.approx(whole.p50, rel=0.01)
    assert half.p95 / half.p05 > whole.p95 / whole.p05


def test_words_for_mites_stand_in_their_order_and_overlap() -> None:
    none, few, many = (counts.mites_from_level(w, few_max=20, days=7, on=JULY) for w in ("none", "few", "many"))
    assert none.p50 < few.p50 < many.p50
    assert none.p95 > few.p05 and few.p95 > many.p05


def test_a_word_is_wider_than_a_number_inside_it() -> None:
    few = counts.mites_from_level("few", few_max=20, days=7, on=JULY)
    five = counts.mites_from_board(mites=5, days=7, on=JULY)
    assert few.p95 / few.p05 > five.p95 / five.p05


def test_a_wash_may_find_more_mites_than_bees() -> None:
    assert counts.infestation_from_wash_pct(mites=400, bees=300, method="alcohol wash").p50 > 100


@pytest.mark.parametrize(("better", "worse"), [("alcohol wash", "sugar roll"), ("sugar roll", "co2")])
def test_a_method_that_finds_less_stands_for_more(better: Any, worse: Any) -> None:
    one, other = (counts.infestation_from_wash_pct(mites=9, bees=300, method=m) for m in (better, worse))
    assert one.p50 < other.p50


def test_in_full_brood_the_colony_holds_three_to_five_times_the_mites_on_bees() -> None:
    # 65-80 % in brood (several sources): 1 / (1 - share) is 2.9 to 5 (derived).
    on_bees = counts.infestation_from_wash_pct(mites=9, bees=300, method="alcohol wash").p50 / 100 * 30_000
    wash = counts.mites_from_wash(
        mites=9, bees=300, method="alcohol wash", adults=30_000, in_brood_pct=Band(65, 72.5, 80)
    )
    assert 2.9 <= wash.p50 / on_bees <= 5


def test_without_brood_all_mites_are_on_bees() -> None:
    share = counts.infestation_from_wash_pct(mites=9, bees=300, method="sugar roll")
    wash = counts.mites_from_wash(mites=9, bees=300, method="sugar roll", adults=12_000, in_brood_pct=Band(0, 0, 0))
    assert wash == pytest.approx([120 * point for point in share], rel=1e-6)


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: counts.wilson_interval_pct(4, 3), "k must be between 0 and 3: got 4"),
        (lambda: counts.wilson_interval_pct(0, 0), "n must be > 0: got 0"),
        (lambda: counts.wilson_interval_pct(1, 3, level=95), "level must lie between 0 and 1: got 95"),
        (lambda: counts.detection_sample_size(prevalence_pct=0, chance_pct=95), "prevalence_pct must be above 0"),
        (lambda: counts.detection_sample_size(prevalence_pct=5, chance_pct=100), "chance_pct must be above 0"),
        (lambda: counts.mites_from_board(mites=-1, days=7, on=JULY), "mites must be >= 0: got -1"),
        (lambda: counts.mites_from_board(mites=1, days=0, on=JULY), "days must be > 0: got 0"),
        (lambda: counts.mites_from_board(mites=float("nan"), days=1, on=JULY), "mites must be a finite number"),
        (lambda: counts.mites_from_board(mites=1, days=1, on=JULY, share_counted_pct=0), "share_counted_pct must be"),
        (lambda: counts.mites_from_level("lots", few_max=20, days=7, on=JULY), "level must be none, few or many"),
        (lambda: counts.infestation_from_wash_pct(mites=1, bees=0, method="co2"), "bees must be > 0: got 0"),
        (lambda: counts.infestation_from_wash_pct(mites=1, bees=300, method="sieve"), "method must be one of"),
        (
            lambda: counts.mites_from_wash(mites=1, bees=300, method="co2", adults=1e4, in_brood_pct=Band(80, 70, 60)),
            "in_brood_pct must rise",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_the_rule_and_the_value(refused: Callable[[], object], message: str) -> None:
    with pytest.raises(ValidityError, match=message):
        refused()
