"""What must hold for every count, kill and loss."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.calc.counts import infestation_from_wash_pct, mites_from_board, wilson_interval_pct
from kit.calc.efficacy import efficacy_abbott_interval_pct, efficacy_abbott_pct, efficacy_henderson_tilton_pct
from kit.calc.losses import LossCurve, loss_by_mites_pct, loss_curve_pct, loss_expected_pct, loss_rate

counts = st.integers(0, 20_000)
few = st.integers(1, 500)
days = st.dates(date(2024, 1, 1), date(2026, 12, 31))
shares = st.floats(0, 100)


@given(counts, st.floats(0.5, 60), days)
def test_a_board_band_rises_and_is_never_below_zero(mites: int, lay: float, on: date) -> None:
    found = mites_from_board(mites=mites, days=lay, on=on)
    assert 0 <= found.p05 < found.p50 < found.p95


@given(counts, st.floats(0.5, 30), days)
def test_more_mites_on_a_board_never_mean_fewer_in_the_colony(mites: int, lay: float, on: date) -> None:
    less, more = (mites_from_board(mites=n, days=lay, on=on) for n in (mites, mites + 1))
    assert all(a < b for a, b in zip(less, more, strict=True))


@given(counts, st.floats(1, 20), st.integers(1, 12))
def test_a_board_twice_as_long_with_the_same_mites_means_half_as_many(mites: int, lay: float, month: int) -> None:
    middle = date(2025, month, 15)  # so that both boards have their middle in one month
    once = mites_from_board(mites=mites, days=lay, on=middle + timedelta(days=lay / 2))
    twice = mites_from_board(mites=mites, days=2 * lay, on=middle + timedelta(days=lay))
    assert [2 * point for point in twice] == pytest.approx(list(once), rel=1e-6)


@given(st.integers(0, 600), st.integers(50, 1000))
def test_a_wash_band_scales_with_the_sample(mites: int, bees: int) -> None:
    one = infestation_from_wash_pct(mites=mites, bees=bees, method="sugar roll")
    double = infestation_from_wash_pct(mites=mites, bees=2 * bees, method="sugar roll")
    assert [2 * point for point in double] == pytest.approx(list(one), rel=1e-6)


@given(st.integers(0, 300), st.integers(1, 300), st.sampled_from([0.5, 0.9, 0.99]))
def test_wilson_holds_the_share_and_mirrors(k: int, extra: int, level: float) -> None:
    n = k + extra
    low, high = wilson_interval_pct(k, n, level=level)
    assert 0 <= low <= 100 * k / n + 1e-9 and 100 * k / n <= high + 1e-9 <= 100 + 1e-6
    assert wilson_interval_pct(n - k, n, level=level) == pytest.approx((100 - high, 100 - low), abs=1e-6)


@given(few, few, few, few)
def test_henderson_and_tilton_does_not_depend_on_the_size_of_the_plots(a: int, b: int, c: int, d: int) -> None:
    one = efficacy_henderson_tilton_pct(control_before=a, control_after=b, treated_before=c, treated_after=d)
    two = efficacy_henderson_tilton_pct(control_before=3 * a, control_after=3 * b, treated_before=c, treated_after=d)
    assert two == pytest.approx(one, abs=1e-9) and one <= 100


@given(few, few)
def test_an_interval_holds_its_figure(control: int, treated: int) -> None:
    low, high = efficacy_abbott_interval_pct(control_after=control, treated_after=treated)
    assert low <= efficacy_abbott_pct(control_after=control, treated_after=treated) + 1e-9 <= high + 1e-6


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=1, max_size=12))
def test_a_loss_interval_holds_the_rate_and_stays_within_0_and_100(heads: list[tuple[int, int]]) -> None:
    wintered = [max(pair) + 1 for pair in heads]
    lost = [min(pair) for pair in heads]
    found = loss_rate(wintered, lost)
    assert 0 <= found.interval_pct.low <= found.loss_pct + 1e-9 <= found.interval_pct.high + 1e-6 <= 100 + 1e-5
    assert found.dispersion >= 1
    assert loss_rate(wintered[::-1], lost[::-1]).interval_pct == pytest.approx(found.interval_pct)


@given(shares, shares, st.floats(0.01, 20))
def test_more_exposure_or_more_mites_in_october_never_means_less_loss(
    exposure: float, october: float, more: float
) -> None:
    def loss(e: float, o: float) -> float:
        return float(loss_by_mites_pct(exposure_pct=e, october_infestation_pct=o))

    assert loss(exposure, october) <= loss(exposure + more, october) + 1e-9
    assert loss(exposure, october) <= loss(exposure, october + more) + 1e-9
    assert 0 <= loss(exposure, october) <= LossCurve().top_pct


@given(shares)
def test_the_loss_curve_goes_through_half_its_top_at_its_half_point(top: float) -> None:
    curve = LossCurve(top_pct=top)
    assert float(loss_curve_pct(curve.half_infestation_pct, curve=curve)) == pytest.approx(top / 2)


@given(shares, shares)
def test_causes_together_take_no_less_than_the_greater_and_no_more_than_both(mites: float, rest: float) -> None:
    both = float(loss_expected_pct(mites, background_pct=rest))
    assert max(mites, rest) - 1e-9 <= both <= min(mites + rest, 100) + 1e-9
