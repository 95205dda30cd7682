"""Random-effects pooling against a reference library and against published results on a famous set of trials."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special
from statsmodels.stats.meta_analysis import combine_effects

from kit.calc.pooling import (
    between_dersimonian_laird,
    between_paule_mandel,
    between_reml,
    pool_random,
    shrunk,
)

Floats = NDArray[np.float64]

# Colditz et al. 1994 (colditz1994): ill and not ill, vaccinated and not, in 13 trials.
TRIALS = np.array([
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619), (33, 5036, 47, 5761),
    (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892), (29, 7470, 45, 7232), (17, 1699, 65, 1600),
    (186, 50448, 141, 27197), (5, 2493, 3, 2338), (27, 16886, 29, 17825),
], dtype=float)  # fmt: skip


def log_risk_ratios() -> tuple[Floats, Floats]:
    a, b, c, d = TRIALS.T
    effect = np.log(a / (a + b)) - np.log(c / (c + d))
    return effect, 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)


def test_restricted_likelihood_gives_the_published_spread_and_mean_of_the_vaccine_trials() -> None:
    """Viechtbauer 2010 (viechtbauer2010) prints tau² 0.313, Q 152.233, I² 92.2 %, risk ratio 0.489.

    Its prediction interval of the risk ratio, 0.155 to 1.549, takes the normal point.
    """
    y, v = log_risk_ratios()
    between = between_reml(y, v)
    assert between == pytest.approx(0.313, abs=5e-4)
    w = 1 / (v + between)
    mean, error = float((w * y).sum() / w.sum()), math.sqrt(1 / w.sum())
    assert math.exp(mean) == pytest.approx(0.489, abs=5e-4)
    assert np.exp([mean - 1.96 * error, mean + 1.96 * error]) == pytest.approx([0.344, 0.696], abs=6e-4)
    wide = 1.959964 * math.hypot(error, math.sqrt(between))
    assert np.exp([mean - wide, mean + wide]) == pytest.approx([0.155, 1.549], abs=1e-3)
    pooled = pool_random(y, np.sqrt(v))
    assert pooled.q == pytest.approx(152.23, abs=0.005)
    assert between_dersimonian_laird(y, v) == pytest.approx(
        0.3088, abs=5e-5
    )  # the same page of that paper, from memory


def cases() -> list[tuple[Floats, Floats]]:
    rng = np.random.default_rng(5)
    made = [log_risk_ratios()]
    # Not (15, 1.5): there the library's iteration, which starts at 0, stays at 0 against its own equation.
    for k, spread in ((3, 0.8), (6, 0.3), (15, 1.0), (40, 0.6), (8, 3.0)):
        v = rng.uniform(0.02, 0.6, k)
        made.append((rng.normal(1.0, np.sqrt(v + spread**2)), v))
    return made


every_case = pytest.mark.parametrize("case", range(6))


@every_case
def test_spread_between_members_is_that_of_statsmodels(case: int) -> None:
    y, v = cases()[case]
    theirs = combine_effects(y, v, method_re="chi2")
    assert between_dersimonian_laird(y, v) == pytest.approx(max(0.0, theirs.tau2), rel=1e-9, abs=1e-12)
    iterated = combine_effects(y, v, method_re="iterated", atol=1e-12)
    assert between_paule_mandel(y, v) == pytest.approx(max(0.0, iterated.tau2), rel=1e-5, abs=1e-8)


@every_case
def test_mean_and_hartung_knapp_error_are_those_of_statsmodels(case: int) -> None:
    y, v = cases()[case]
    ours, theirs = pool_random(y, np.sqrt(v)), combine_effects(y, v, method_re="iterated", use_t=True, atol=1e-12)
    assert ours.mean == pytest.approx(theirs.mean_effect_re, rel=1e-6)
    plain, knapp = math.sqrt(theirs.var_eff_w_re), theirs.sd_eff_w_re_hksj
    assert ours.error == pytest.approx(max(plain, knapp), rel=1e-5)
    half = special.stdtrit(y.size - 1, 0.975) * ours.error
    assert ours.interval == pytest.approx((ours.mean - half, ours.mean + half))
    assert ours.q == pytest.approx(theirs.q, rel=1e-9)


@every_case
def test_a_new_member_is_predicted_with_students_t_as_higgins_and_others_write_it(case: int) -> None:
    """Higgins, Thompson and Spiegelhalter 2009 (higgins2009): t with k − 2 degrees on the root of tau² + se²."""
    y, v = cases()[case]
    pooled = pool_random(y, np.sqrt(v))
    half = special.stdtrit(y.size - 2, 0.975) * math.hypot(pooled.between_sd, pooled.error)
    assert pooled.prediction == pytest.approx((pooled.mean - half, pooled.mean + half))


def test_prediction_intervals_hold_new_members_about_as_often_as_they_say() -> None:
    """2,000 pools of eight members drawn from the model itself: 90 % intervals hold the ninth in 86 to 94 %."""
    rng, held = np.random.default_rng(8), 0
    for _ in range(2000):
        truth = rng.normal(0.0, 0.7, 9)
        v = rng.uniform(0.05, 0.3, 8)
        low, high = pool_random(rng.normal(truth[:8], np.sqrt(v)), np.sqrt(v), level=0.9).prediction
        held += low <= truth[8] <= high
    assert 0.86 <= held / 2000 <= 0.94


def test_a_member_who_is_hardly_known_is_drawn_to_the_mean_and_a_well_known_one_stays() -> None:
    y, errors = [0.0, 1.0, 2.0, 5.0], [0.1, 0.1, 0.1, 3.0]
    pooled = pool_random(y, errors)
    drawn = shrunk(y, errors, pooled)
    assert abs(drawn[3] - pooled.mean) < 0.2 * abs(5.0 - pooled.mean)
    assert drawn[0] == pytest.approx(0.0, abs=0.05)
