"""A quantity with its spread: the 5, 50 and 95 % points."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike


class Band(NamedTuple):
    """Three points of a distribution, in the unit of the quantity."""

    p05: float
    p50: float
    p95: float


class Interval(NamedTuple):
    """Two ends of a confidence interval, in the unit of the quantity."""

    low: float
    high: float


def band_of(draws: ArrayLike) -> Band:
    """The 5, 50 and 95 % points of draws.

    Parameters
    ----------
    draws : array_like, shape (n,)
        Draws of one quantity, in its unit; NaN is refused by the result being NaN.

    Returns
    -------
    Band
        In the unit of `draws`.

    Examples
    --------
    >>> band_of(range(101))
    Band(p05=5.0, p50=50.0, p95=95.0)
    """
    low, middle, high = np.quantile(np.asarray(draws, dtype=float), [0.05, 0.5, 0.95])
    return Band(float(low), float(middle), float(high))
