"""Three multi-country loss surveys (COLOSS): wintered, lost by three causes, and the loss rate as printed."""

import math

import numpy as np
import pytest
import statsmodels.api as sm

from kit.calc.counts import wilson_interval_pct
from kit.calc.losses import loss_rate

SURVEYS = [
    # winter, wintered, lost by three causes in the order printed, rate, interval
    ("2018/19", 738_233, (29_912, 79_146, 13_895), 16.7, (16.4, 16.9)),
    ("2017/18", 544_879, (26_379, 54_525, 8_220), 16.4, (16.1, 16.6)),
    ("2016/17", 425_762, (21_887, 60_227, 6_903), 20.9, (20.6, 21.3)),
]


@pytest.mark.parametrize(("winter", "wintered", "lost", "rate", "interval"), SURVEYS)
def test_the_loss_rate_is_the_printed_one(
    winter: str, wintered: int, lost: tuple[int, ...], rate: float, interval: tuple[float, float]
) -> None:
    assert loss_rate([wintered], [sum(lost)]).loss_pct == pytest.approx(rate, abs=0.05), winter


@pytest.mark.parametrize(("winter", "wintered", "lost", "rate", "interval"), SURVEYS)
def test_wilson_alone_is_narrower_than_the_printed_interval(
    winter: str, wintered: int, lost: tuple[int, ...], rate: float, interval: tuple[float, float]
) -> None:
    # Colonies of one operation share their fate: the surveys' quasi-binomial intervals are several times Wilson's.
    low, high = wilson_interval_pct(sum(lost), wintered)
    assert (interval[1] - interval[0]) > 2 * (high - low), winter


@pytest.mark.parametrize(("winter", "wintered", "lost", "rate", "interval"), SURVEYS)
def test_operations_that_scatter_as_the_printed_interval_implies_give_that_interval(
    winter: str, wintered: int, lost: tuple[int, ...], rate: float, interval: tuple[float, float]
) -> None:
    # The surveys print no operations. These are made up to carry the printed rate and the dispersion that the printed
    # width implies, so that the interval's formula, centre and shape are what is under test.
    n, share = 50, sum(lost) / wintered
    groups = 2 * (wintered // (2 * n))
    half = (interval[1] - interval[0]) / 200
    dispersion = (half / 1.96) ** 2 * groups * n / (share * (1 - share))
    step = math.sqrt(dispersion * n * share * (1 - share))
    alternating = [n * share + (step if even else -step) for even in np.arange(groups) % 2 == 0]
    found = loss_rate([n] * groups, alternating).interval_pct  # type: ignore[arg-type]
    assert found == pytest.approx(interval, abs=0.1), winter


def by_statsmodels(wintered: list[int], lost: list[int]) -> tuple[float, float]:
    """Intercept and its standard error by a quasi-binomial GLM on proportions with `var_weights`.

    Count pairs with `scale="X2"` would give a dispersion that is too small by about the size of a group.
    """
    n, k = np.array(wintered, float), np.array(lost, float)
    model = sm.GLM(k / n, np.ones((n.size, 1)), family=sm.families.Binomial(), var_weights=n)
    fitted = model.fit(scale="X2")
    return float(fitted.params[0]), float(fitted.bse[0])


@pytest.mark.parametrize(
    ("wintered", "lost"),
    [
        ([20, 20, 20, 20], [1, 0, 1, 10]),
        ([12, 30, 7, 25, 18, 22], [0, 12, 1, 2, 9, 3]),
        ([100, 5, 3], [40, 0, 2]),
    ],
)
def test_rate_and_dispersion_agree_with_statsmodels(wintered: list[int], lost: list[int]) -> None:
    found = loss_rate(wintered, lost)
    intercept, error = by_statsmodels(wintered, lost)
    share = found.loss_pct / 100
    assert math.log(share / (1 - share)) == pytest.approx(intercept, abs=1e-6)
    ours = math.sqrt(found.dispersion / (found.wintered * share * (1 - share)))
    assert ours == pytest.approx(error, rel=1e-5)
