"""Spreads written out in `kit.calc.spread` against the distributions of scipy.stats, which takes a second to load."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from kit.calc.spread import NODES, lognormal_nodes, triangle_nodes


@pytest.mark.parametrize(("low", "peak", "high"), [(0, 5, 10), (0.1, 0.1, 3), (2, 7, 7), (0.5, 0.6, 4)])
def test_a_triangle_has_the_quantiles_of_the_library(low: float, peak: float, high: float) -> None:
    library = stats.triang.ppf(NODES, (peak - low) / (high - low), loc=low, scale=high - low)
    np.testing.assert_allclose(triangle_nodes(low, peak, high), library, rtol=1e-14)


def test_a_lognormal_has_the_quantiles_of_the_library() -> None:
    np.testing.assert_allclose(lognormal_nodes(30, 0.4), stats.lognorm.ppf(NODES, 0.4, scale=30), rtol=1e-12)
