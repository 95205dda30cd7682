r"""Winter loss: what was lost with an honest interval, and what mites lead one to expect.

.. math::
    L(I) = L_0 / (1 + (I_{1/2} / I)^{m}), \qquad I = w\, g\, E + (1 - w)\, O

E is the mean infestation while winter bees are raised, O the infestation in October, g what a colony left alone
makes of E by October, w the weight of what spoiled the winter bees. A colony left alone has O = gE and the curve is
then its October reading; one cleaned in October keeps most of its loss.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from kit.calc.counts import wilson_interval_pct
from kit.calc.ranges import Interval
from kit.checks import within
from kit.constants import losses as known
from kit.errors import ValidityError

IntervalMethod = Literal["quasi-binomial", "Wilson, one apiary", "Wilson, none lost", "Wilson, all lost"]


@dataclass(frozen=True, slots=True)
class LossRate:
    """A loss rate and how its interval was come by.

    Parameters
    ----------
    loss_pct : float
        Lost over wintered [%].
    interval_pct : Interval
        Low and high end [%].
    method : IntervalMethod
        What the interval knows: quasi-binomial takes in that colonies of one apiary share their fate; Wilson does
        not, and is too narrow.
    dispersion : float
        How many times the apiaries scatter more than independent colonies would, at least 1 [1].
    wintered, lost : int
        Colonies [count].
    """

    loss_pct: float
    interval_pct: Interval
    method: IntervalMethod
    dispersion: float
    wintered: int
    lost: int


@dataclass(frozen=True, slots=True)
class LossCurve:
    """Parameters of the expected loss by mites; the defaults are the constants' values.

    Parameters
    ----------
    top_pct : float
        Most that mites take [%].
    half_infestation_pct : float
        October infestation at which half of it is lost [mites/100 bees].
    steepness : float
        Exponent [1].
    exposure_to_october : float
        October infestation over the mean while winter bees are raised, colony left alone [1].
    exposure_weight : float
        Weight of the exposure, the rest being the October load, 0 to 1 [1].
    """

    top_pct: float = known.LOSS_TOP.value
    half_infestation_pct: float = known.LOSS_HALF.value
    steepness: float = known.LOSS_STEEPNESS.value
    exposure_to_october: float = known.EXPOSURE_TO_OCTOBER.value
    exposure_weight: float = known.EXPOSURE_WEIGHT.value

    def __post_init__(self) -> None:
        within("top_pct", self.top_pct, 0, 100)
        within("exposure_weight", self.exposure_weight, 0, 1)
        for name in ("half_infestation_pct", "steepness", "exposure_to_october"):
            if not getattr(self, name) > 0:
                raise ValidityError(f"{name} must be > 0: got {getattr(self, name)!r}")


def loss_rate(wintered: Sequence[int], lost: Sequence[int], *, level: float = 0.95) -> LossRate:
    """Overall loss rate with an interval across apiaries (or operations).

    .. math::
        \\hat p = \\sum l_i / \\sum n_i, \\quad
        \\phi = \\frac{1}{g - 1} \\sum \\frac{(l_i - n_i \\hat p)^2}{n_i \\hat p (1 - \\hat p)}, \\quad
        \\text{se}(\\text{logit}\\, \\hat p) = \\sqrt{\\phi / (N \\hat p (1 - \\hat p))}

    Parameters
    ----------
    wintered : sequence of int, shape (g,)
        Colonies that went in, by apiary [count].
    lost : sequence of int, shape (g,)
        Of these, colonies lost [count].
    level : float
        Chance that the interval should hold the rate [1].

    Returns
    -------
    LossRate
        With the interval's method by name.

    Raises
    ------
    ValidityError
        When the lengths differ, a number is negative, more were lost than wintered, none wintered, or `level` does
        not lie between 0 and 1.

    Notes
    -----
    The quasi-binomial model with an intercept only, on the logit; a dispersion below 1 is taken as 1. Published surveys
    have thousands of operations and take the normal point; for a handful of apiaries this takes Student's t with g + 1
    degrees of freedom, which held 93 to 99 % in simulation (2 to 10 apiaries of 20; with g − 1 two apiaries would
    always say 0 to 100 %). With one apiary, none lost or all lost the
    dispersion cannot be found: Wilson's interval then, which is too narrow. Apiaries that wintered none are left out.

    References
    ----------
    coloss_methods
    wilson1927

    Examples
    --------
    Two of 60 lost in three apiaries, ten of 20 in the fourth: the interval is several times Wilson's.

    >>> rate = loss_rate([20, 20, 20, 20], [1, 0, 1, 10])
    >>> rate.loss_pct, rate.method, round(rate.dispersion, 1)
    (15.0, 'quasi-binomial', 8.6)
    """
    n, k = _paired(wintered, lost)
    total, gone = int(n.sum()), int(k.sum())
    share = gone / total
    method = _method(groups=n.size, lost=gone, wintered=total)
    if method != "quasi-binomial":
        return LossRate(100 * share, wilson_interval_pct(gone, total, level=level), method, 1.0, total, gone)
    variance = share * (1 - share)
    dispersion = max(1.0, float(((k - n * share) ** 2 / (n * variance)).sum() / (n.size - 1)))
    half = _student_point(level, n.size + 1) * math.sqrt(dispersion / (total * variance))
    ends = 100 * special.expit(special.logit(share) + np.array([-half, half]))
    return LossRate(100 * share, Interval(float(ends[0]), float(ends[1])), method, dispersion, total, gone)


def loss_curve_pct(october_infestation_pct: ArrayLike, *, curve: LossCurve | None = None) -> NDArray[np.float64]:
    """Expected loss by mites as an October-only reading.

    .. math:: 92 / (1 + (11 / I)^{2.6})

    Parameters
    ----------
    october_infestation_pct : array_like
        Mites per 100 adult bees in October [mites/100 bees].
    curve : LossCurve, optional
        Parameters; the constants' values without it.

    Returns
    -------
    numpy.ndarray
        Expected loss by mites, without other causes, in the shape of the infestation; 0 at 0 [%].

    Raises
    ------
    ValidityError
        When an infestation is negative or not a number.

    Notes
    -----
    Right for a colony left alone. One cleaned late counts clean but has spoiled winter bees: `loss_by_mites_pct`.

    References
    ----------
    assumed

    Examples
    --------
    >>> loss_curve_pct([0, 6, 33]).round().tolist()
    [0.0, 16.0, 87.0]
    """
    used = curve or LossCurve()
    infestation = _infestation("october_infestation_pct", october_infestation_pct)
    risen = infestation**used.steepness
    return np.asarray(used.top_pct * risen / (risen + used.half_infestation_pct**used.steepness), dtype=float)


def loss_by_mites_pct(
    *, exposure_pct: ArrayLike, october_infestation_pct: ArrayLike, curve: LossCurve | None = None
) -> NDArray[np.float64]:
    """Expected loss by mites from what the winter bees were raised with, and the October load second.

    Parameters
    ----------
    exposure_pct : array_like
        Mean of the mites per 100 adult bees over the days on which winter bees are raised [mites/100 bees].
    october_infestation_pct : array_like
        Mites per 100 adult bees in October; the shapes must fit together [mites/100 bees].
    curve : LossCurve, optional
        Parameters; the constants' values without it.

    Returns
    -------
    numpy.ndarray
        Expected loss by mites, without other causes [%].

    Raises
    ------
    ValidityError
        When an infestation is negative or not a number.

    Notes
    -----
    Assumed, and wide: refit to own deaths by mites when there are enough.

    References
    ----------
    assumed
    frey2014

    Examples
    --------
    Five per 100 all September: left alone (15 in October), and cleaned on 5 October (0.3):

    >>> loss_by_mites_pct(exposure_pct=5, october_infestation_pct=[15, 0.3]).round().tolist()
    [64.0, 48.0]
    """
    used = curve or LossCurve()
    exposure = _infestation("exposure_pct", exposure_pct)
    october = _infestation("october_infestation_pct", october_infestation_pct)
    weight = used.exposure_weight
    return loss_curve_pct(weight * used.exposure_to_october * exposure + (1 - weight) * october, curve=used)


def loss_expected_pct(
    by_mites_pct: ArrayLike, *, background_pct: float = known.BACKGROUND.value
) -> NDArray[np.float64]:
    """Expected loss by mites and all other causes, which strike independently.

    Parameters
    ----------
    by_mites_pct : array_like
        Expected loss by mites [%].
    background_pct : float
        Loss by all other causes [%].

    Returns
    -------
    numpy.ndarray
        Expected loss, in the shape of `by_mites_pct` [%].

    Raises
    ------
    ValidityError
        When a share lies outside 0 to 100.

    References
    ----------
    assumed

    Examples
    --------
    >>> round(float(loss_expected_pct(50.0, background_pct=8.0)), 1)
    54.0
    """
    within("background_pct", background_pct, 0, 100)
    by_mites = np.asarray(by_mites_pct, dtype=float)
    if not np.all((by_mites >= 0) & (by_mites <= 100)):
        raise ValidityError(f"by_mites_pct must be between 0 and 100: got {by_mites_pct!r}")
    return np.asarray(100 - (100 - by_mites) * (1 - background_pct / 100), dtype=float)


def _paired(wintered: Sequence[int], lost: Sequence[int]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both as arrays without the apiaries that wintered none, checked."""
    n, k = np.asarray(wintered, dtype=float), np.asarray(lost, dtype=float)
    if n.shape != k.shape or n.ndim != 1:
        raise ValidityError(f"wintered and lost must be of one length: got {n.size} and {k.size}")
    if not np.all((k >= 0) & (k <= n)):
        raise ValidityError(f"lost must be between 0 and wintered in every apiary: got {k.tolist()} of {n.tolist()}")
    if not n.sum() > 0:
        raise ValidityError("wintered must hold at least one colony: got none")
    return n[n > 0], k[n > 0]


def _method(*, groups: int, lost: int, wintered: int) -> IntervalMethod:
    if lost == 0:
        return "Wilson, none lost"
    if lost == wintered:
        return "Wilson, all lost"
    return "Wilson, one apiary" if groups == 1 else "quasi-binomial"


def _student_point(level: float, freedom: int) -> float:
    if not 0 < level < 1:
        raise ValidityError(f"level must lie between 0 and 1: got {level!r}")
    return float(special.stdtrit(freedom, 0.5 + level / 2))


def _infestation(name: str, values: ArrayLike) -> NDArray[np.float64]:
    found = np.asarray(values, dtype=float)
    if not np.all(found >= 0):
        raise ValidityError(f"{name} must be >= 0: got {values!r}")
    return found
