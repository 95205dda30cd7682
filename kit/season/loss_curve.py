r"""The loss curve refitted to own deaths by mites: of many curves that may hold, those that would have given these.

.. math::
    w_c \propto \prod_a \Big\langle \sum_{j=0}^{u_a} B(m_a + j \mid n_a, \bar p_a)\,
    B(o_a + u_a - j \mid n_a - m_a - j, q) \Big\rangle

m, o and u died of mites, of other causes and of what nobody knows, of n wintered; p the mean loss by mites of the
apiary's hives under curve c, q the loss by other causes, B a beta-binomial (hives of one apiary share their luck), the
angles the mean over draws of its mites. Only apiaries with both heads count. With few deaths the curve stays as usual.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from zlib import crc32

import numpy as np
import pandas as pd
from scipy import special

from kit.calc.losses import LossCurve, loss_by_mites_pct
from kit.calc.ranges import band_of
from kit.constants import losses as known
from kit.season.expected import Winter, usual_curves
from kit.season.heads import UNKNOWN, Heads
from kit.season.loads import POINTS
from kit.season.losses import MITES
from kit.season.reading import Reading, Season
from kit.season.usual import Array

ENOUGH_DEATHS, ENOUGH_APIARIES = 6, 3
"""Deaths by mites, and apiaries with both heads, from which the curve is refitted (assumed)."""
TRIED, MITE_DRAWS = 3000, 20
COLUMNS = ["number", "unit", *(f"usual_{p}" for p in POINTS), *(f"own_{p}" for p in POINTS)]
NUMBERS = (
    ("half_infestation_pct", "October infestation at which half of the most is lost", "mites/100 bees"),
    ("top_pct", "most that mites take", "%"),
    ("steepness", "steepness", ""),
    ("exposure_weight", "weight of the mites while winter bees are raised", ""),
)

OTHER_CAUSES = "loss by all other causes"


@dataclass(frozen=True)
class Refit:
    """The winter with the curves to be used, the table `loss_curve`, and the fact of that name."""

    winter: Winter
    table: pd.DataFrame
    fact: dict[str, Any]


def refitted(usual: Winter, heads: Sequence[Heads], season: Season, *, seed: int) -> Refit:
    """The winter with its curves refitted, or as it was where deaths by mites are too few."""
    counted = [one for one in heads if one.lost is not None and one.wintered and one.apiary in season.readings]
    deaths = sum(one.causes.get(MITES, 0) for one in counted)
    fact = {"deaths": deaths, "apiaries": len(counted), "enough_deaths": ENOUGH_DEATHS,
            "enough_apiaries": ENOUGH_APIARIES}  # fmt: skip
    if deaths < ENOUGH_DEATHS or len(counted) < ENOUGH_APIARIES:
        return Refit(usual, _table(usual, None), {"refitted": False, **fact})
    rng = np.random.default_rng([seed, crc32(b"own deaths")])
    curves, background = usual_curves(rng, TRIED)
    log_weights = np.zeros(TRIED)
    for one in counted:
        log_weights += _log_likelihood(one, season.readings[one.apiary], usual, curves, background)
    kept = _resampled(log_weights, len(usual.curves), rng)
    own = replace(usual, curves=[curves[n] for n in kept], background=background[kept])
    return Refit(own, _table(usual, own), {"refitted": True, **fact})


def _log_likelihood(one: Heads, here: Reading, winter: Winter, curves: Sequence[LossCurve], background: Array) -> Array:
    """Log likelihood of one apiary's deaths under each curve, shape (curves,)."""
    by_mites = _mean_loss(here, winter, curves)
    wintered, lost = int(one.wintered or 0), int(min(one.lost or 0, one.wintered or 0))
    mites = min(one.causes.get(MITES, 0), lost)
    unknown = min(one.causes.get(UNKNOWN, 0), lost - mites)
    ways = [
        _log_beta_binomial(mites + j, wintered, by_mites)
        + _log_beta_binomial(lost - mites - j, wintered - mites - j, background[:, None] / 100)
        for j in range(unknown + 1)
    ]
    by_draw = special.logsumexp(ways, axis=0)
    return np.asarray(special.logsumexp(by_draw, axis=1) - np.log(by_draw.shape[1]))


def _mean_loss(here: Reading, winter: Winter, curves: Sequence[LossCurve]) -> Array:
    """Mean loss by mites of an apiary's hives under each curve and some draws of its mites, (curves, draws) [1]."""
    exposed, october = winter.infestation(here, here.course)
    some = np.linspace(0, len(exposed) - 1, MITE_DRAWS).astype(int)
    each = [
        loss_by_mites_pct(exposure_pct=exposed[some], october_infestation_pct=october[some], curve=curve)
        for curve in curves
    ]
    weights = here.weights * here.standing(here.usual.index(winter.last))
    weights = weights if weights.sum() > 0 else np.ones_like(weights)
    return np.asarray(np.clip(np.array(each) @ weights / weights.sum() / 100, 1e-4, 1 - 1e-4))


def _log_beta_binomial(dead: int, of: int, share: Array) -> Array:
    """Log chance of `dead` of `of` hives that share their luck, in the shape of `share`."""
    size = 1 / known.SHARED_LUCK.value - 1
    a, b = share * size, (1 - share) * size
    ways = special.gammaln(of + 1) - special.gammaln(dead + 1) - special.gammaln(of - dead + 1)
    return np.asarray(ways + special.betaln(dead + a, of - dead + b) - special.betaln(a, b))


def _resampled(log_weights: Array, count: int, rng: np.random.Generator) -> Array:
    """Indices drawn by weight, evenly spread over the sum of weights (systematic resampling), in random order."""
    weights = np.exp(log_weights - log_weights.max())
    at = (np.arange(count) + rng.random()) / count
    kept = np.searchsorted(np.cumsum(weights) / weights.sum(), at)
    return np.asarray(rng.permutation(np.minimum(kept, len(weights) - 1)))


def _table(usual: Winter, own: Winter | None) -> pd.DataFrame:
    """Each number of the curve as usual and, where refitted, by own deaths."""
    rows = [[text, unit, *_points(usual, name), *_points(own, name)] for name, text, unit in NUMBERS]
    others = [band_of(one.background) if one else [np.nan] * 3 for one in (usual, own)]
    rows.append([OTHER_CAUSES, "%", *others[0], *others[1]])
    return pd.DataFrame(rows, columns=COLUMNS)


def _points(winter: Winter | None, name: str) -> Sequence[float]:
    if winter is None:
        return [np.nan] * 3
    return list(band_of(np.array([getattr(curve, name) for curve in winter.curves])))
