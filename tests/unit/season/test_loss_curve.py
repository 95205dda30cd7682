"""The loss curve refitted to own deaths: what it takes, which way it moves, and its chance of deaths by itself."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from scipy import stats

from kit.calc.losses import LossCurve, loss_by_mites_pct
from kit.constants import losses as known
from kit.season.expected import Winter, usual_curves
from kit.season.heads import Heads
from kit.season.loss_curve import _log_beta_binomial, refitted
from kit.season.reading import Season
from tests.unit.season.sheets import records

INFESTATIONS = np.linspace(1.0, 8.0, 12)
WINTERED = 40


def test_hives_that_share_their_luck_die_by_the_beta_binomial_of_scipy() -> None:
    size = 1 / known.SHARED_LUCK.value - 1
    for share, of in ((0.1, 16), (0.6, 5)):
        for dead in range(of + 1):
            ours = float(_log_beta_binomial(dead, of, np.array(share)))
            assert ours == pytest.approx(stats.betabinom.logpmf(dead, of, share * size, (1 - share) * size))


def _season() -> Season:
    """Apiaries whose hives all stand at one known infestation."""
    readings = {}
    for n, infestation in enumerate(INFESTATIONS):
        course = SimpleNamespace(per_100=np.full((20, 4, 365), infestation))
        usual = SimpleNamespace(index=lambda day: 150)
        readings[f"A{n}"] = SimpleNamespace(
            course=course, usual=usual, weights=np.ones(4), standing=lambda day: np.ones(4, dtype=bool)
        )
    return cast("Season", SimpleNamespace(readings=readings))


def _winter() -> Winter:
    settings = records({}).settings
    curves, background = usual_curves(np.random.default_rng(1), 200)
    return Winter(settings.winter_bees_from, settings.winter_bees_to, curves, background)


def _heads(half: float) -> list[Heads]:
    """Deaths as a curve with another half point has them, and a tenth of the others by queens."""
    curve = LossCurve(half_infestation_pct=half)
    by_mites = loss_by_mites_pct(exposure_pct=INFESTATIONS, october_infestation_pct=INFESTATIONS, curve=curve)
    found = []
    for n, k in enumerate(np.round(by_mites / 100 * WINTERED).astype(int).tolist()):
        queens = round((WINTERED - k) / 10)
        found.append(Heads(f"A{n}", WINTERED, WINTERED - k - queens, k + queens, {"mites": k, "queen": queens}))
    return found


def _half(winter: Winter) -> float:
    return float(np.median([curve.half_infestation_pct for curve in winter.curves]))


def test_the_curve_moves_to_where_own_deaths_put_it() -> None:
    usual = _winter()
    low, high = (refitted(usual, _heads(half), _season(), seed=1) for half in (7.5, 15.0))
    assert low.fact["refitted"] and high.fact["refitted"]
    assert _half(low.winter) < _half(usual) < _half(high.winter)
    assert np.median(low.winter.background) == pytest.approx(10, abs=2.5)
    assert low.table["own_p50"].notna().all()


def test_with_few_deaths_or_few_apiaries_it_stays_as_usual_and_says_so() -> None:
    usual, heads = _winter(), _heads(11.0)
    few = [replace(one, causes={"queen": one.lost or 0}) for one in heads]
    for kept in (few, heads[-2:], []):
        found = refitted(usual, kept, _season(), seed=1)
        assert found.winter is usual and not found.fact["refitted"]
        assert found.table["own_p50"].isna().all() and found.table["usual_p50"].notna().all()


def test_deaths_of_unknown_cause_may_have_been_mites() -> None:
    usual = _winter()
    named = _heads(7.5)
    doubted, surely_not = ([_half_named(one, other) for one in named] for other in ("unknown", "queen"))
    halves = [_half(refitted(usual, heads, _season(), seed=1).winter) for heads in (named, doubted, surely_not)]
    assert halves[0] < halves[2] and halves[1] < halves[2]


def _half_named(one: Heads, other: str) -> Heads:
    """The same winter with every second death by mites under another cause."""
    moved = one.causes["mites"] // 2
    causes = {"mites": one.causes["mites"] - moved, "queen": one.causes["queen"]}
    return replace(one, causes=causes | {other: causes.get(other, 0) + moved})
