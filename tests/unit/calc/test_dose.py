"""Grams, spoons, labels and batches."""

from datetime import date

import pytest

from kit.calc.batches import Batch, use_batches
from kit.calc.dose import (
    Spoon,
    allowed_dose_g,
    crystals_from_product_g,
    label_limit_g,
    oa_from_crystals_g,
    spoon_from_weighing,
    weigh_out_g,
)
from kit.errors import ValidityError


def test_a_label_dose_of_powder_in_crystals_and_in_acid() -> None:
    # an authorised powder of 886 mg/g, summary of product characteristics 2015: 2.3 g = 2.04 g OAD = 1.455 g OA
    crystals = crystals_from_product_g(2.3, strength_mg_per_g=886)
    assert crystals == pytest.approx(2.04, abs=0.005)
    assert oa_from_crystals_g(crystals) == pytest.approx(1.455, abs=0.0005)


@pytest.mark.parametrize(
    ("unit", "boxes", "crystals"),
    [
        ("g product per hive", 2, 2.0378),
        ("g OAD per hive", 2, 2.3),
        ("g product per brood box", 2, 4.0756),
        ("G  OAD per Brood Box", 2, 4.6),
    ],
)
def test_the_limit_is_read_in_the_labels_own_unit(unit: str, boxes: int, crystals: float) -> None:
    assert label_limit_g(2.3, unit=unit, brood_boxes=boxes, strength_mg_per_g=886) == pytest.approx(crystals)


def test_an_unknown_unit_is_refused_with_the_ones_there_are() -> None:
    with pytest.raises(ValidityError, match="g oad per brood box"):
        label_limit_g(2.3, unit="spoon", strength_mg_per_g=886)


def test_nothing_is_planned_above_the_label() -> None:
    assert allowed_dose_g(2.5, 2.04) == 2.04
    assert allowed_dose_g(1.8, 2.04) == 1.8


def test_a_spoon_is_judged_from_weighing_it() -> None:
    spoon = spoon_from_weighing([2.4, 2.6, 2.5, 2.5], nominal_g=2.0)
    assert spoon.bias_pct == pytest.approx(25)
    assert spoon.dose.p05 < 2.5 < spoon.dose.p95


def test_two_spoons_say_nothing_of_scatter() -> None:
    with pytest.raises(ValidityError, match="3"):
        spoon_from_weighing([2.4, 2.6], nominal_g=2.0)


def test_a_heavy_spoon_needs_more_in_the_tub() -> None:
    assert weigh_out_g(20, 2.3, spoon=Spoon(2.3, 10, 6)) > 1.1 * 21 * 2.3
    assert weigh_out_g(0, 2.3) == 0


def test_the_batch_that_expires_first_is_used_first_and_none_after_its_day() -> None:
    batches = [
        Batch("C", 50),
        Batch("B", 30, date(2026, 5, 1)),
        Batch("old", 40, date(2025, 8, 31)),
        Batch("A", 20, date(2025, 12, 1)),
    ]
    use = use_batches(batches, need_g=60, on=date(2025, 9, 1))
    assert use.taken_g == {"A": 20, "B": 30, "C": 10}
    assert use.expired_g == {"old": 40}
    assert use.left_g == {"C": 40, "B": 0, "old": 40, "A": 0}
    assert use.short_g == 0
    assert use_batches(batches, need_g=130, on=date(2025, 9, 1)).short_g == 30
