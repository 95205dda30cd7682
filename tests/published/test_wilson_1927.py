"""Wilson's score interval: the three washes of the field sheets, and statsmodels as the reference library."""

import pytest
from statsmodels.stats.proportion import proportion_confint

from kit.calc.counts import infestation_from_wash_pct, wilson_interval_pct


@pytest.mark.parametrize(("mites", "low", "high"), [(3, 0.34, 2.90), (6, 0.92, 4.29), (9, 1.59, 5.60)])
def test_mites_on_300_bees(mites: int, low: float, high: float) -> None:
    assert wilson_interval_pct(mites, 300) == pytest.approx((low, high), abs=0.005)


@pytest.mark.parametrize("level", [0.8, 0.9, 0.95, 0.99])
@pytest.mark.parametrize(("k", "n"), [(0, 1), (0, 300), (1, 7), (50, 100), (300, 300)])
def test_it_agrees_with_statsmodels(k: int, n: int, level: float) -> None:
    expected = proportion_confint(k, n, alpha=1 - level, method="wilson")
    assert wilson_interval_pct(k, n, level=level) == pytest.approx([100 * end for end in expected], abs=1e-9)


@pytest.mark.parametrize("mites", [3, 6, 9])
def test_a_wash_is_read_higher_than_wilson_because_no_method_finds_all(mites: int) -> None:
    # Alcohol wash finds 85-97 % (from memory): the upper end moves up by 3 to 18 %, give or take its form.
    high = wilson_interval_pct(mites, 300, level=0.9).high
    found = infestation_from_wash_pct(mites=mites, bees=300, method="alcohol wash")
    assert found.p50 > 100 * mites / 300
    assert high < found.p95 * 1.05 and found.p95 < high / 0.85
