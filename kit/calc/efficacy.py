r"""The kill of a treatment from counts before and after, each published formula under its author's name.

Intervals use the counting error alone (delta method on the logarithm of the share that survives); counts of whole
boards scatter more than that, and `overdispersion` widens the interval by its square root.
"""

import math

from kit.calc.counts import wilson_interval_pct
from kit.calc.ranges import Interval
from kit.calc.spread import normal_point
from kit.checks import not_negative, positive, within
from kit.constants import efficacy as known
from kit.constants.treatment_words import KILLS_MITES, SYNTHETIC
from kit.errors import ValidityError


def efficacy_abbott_pct(*, control_after: float, treated_after: float) -> float:
    """Kill by Abbott: the treated against an untreated control that was alike before.

    .. math:: 100\\,(1 - T_a / C_a)

    Parameters
    ----------
    control_after : float
        Mites alive in the untreated, after [count].
    treated_after : float
        Mites alive in the treated, after [count].

    Returns
    -------
    float
        Efficacy, below zero where the treated have more [%].

    Raises
    ------
    ValidityError
        When the control is not above zero or the treated is negative.

    Notes
    -----
    Valid when both had the same number before; else `efficacy_henderson_tilton_pct`.

    References
    ----------
    abbott1925

    Examples
    --------
    >>> efficacy_abbott_pct(control_after=80, treated_after=20)
    75.0
    """
    positive("control_after", control_after)
    not_negative("treated_after", treated_after)
    return 100 * (1 - treated_after / control_after)


def efficacy_abbott_interval_pct(
    *, control_after: float, treated_after: float, level: float = 0.95, overdispersion: float = 1.0
) -> Interval:
    """Interval of `efficacy_abbott_pct`.

    Parameters
    ----------
    control_after : float
        Mites alive in the untreated, after [count].
    treated_after : float
        Mites alive in the treated, after [count].
    level : float
        Chance that the interval should hold the kill [1].
    overdispersion : float
        Variance of a count over its mean [1].

    Returns
    -------
    Interval
        Low and high end [%].

    Raises
    ------
    ValidityError
        As for `efficacy_abbott_pct`; when `level` is not between 0 and 1 or `overdispersion` below 1.

    Notes
    -----
    With a zero count half a mite is added to each (Haldane's correction).

    References
    ----------
    abbott1925

    Examples
    --------
    >>> [round(end) for end in efficacy_abbott_interval_pct(control_after=80, treated_after=20)]
    [59, 85]
    """
    efficacy_abbott_pct(control_after=control_after, treated_after=treated_after)
    return _ratio_interval_pct([treated_after], [control_after], level, overdispersion)


def efficacy_henderson_tilton_pct(
    *, control_before: float, control_after: float, treated_before: float, treated_after: float
) -> float:
    """Kill by Henderson and Tilton: change in the treated against change in an untreated control.

    .. math:: 100\\,\\left(1 - \\frac{T_a\\, C_b}{T_b\\, C_a}\\right)

    Parameters
    ----------
    control_before, control_after : float
        Mites in the untreated, before and after [count].
    treated_before, treated_after : float
        Mites in the treated, before and after [count].

    Returns
    -------
    float
        Efficacy, below zero where the treated did worse than the control [%].

    Raises
    ------
    ValidityError
        When a count is negative, or one that divides is not above zero.

    References
    ----------
    henderson1955

    Examples
    --------
    >>> kill = efficacy_henderson_tilton_pct(control_before=40, control_after=60, treated_before=50, treated_after=5)
    >>> round(kill, 2)
    93.33
    """
    positive("control_after", control_after)
    positive("treated_before", treated_before)
    not_negative("control_before", control_before)
    not_negative("treated_after", treated_after)
    return 100 * (1 - treated_after * control_before / (treated_before * control_after))


def efficacy_henderson_tilton_interval_pct(
    *,
    control_before: float,
    control_after: float,
    treated_before: float,
    treated_after: float,
    level: float = 0.95,
    overdispersion: float = 1.0,
) -> Interval:
    """Interval of `efficacy_henderson_tilton_pct`.

    Parameters
    ----------
    control_before, control_after : float
        Mites in the untreated, before and after [count].
    treated_before, treated_after : float
        Mites in the treated, before and after [count].
    level : float
        Chance that the interval should hold the kill [1].
    overdispersion : float
        Variance of a count over its mean [1].

    Returns
    -------
    Interval
        Low and high end [%].

    Raises
    ------
    ValidityError
        As for `efficacy_henderson_tilton_pct`; when `level` is not between 0 and 1 or `overdispersion` below 1.

    Notes
    -----
    With a zero count half a mite is added to each (Haldane's correction). Counts this small tell little: the worked
    example's 93 % may be 82 to 98 %.

    References
    ----------
    henderson1955

    Examples
    --------
    >>> counted = dict(control_before=40, control_after=60, treated_before=50, treated_after=5)
    >>> [round(end) for end in efficacy_henderson_tilton_interval_pct(**counted)]
    [82, 98]
    """
    efficacy_henderson_tilton_pct(
        control_before=control_before,
        control_after=control_after,
        treated_before=treated_before,
        treated_after=treated_after,
    )
    return _ratio_interval_pct([treated_after, control_before], [treated_before, control_after], level, overdispersion)


def efficacy_follow_up_pct(*, killed: float, follow_up: float) -> float:
    """Kill as a share of all mites found by the treatment and a strong follow-up after it.

    .. math:: 100\\, K / (K + F)

    Parameters
    ----------
    killed : float
        Mites fallen from the treatment [count].
    follow_up : float
        Mites fallen from the follow-up, at least 14 days later [count].

    Returns
    -------
    float
        Efficacy [%].

    Raises
    ------
    ValidityError
        When a count is negative or both are zero.

    Notes
    -----
    Takes the follow-up to kill all that were left; where it misses some, the kill comes out too high.

    References
    ----------
    ema2010
    beebook

    Examples
    --------
    >>> efficacy_follow_up_pct(killed=940, follow_up=60)
    94.0
    """
    not_negative("killed", killed)
    not_negative("follow_up", follow_up)
    return 100 * killed / positive("killed + follow_up", killed + follow_up)


def efficacy_follow_up_interval_pct(
    *, killed: float, follow_up: float, level: float = 0.95, overdispersion: float = 1.0
) -> Interval:
    """Interval of `efficacy_follow_up_pct`, by Wilson on counts shrunk by the overdispersion.

    Parameters
    ----------
    killed : float
        Mites fallen from the treatment [count].
    follow_up : float
        Mites fallen from the follow-up [count].
    level : float
        Chance that the interval should hold the kill [1].
    overdispersion : float
        Variance of a count over its mean [1].

    Returns
    -------
    Interval
        Low and high end [%].

    Raises
    ------
    ValidityError
        As for `efficacy_follow_up_pct`; when `level` is not between 0 and 1 or `overdispersion` below 1.

    References
    ----------
    wilson1927

    Examples
    --------
    >>> [round(end, 1) for end in efficacy_follow_up_interval_pct(killed=940, follow_up=60)]
    [92.4, 95.3]
    """
    efficacy_follow_up_pct(killed=killed, follow_up=follow_up)
    within("overdispersion", overdispersion, 1, math.inf)
    return wilson_interval_pct(killed / overdispersion, (killed + follow_up) / overdispersion, level=level)


def guideline_pct(treatment: str) -> float:
    """Kill that the European guideline expects of a treatment's product.

    Parameters
    ----------
    treatment : str
        A treatment word of the record sheets.

    Returns
    -------
    float
        Efficacy expected [%].

    Raises
    ------
    ValidityError
        When the word is no treatment with a product, so that the guideline says nothing.

    References
    ----------
    ema2010

    Examples
    --------
    >>> guideline_pct("amitraz strips"), guideline_pct("thymol")
    (95.0, 90.0)
    """
    if treatment in SYNTHETIC:
        return float(known.GUIDELINE_SYNTHETIC.value)
    if treatment in KILLS_MITES:
        return float(known.GUIDELINE_OTHER.value)
    known_words = ", ".join(sorted(KILLS_MITES))
    raise ValidityError(f"treatment must be one with a guideline ({known_words}): got {treatment!r}")


def meets_guideline(efficacy_pct: float, *, treatment: str) -> bool:
    """Whether a kill reaches what the guideline expects of the treatment's product.

    Parameters
    ----------
    efficacy_pct : float
        Kill found [%].
    treatment : str
        A treatment word of the record sheets.

    Returns
    -------
    bool
        True when it does.

    Raises
    ------
    ValidityError
        As for `guideline_pct`, or when the kill is not a finite number.

    References
    ----------
    ema2010

    Examples
    --------
    >>> meets_guideline(94.0, treatment="oxalic sublimation"), meets_guideline(94.0, treatment="amitraz strips")
    (True, False)
    """
    return within("efficacy_pct", efficacy_pct, -math.inf, math.inf) >= guideline_pct(treatment)


def _ratio_interval_pct(over: list[float], under: list[float], level: float, overdispersion: float) -> Interval:
    """Interval of 100 (1 − product of `over` / product of `under`) for Poisson counts."""
    within("overdispersion", overdispersion, 1, math.inf)
    added = 0.5 if 0 in over + under else 0.0
    log_ratio = sum(math.log(k + added) for k in over) - sum(math.log(k + added) for k in under)
    sd = math.sqrt(overdispersion * sum(1 / (k + added) for k in over + under))
    half = normal_point(level) * sd
    return Interval(100 * (1 - math.exp(log_ratio + half)), 100 * (1 - math.exp(log_ratio - half)))
