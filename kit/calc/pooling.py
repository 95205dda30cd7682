r"""Random effects: what many members' estimates say together, how far members differ, what a new one may expect.

.. math::
    y_i = \mu + u_i + e_i, \qquad u_i \sim N(0, \tau^2), \qquad e_i \sim N(0, v_i)

y an estimate, v its own variance, :math:`\tau` how far members truly differ, w = 1/(v + :math:`\tau^2`) its weight.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import optimize, special

from kit.calc.ranges import Interval
from kit.errors import ValidityError

Floats = NDArray[np.float64]
STEPS = 200
"""Most steps of the Fisher scoring; it needs some five to twenty."""
SMALL = 1e-10


@dataclass(frozen=True, slots=True)
class Pooled:
    """What members say together.

    Parameters
    ----------
    mean : float
        Of the members' true values, in the unit of the estimates [1].
    error : float
        Its standard error, after Hartung and Knapp [1].
    interval : Interval
        Of the mean; infinite ends with a single member.
    prediction : Interval
        Where a new member's true value is likely to lie; infinite ends with fewer than three members.
    between_sd : float
        Spread of the members' true values [1].
    q : float
        Cochran's Q [1].
    i2_pct : float
        Share of the scatter that is not the estimates' own error [%].
    members : int
        Estimates pooled.
    """

    mean: float
    error: float
    interval: Interval
    prediction: Interval
    between_sd: float
    q: float
    i2_pct: float
    members: int


def between_dersimonian_laird(estimates: ArrayLike, variances: ArrayLike) -> float:
    r"""Variance between members by the method of moments with the weights 1/v.

    .. math:: \tau^2 = \max\left(0, \frac{Q - (k - 1)}{\sum w - \sum w^2 / \sum w}\right)

    Parameters
    ----------
    estimates : array_like, shape (k,)
        One for each member [1].
    variances : array_like, shape (k,)
        Squared standard errors [1].

    Returns
    -------
    float
        Between members, in the squared unit of the estimates [1].

    Raises
    ------
    ValidityError
        When the lengths differ, there is none, or a variance is not above zero.

    References
    ----------
    dersimonian1986

    Examples
    --------
    >>> round(between_dersimonian_laird([0.0, 1.0, 2.0], [0.1, 0.1, 0.1]), 6)
    0.9
    """
    y, v = _checked(estimates, variances)
    if y.size < 2:
        return 0.0
    w = 1 / v
    scale = w.sum() - (w**2).sum() / w.sum()
    return max(0.0, float((_q(y, v, 0.0) - (y.size - 1)) / scale))


def between_paule_mandel(estimates: ArrayLike, variances: ArrayLike) -> float:
    r"""Variance between members at which the weighted scatter is what it should be.

    .. math:: \sum w_i (y_i - \hat\mu)^2 = k - 1

    Parameters
    ----------
    estimates, variances : array_like, shape (k,)
        As for `between_dersimonian_laird`.

    Returns
    -------
    float
        Between members, 0 when the estimates scatter less than their own errors [1].

    Raises
    ------
    ValidityError
        As for `between_dersimonian_laird`.

    References
    ----------
    paule1982

    Examples
    --------
    >>> round(between_paule_mandel([0.0, 1.0, 2.0], [0.1, 0.1, 0.1]), 6)
    0.9
    """
    y, v = _checked(estimates, variances)
    wanted = y.size - 1
    if y.size < 2 or _q(y, v, 0.0) <= wanted:
        return 0.0
    top = float(((y - y.mean()) ** 2).sum() / wanted + v.max())
    while _q(y, v, top) > wanted:
        top *= 2
    return float(optimize.brentq(lambda t: _q(y, v, t) - wanted, 0.0, top, xtol=SMALL))


def between_reml(estimates: ArrayLike, variances: ArrayLike) -> float:
    r"""Variance between members by restricted maximum likelihood, by Fisher scoring.

    .. math:: \tau^2 \leftarrow \tau^2 + \frac{y'PPy - \mathrm{tr} P}{\mathrm{tr} PP}, \quad
        P = W - W 1 (1'W1)^{-1} 1'W

    Parameters
    ----------
    estimates, variances : array_like, shape (k,)
        As for `between_dersimonian_laird`.

    Returns
    -------
    float
        Between members [1].

    Raises
    ------
    ValidityError
        As for `between_dersimonian_laird`.

    References
    ----------
    viechtbauer2010

    Examples
    --------
    >>> round(between_reml([0.0, 1.0, 2.0], [0.1, 0.1, 0.1]), 6)
    0.9
    """
    y, v = _checked(estimates, variances)
    if y.size < 2:
        return 0.0
    between = between_dersimonian_laird(y, v)
    for _ in range(STEPS):
        w = 1 / (v + between)
        total, squares = w.sum(), (w**2).sum()
        residual = w * (y - (w * y).sum() / total)
        trace = total - squares / total
        trace_squared = squares - 2 * (w**3).sum() / total + (squares / total) ** 2
        moved = max(0.0, between + float(((residual**2).sum() - trace) / trace_squared))
        if abs(moved - between) < SMALL * (1 + between):
            return moved
        between = moved
    return between


def pool_random(estimates: ArrayLike, errors: ArrayLike, *, level: float = 0.95) -> Pooled:
    r"""Pool members' estimates: Paule–Mandel between members, Hartung–Knapp for the mean.

    .. math:: \mathrm{se}^2(\hat\mu) = \frac{\sum w_i (y_i - \hat\mu)^2}{(k - 1) \sum w_i}, \qquad
        \hat\mu \pm t_{k-1}\, \mathrm{se}, \qquad \text{new member: } \hat\mu \pm t_{k-2} \sqrt{\tau^2 + \mathrm{se}^2}

    Parameters
    ----------
    estimates : array_like, shape (k,)
        One for each member, on a scale on which they are about normal: log or logit [1].
    errors : array_like, shape (k,)
        Standard errors [1].
    level : float
        Chance that the intervals should hold [1].

    Returns
    -------
    Pooled
        In the unit of the estimates.

    Raises
    ------
    ValidityError
        As for `between_dersimonian_laird`, or when `level` does not lie between 0 and 1.

    Notes
    -----
    The factor on the standard error is not let below 1 (the cautious form of Hartung–Knapp): members that agree by
    luck do not make the interval narrower than fixed weights would. Few members: wide, and rightly so. Estimates that
    share a prior are taken as independent; a pool of model readings is then too sure.

    References
    ----------
    paule1982
    hartung2001
    higgins2009

    Examples
    --------
    >>> pooled = pool_random([0.0, 1.0, 2.0], [0.3, 0.3, 0.3])
    >>> pooled.mean, round(pooled.between_sd, 3), round(pooled.error, 3)
    (1.0, 0.954, 0.577)
    """
    if not 0 < level < 1:
        raise ValidityError(f"level must lie between 0 and 1: got {level!r}")
    y, se = _checked(estimates, errors)
    v, k = se**2, y.size
    between = between_paule_mandel(y, v)
    w = 1 / (v + between)
    mean = float((w * y).sum() / w.sum())
    factor = max(1.0, _q(y, v, between) / (k - 1)) if k > 1 else 1.0
    error = math.sqrt(factor / float(w.sum()))
    q = _q(y, v, 0.0)
    return Pooled(
        mean=mean,
        error=error,
        interval=_around(mean, error, level, k - 1),
        prediction=_around(mean, math.hypot(error, math.sqrt(between)), level, k - 2),
        between_sd=math.sqrt(between),
        q=q,
        i2_pct=100 * max(0.0, 1 - (k - 1) / q) if q > 0 else 0.0,
        members=k,
    )


def shrunk(estimates: ArrayLike, errors: ArrayLike, pooled: Pooled) -> Floats:
    r"""Each member's estimate drawn towards the mean, the further the less it is known (partial pooling).

    .. math:: \hat y_i = \hat\mu + \frac{\tau^2}{\tau^2 + v_i} (y_i - \hat\mu)

    Parameters
    ----------
    estimates, errors : array_like, shape (k,)
        As for `pool_random`.
    pooled : Pooled
        Of these members or of others.

    Returns
    -------
    numpy.ndarray
        In the order of the estimates [1].

    Raises
    ------
    ValidityError
        As for `pool_random`.

    References
    ----------
    viechtbauer2010
    """
    y, se = _checked(estimates, errors)
    between = pooled.between_sd**2
    return np.asarray(pooled.mean + between / (between + se**2) * (y - pooled.mean), dtype=float)


def _checked(estimates: ArrayLike, spreads: ArrayLike) -> tuple[Floats, Floats]:
    y, v = np.atleast_1d(np.asarray(estimates, dtype=float)), np.atleast_1d(np.asarray(spreads, dtype=float))
    if y.shape != v.shape or y.ndim != 1 or not y.size:
        raise ValidityError(f"estimates and their errors must be of one length, at least 1: got {y.size} and {v.size}")
    if not np.all(np.isfinite(y)) or not np.all(np.isfinite(v) & (v > 0)):
        raise ValidityError("every estimate must be a finite number with an error above zero")
    return y, v


def _q(y: Floats, v: Floats, between: float) -> float:
    """Cochran's Q with the weights 1/(v + between)."""
    w = 1 / (v + between)
    return float((w * (y - (w * y).sum() / w.sum()) ** 2).sum())


def _around(mean: float, error: float, level: float, freedom: int) -> Interval:
    if freedom < 1:
        return Interval(-math.inf, math.inf)
    half = float(special.stdtrit(freedom, 0.5 + level / 2)) * error
    return Interval(mean - half, mean + half)
