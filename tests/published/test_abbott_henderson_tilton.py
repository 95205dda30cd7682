"""Abbott 1925 and Henderson & Tilton 1955: the formulas' worked examples and the limit in which they are one."""

import pytest

from kit.calc.efficacy import efficacy_abbott_pct, efficacy_henderson_tilton_interval_pct, efficacy_henderson_tilton_pct

EXAMPLE = {"control_before": 40, "control_after": 60, "treated_before": 50, "treated_after": 5}


def test_the_worked_example_of_henderson_and_tilton() -> None:
    # Cb 40, Ca 60, Tb 50, Ta 5 gives 93.33 % (worked example, read in a methods page).
    assert efficacy_henderson_tilton_pct(**EXAMPLE) == pytest.approx(93.33, abs=0.005)


def test_its_interval_holds_it_and_is_as_wide_as_such_counts_are_poor() -> None:
    low, high = efficacy_henderson_tilton_interval_pct(**EXAMPLE)
    assert low < 93.33 < high
    assert high - low > 10


def test_abbott_is_henderson_and_tilton_with_equal_numbers_before() -> None:
    same = efficacy_henderson_tilton_pct(control_before=50, control_after=80, treated_before=50, treated_after=20)
    assert efficacy_abbott_pct(control_after=80, treated_after=20) == pytest.approx(same, abs=1e-12)
