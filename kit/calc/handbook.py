"""The handbook's table for boards: the factor from daily drop to mites, and the drop that means trouble, by month."""

from datetime import date

from kit.calc.ranges import Band
from kit.constants import counts as known

_FACTORS = {
    **dict.fromkeys((5, 6, 7, 8), known.FACTOR_SUMMER),
    **dict.fromkeys((3, 4, 9, 10), known.FACTOR_SPRING_AUTUMN),
    **dict.fromkeys((11, 12, 1, 2), known.FACTOR_WINTER),
}
_TROUBLE = {
    **dict.fromkeys((12, 1, 2, 3, 4), known.TROUBLE_WINTER_SPRING),
    5: known.TROUBLE_MAY,
    6: known.TROUBLE_JUNE,
    7: known.TROUBLE_JULY,
    8: known.TROUBLE_AUGUST,
    9: known.TROUBLE_SEPTEMBER,
    **dict.fromkeys((10, 11), known.TROUBLE_OCTOBER_NOVEMBER),
}


def drop_factor(on: date) -> Band:
    """Handbook factor from daily board drop to mites in the colony, with one count's spread.

    Parameters
    ----------
    on : date
        A day; only its month matters.

    Returns
    -------
    Band
        Factor, a factor of 2.5 either way [days].

    Notes
    -----
    Valid for a full colony in the maritime-temperate north; unreliable under 3,000 brood cells. Name it "handbook
    factor" beside every number that comes from it.

    References
    ----------
    managing_varroa
    martin1998

    Examples
    --------
    >>> drop_factor(date(2025, 7, 1))
    Band(p05=12.0, p50=30.0, p95=75.0)
    """
    middle = float(_FACTORS[on.month].value)
    return Band(middle / known.FACTOR_SPREAD.value, middle, middle * known.FACTOR_SPREAD.value)


def trouble_drop_per_day(on: date) -> float:
    """Board drop above which a full colony may collapse this season.

    Parameters
    ----------
    on : date
        A day; only its month matters.

    Returns
    -------
    float
        Drop [mites/day].

    Notes
    -----
    A drop below it is *not* "fine": small colonies stand less. Editions of the leaflet differ; October and November
    are the state advisers' line for an extra treatment.

    References
    ----------
    managing_varroa
    state_advisers

    Examples
    --------
    >>> trouble_drop_per_day(date(2025, 8, 15))
    33.0
    """
    return float(_TROUBLE[on.month].value)
