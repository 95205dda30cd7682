r"""What a count of mites says by itself: boards by the handbook factor, washes by their method's recovery.

.. math::
    \text{mites} = \lambda\, s, \qquad \lambda \sim \text{Gamma}(k + 1/2,\, 1)

k mites were counted, :math:`\lambda` is the count to be expected (Poisson, Jeffreys' prior, so that none found
is not none there), and the scale s carries all else: days, share counted and handbook factor of a board; bees,
recovery and share in brood of a wash. The spread of s is integrated on a fixed grid, so the answer never varies.
"""

import math
from datetime import date, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.calc.handbook import drop_factor, trouble_drop_per_day
from kit.calc.ranges import Band, Interval
from kit.calc.spread import NODES, count_band, lognormal_nodes, normal_point, triangle_nodes
from kit.checks import not_negative, positive, within
from kit.constants import Constant
from kit.constants import counts as known
from kit.errors import ValidityError

__all__ = [
    "Level",
    "Method",
    "detection_sample_size",
    "drop_factor",
    "infestation_from_wash_pct",
    "mites_from_board",
    "mites_from_level",
    "mites_from_wash",
    "trouble_drop_per_day",
    "wilson_interval_pct",
]

Level = Literal["none", "few", "many"]
Method = Literal["alcohol wash", "sugar roll", "co2"]

_RECOVERY: dict[str, Constant] = {
    "alcohol wash": known.RECOVERY_ALCOHOL_WASH,
    "sugar roll": known.RECOVERY_SUGAR_ROLL,
    "co2": known.RECOVERY_CO2,
}


def wilson_interval_pct(k: float, n: float, *, level: float = 0.95) -> Interval:
    """Wilson's score interval for a share.

    .. math:: (p + z^2/2n \\pm z \\sqrt{p(1-p)/n + z^2/4n^2}) / (1 + z^2/n)

    Parameters
    ----------
    k : float
        Those that have the property [count].
    n : float
        All that were looked at [count].
    level : float
        Chance that the interval should hold the share [1].

    Returns
    -------
    Interval
        Low and high end [%].

    Raises
    ------
    ValidityError
        When n is not above zero, k not in 0 to n, or level not between 0 and 1.

    Notes
    -----
    For independent ones only: colonies of one apiary share their fate, see `kit.calc.losses.loss_rate`.

    References
    ----------
    wilson1927

    Examples
    --------
    Three mites on 300 bees:

    >>> [round(end, 2) for end in wilson_interval_pct(3, 300)]
    [0.34, 2.9]
    """
    positive("n", n)
    within("k", k, 0, n)
    z2 = normal_point(level) ** 2
    centre = (k + z2 / 2) / (n + z2)
    half = math.sqrt(z2 * (k * (n - k) / n + z2 / 4)) / (n + z2)
    return Interval(100 * max(centre - half, 0.0), 100 * min(centre + half, 1.0))


def detection_sample_size(*, prevalence_pct: float, chance_pct: float) -> int:
    """Bees (or cells) to look at so as to meet at least one that is infested.

    .. math:: n = \\ln(1 - D) / \\ln(1 - P)

    Parameters
    ----------
    prevalence_pct : float
        Share infested, P [%].
    chance_pct : float
        Wanted chance of meeting one, D [%].

    Returns
    -------
    int
        Sample size, rounded up [count].

    Raises
    ------
    ValidityError
        When a share is not above 0 and below 100.

    Notes
    -----
    Valid for samples small against the colony and a method that misses nothing.

    References
    ----------
    beebook

    Examples
    --------
    >>> detection_sample_size(prevalence_pct=5, chance_pct=95)
    59
    >>> detection_sample_size(prevalence_pct=1, chance_pct=99)
    459
    """
    for name, share in (("prevalence_pct", prevalence_pct), ("chance_pct", chance_pct)):
        if not 0 < share < 100:
            raise ValidityError(f"{name} must be above 0 and below 100: got {share!r}")
    return math.ceil(math.log1p(-chance_pct / 100) / math.log1p(-prevalence_pct / 100))


def mites_from_board(*, mites: float, days: float, on: date, share_counted_pct: float = 100.0) -> Band:
    """Mites in the colony by one board, by the handbook factor of the middle of its days.

    Parameters
    ----------
    mites : float
        Mites counted [count].
    days : float
        Time the board lay [days].
    on : date
        Day it was read.
    share_counted_pct : float
        Part of the board that was counted [%].

    Returns
    -------
    Band
        Mites in the colony [count].

    Raises
    ------
    ValidityError
        When mites are negative, days not above zero, or the share not above 0 and at most 100.

    Notes
    -----
    Spread of the factor and counting error together. After a treatment the board holds that treatment's dead: the
    reading says nothing about the living then.

    References
    ----------
    managing_varroa
    martin1998
    ostiguy2000

    Examples
    --------
    Ten a day in July, about 300 mites, good to a factor of 2 to 3:

    >>> [round(mites) for mites in mites_from_board(mites=70, days=7, on=date(2025, 7, 8))]
    [118, 300, 766]
    """
    not_negative("mites", mites)
    return count_band(np.array([mites]), _board_scale(days, on, share_counted_pct))


def mites_from_level(level: Level, *, few_max: float, days: float, on: date) -> Band:
    """Mites in the colony by a word for the mites on one board.

    Parameters
    ----------
    level : Level
        none (0), few (1 to `few_max`) or many (above it, to ten times as many).
    few_max : float
        The most that is still called few [count].
    days : float
        Time the board lay [days].
    on : date
        Day it was read.

    Returns
    -------
    Band
        Mites in the colony [count].

    Raises
    ------
    ValidityError
        When the word is unknown, or `few_max` or `days` not above zero.

    Notes
    -----
    A word is an interval: counts in it are taken as equally likely by their logarithm (assumed).

    References
    ----------
    managing_varroa
    assumed

    Examples
    --------
    >>> [round(mites) for mites in mites_from_level("few", few_max=20, days=7, on=date(2025, 9, 10))]
    [8, 70, 364]
    """
    positive("few_max", few_max)
    if level not in ("none", "few", "many"):
        raise ValidityError(f"level must be none, few or many: got {level!r}")
    ends = {"none": (0.0, 0.0), "few": (1.0, few_max), "many": (few_max, few_max * known.MANY_SPAN.value)}
    low, high = ends[level]
    counts = np.array([0.0]) if high == 0 else low * (high / low) ** NODES
    return count_band(counts, _board_scale(days, on, 100.0))


def infestation_from_wash_pct(*, mites: float, bees: float, method: Method) -> Band:
    """Mites on 100 adult bees by one sample of bees.

    Parameters
    ----------
    mites : float
        Mites found [count].
    bees : float
        Bees in the sample [count].
    method : Method
        alcohol wash, sugar roll or co2; each finds a share of the mites on the bees, known as a range.

    Returns
    -------
    Band
        Mites per 100 bees [%].

    Raises
    ------
    ValidityError
        When mites are negative, bees not above zero, or the method is unknown.

    Notes
    -----
    Poisson, not binomial: mites are counted, not infested bees, and a bee can carry several. Leaves out that bees of
    different combs differ. The recovery is triangular over its range with its value as the peak.

    References
    ----------
    beebook
    lee2010
    macedo2002

    Examples
    --------
    Nine mites on 300 bees, alcohol wash:

    >>> [round(share, 1) for share in infestation_from_wash_pct(mites=9, bees=300, method="alcohol wash")]
    [1.8, 3.3, 5.5]
    """
    not_negative("mites", mites)
    return count_band(np.array([mites]), 100 * _wash_scale(bees, method))


def mites_from_wash(*, mites: float, bees: float, method: Method, adults: float, in_brood_pct: Band) -> Band:
    """Mites in the whole colony by one sample of bees.

    Parameters
    ----------
    mites : float
        Mites found [count].
    bees : float
        Bees in the sample [count].
    method : Method
        alcohol wash, sugar roll or co2.
    adults : float
        Adult bees in the colony [count].
    in_brood_pct : Band
        Share of the colony's mites that sits in capped brood that day: lowest, likeliest and highest [%].

    Returns
    -------
    Band
        Mites on bees and in capped brood [count].

    Raises
    ------
    ValidityError
        When a count is negative, bees or adults not above zero, the method unknown, or the shares not in order
        within 0 to below 100.

    Notes
    -----
    With 65 to 80 % in brood the number is 3 to 5 times that on the bees; "adults × 2" is about rates, not numbers.

    References
    ----------
    lee2010

    Examples
    --------
    Nine on 300 bees, 30,000 bees, full brood:

    >>> found = mites_from_wash(mites=9, bees=300, method="alcohol wash", adults=30_000, in_brood_pct=Band(65, 72, 80))
    >>> [round(mites, -1) for mites in found]
    [1960.0, 3640.0, 6230.0]
    """
    not_negative("mites", mites)
    positive("adults", adults)
    low, middle, high = in_brood_pct
    if not 0 <= low <= middle <= high < 100:
        raise ValidityError(f"in_brood_pct must rise within 0 to below 100: got {tuple(in_brood_pct)}")
    hidden = triangle_nodes(low, middle, high) / 100
    scale = np.outer(_wash_scale(bees, method), adults / (1 - hidden))
    return count_band(np.array([mites]), scale.ravel())


def _board_scale(days: float, on: date, share_counted_pct: float) -> NDArray[np.float64]:
    """Mites in the colony for each mite counted, at the nodes of their spread."""
    positive("days", days)
    if not 0 < share_counted_pct <= 100:
        raise ValidityError(f"share_counted_pct must be above 0 and at most 100: got {share_counted_pct!r}")
    part = known.PART_BOARD_SD.value / 100 if share_counted_pct < 100 else 0.0
    factor = drop_factor(on - timedelta(days=days / 2))
    log_sd = math.hypot(math.log(factor.p95 / factor.p50) / normal_point(0.90), part)
    return lognormal_nodes(factor.p50 / (days * share_counted_pct / 100), log_sd)


def _wash_scale(bees: float, method: str) -> NDArray[np.float64]:
    """Mites on one bee for each mite found, at the nodes of the method's recovery."""
    positive("bees", bees)
    if method not in _RECOVERY:
        raise ValidityError(f"method must be one of {', '.join(_RECOVERY)}: got {method!r}")
    found = _RECOVERY[method]
    return 100 / (triangle_nodes(found.low, found.value, found.high) * bees)
