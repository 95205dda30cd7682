"""The tails by which a count is held against what is expected, against scipy's negative binomial."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy import stats

from kit.season.posterior import trust
from kit.season.posterior.sight import Look


@pytest.mark.parametrize(("low", "high"), [(0, 0), (0, 4), (3, 3), (40, 40), (11, np.inf)])
@pytest.mark.parametrize("noise", [0.1, 0.33, 2.0])
def test_tails_are_those_of_the_librarys_negative_binomial(low: float, high: float, noise: float) -> None:
    expected = np.array([0.4, 3.0, 25.0, 180.0])
    look = Look("board", 10, 3, 1.0, low, high, noise, date(2025, 8, 1), "board")
    size, share = 1 / noise, 1 / (1 + noise * expected)
    library = [np.mean(stats.nbinom.cdf(high, size, share)), np.mean(stats.nbinom.sf(low - 1, size, share))]
    np.testing.assert_allclose(trust._tails(look, expected, np.full(4, size)), library, rtol=1e-9)
