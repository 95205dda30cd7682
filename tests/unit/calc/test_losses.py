"""Loss rates where the usual formula has no footing, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from kit.calc.counts import wilson_interval_pct
from kit.calc.losses import LossCurve, loss_by_mites_pct, loss_curve_pct, loss_expected_pct, loss_rate
from kit.errors import ValidityError


@pytest.mark.parametrize(
    ("wintered", "lost", "method"),
    [
        ([20], [3], "Wilson, one apiary"),
        ([20, 10], [0, 0], "Wilson, none lost"),
        ([20, 10], [20, 10], "Wilson, all lost"),
        ([20, 0], [3, 0], "Wilson, one apiary"),
        ([20, 10], [3, 0], "quasi-binomial"),
    ],
)
def test_it_says_which_method_made_the_interval(wintered: list[int], lost: list[int], method: str) -> None:
    found = loss_rate(wintered, lost)
    assert found.method == method
    if method.startswith("Wilson"):
        assert found.interval_pct == wilson_interval_pct(sum(lost), sum(wintered))


def test_apiaries_that_scatter_make_a_wider_interval_than_independent_colonies_would() -> None:
    wilson = wilson_interval_pct(12, 80)
    low, high = loss_rate([20, 20, 20, 20], [1, 0, 1, 10]).interval_pct
    assert high - low > 2 * (wilson.high - wilson.low)


def test_apiaries_more_alike_than_chance_allows_do_not_shrink_it() -> None:
    assert loss_rate([20] * 6, [3] * 6).dispersion == 1.0


@pytest.mark.parametrize("groups", [2, 3, 5, 10])
@pytest.mark.parametrize("fate_shared", [0.02, 0.1])
def test_the_interval_holds_the_true_rate_about_as_often_as_it_says(groups: int, fate_shared: float) -> None:
    # Apiaries whose rates follow a beta distribution with mean 15 %, colonies independent within them.
    rng = np.random.default_rng([2025, groups, int(100 * fate_shared)])
    a, b = 0.15 * (1 / fate_shared - 1), 0.85 * (1 / fate_shared - 1)
    held = 0
    for rates in rng.beta(a, b, (400, groups)):
        low, high = loss_rate([20] * groups, rng.binomial(20, rates).tolist()).interval_pct
        held += low <= 15 <= high
    assert held / 400 > 0.91


@pytest.mark.parametrize(
    ("wintered", "lost", "message"),
    [
        ([20, 10], [3], "must be of one length"),
        ([20], [21], "lost must be between 0 and wintered"),
        ([20], [-1], "lost must be between 0 and wintered"),
        ([0], [0], "wintered must hold at least one colony"),
        ([], [], "wintered must hold at least one colony"),
    ],
)
def test_heads_that_cannot_be_are_refused(wintered: list[int], lost: list[int], message: str) -> None:
    with pytest.raises(ValidityError, match=message):
        loss_rate(wintered, lost)


def test_curves_take_arrays_of_draws_and_keep_their_shape() -> None:
    draws = np.linspace(0, 40, 12).reshape(3, 4)
    assert loss_curve_pct(draws).shape == (3, 4)
    assert loss_by_mites_pct(exposure_pct=draws, october_infestation_pct=1.0).shape == (3, 4)


def test_negative_and_missing_infestation_is_refused() -> None:
    for wrong in (-1.0, float("nan")):
        with pytest.raises(ValidityError, match="october_infestation_pct must be >= 0"):
            loss_curve_pct(wrong)
    with pytest.raises(ValidityError, match="by_mites_pct must be between 0 and 100"):
        loss_expected_pct(101)


def test_a_curve_refuses_parameters_that_make_no_curve() -> None:
    with pytest.raises(ValidityError, match="steepness must be > 0"):
        LossCurve(steepness=0)
    with pytest.raises(ValidityError, match="exposure_weight must be between 0 and 1"):
        LossCurve(exposure_weight=1.5)
