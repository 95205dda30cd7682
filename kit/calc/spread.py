"""Known spreads laid on a fixed grid of chances, and what a count says under them: no draws, the same each time."""

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from kit.calc.ranges import Band
from kit.errors import ValidityError

NODES = (np.arange(41) + 0.5) / 41
"""Chances at which a spread is looked at: the middles of 41 equal parts."""


@lru_cache(maxsize=16)
def normal_point(level: float) -> float:
    """Half the width of the central interval of a standard normal variable.

    Parameters
    ----------
    level : float
        Chance of lying in the interval [1].

    Returns
    -------
    float
        In standard deviations [1].

    Raises
    ------
    ValidityError
        When `level` does not lie between 0 and 1.

    Examples
    --------
    >>> round(normal_point(0.95), 2)
    1.96
    """
    if not 0 < level < 1:
        raise ValidityError(f"level must lie between 0 and 1: got {level!r}")
    return float(special.ndtri(0.5 + level / 2))


def lognormal_nodes(middle: float, log_sd: float) -> NDArray[np.float64]:
    """A lognormal spread on the grid.

    Parameters
    ----------
    middle : float
        Its median, in the unit of the quantity [1].
    log_sd : float
        Standard deviation of its natural logarithm [1].

    Returns
    -------
    numpy.ndarray
        Shape (41,), rising, in the unit of `middle` [1].

    Examples
    --------
    >>> lognormal_nodes(30, 0.0)[:2].tolist()
    [30.0, 30.0]
    """
    return np.asarray(middle * np.exp(log_sd * special.ndtri(NODES)), dtype=float)


def triangle_nodes(low: float, peak: float, high: float) -> NDArray[np.float64]:
    """A triangular spread on the grid.

    Parameters
    ----------
    low, peak, high : float
        Its ends and its likeliest value, in the unit of the quantity [1].

    Returns
    -------
    numpy.ndarray
        Shape (41,), rising, in the unit of `peak` [1].

    Examples
    --------
    >>> float(triangle_nodes(0, 5, 10)[20])
    5.0
    """
    if high == low:
        return np.full(NODES.size, float(low))
    rise = (peak - low) / (high - low)
    part = np.where(rise > NODES, np.sqrt(rise * NODES), 1 - np.sqrt((1 - rise) * (1 - NODES)))
    return np.asarray(low + (high - low) * part, dtype=float)


def count_band(counts: NDArray[np.float64], scale: NDArray[np.float64]) -> Band:
    """What lies behind a count: the expected count times a scale that is itself uncertain.

    .. math:: \\lambda s, \\quad \\lambda \\sim \\text{Gamma}(k + 1/2,\\, 1)

    Parameters
    ----------
    counts : numpy.ndarray, shape (n,)
        What was counted, or the equally likely counts a word may mean, k [count].
    scale : numpy.ndarray, shape (m,)
        Equally likely values of the scale, s, in the unit of the result for each one counted [1].

    Returns
    -------
    Band
        In the unit of `scale` [1].

    Notes
    -----
    Poisson with Jeffreys' prior: none found is not none there.

    Examples
    --------
    >>> [round(point, 2) for point in count_band(np.array([0.0]), np.array([1.0]))]
    [0.0, 0.23, 1.92]
    """
    shape = (counts + 0.5)[:, None]

    def chance_below(x: float) -> float:
        return float(special.gammainc(shape, x / scale).mean())

    low, middle, high = (_point(chance_below, chance, special.gammaincinv(shape, chance) * scale) for chance in _POINTS)
    return Band(low, middle, high)


_POINTS = (0.05, 0.5, 0.95)


def _point(chance_below: Callable[[float], float], chance: float, parts: NDArray[np.float64]) -> float:
    """Where a mixture reaches a chance: between the least and the greatest of its parts' own points."""
    low, high = float(parts.min()), float(parts.max())
    if low == high:
        return low
    return float(optimize.brentq(lambda x: chance_below(x) - chance, low, high, rtol=1e-10))
