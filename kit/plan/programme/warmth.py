"""Days warm enough, and not too hot, for what works by evaporating: formic acid and thymol inside their range.

A day counts by its high: on half of such days it is as warm as wanted, and on nine of ten it is not too hot. Highs are
those of the user's weather around the date in all its years, and of the climate by name where it has few.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kit.constants import treatments as law
from kit.constants import weather
from kit.plan.ahead import Ahead
from kit.plan.labels import Label
from kit.plan.solver.problem import Floats
from kit.plan.weather import CLIMATES, MONTH_DAYS, YEAR, place

if TYPE_CHECKING:
    from kit.records.records import Records

RANGES = {
    "formic acid": (law.FORMIC_WARM_C.value, law.FORMIC_HOT_C.value),
    "thymol": (law.THYMOL_WARM_C.value, law.THYMOL_HOT_C.value),
}
"""Coldest and hottest day [°C] where the label does not say."""
NINE_IN_TEN = 1.2816


class Warm(NamedTuple):
    """First and last day on which a treatment may begin so that its whole stay is in range, and the range [°C]."""

    first: date
    last: date
    least_c: float
    most_c: float

    @property
    def never(self) -> bool:
        """Whether no day is."""
        return self.last < self.first


def highs(records: Records) -> Floats:
    """Mean high of each day of the year, shape (366,) [°C]."""
    months = [month.value for month in CLIMATES[records.settings.climate].max_c]
    middle = (np.arange(12) + 0.5) * MONTH_DAYS
    usual = np.asarray(np.interp(np.arange(YEAR) + 0.5, middle, months, period=365.25))
    seen = records.tables["weather"].groupby("date")["max_c"].mean().dropna()
    if seen.empty:
        return usual
    at = np.array([place(day.date()) for day in seen.index])
    apart = np.abs(np.arange(YEAR)[:, None] - at)
    near = (np.minimum(apart, YEAR - apart) <= weather.SEASON_DAYS.value).astype(np.float64)
    more = weather.CLIMATE_WORTH_DAYS.value
    return np.asarray((near @ seen.to_numpy() + more * usual) / (near.sum(axis=1) + more))


def warm_for(word: str, label: Label | None, stay_days: int, ahead: Ahead, high: Floats) -> Warm | None:
    """When a treatment may begin in the second half of the season; None for one that no range binds.

    Parameters
    ----------
    word : str
        Treatment word.
    label : Label or None
        Its `min_c` and `max_c` come before the usual range.
    stay_days : int
        Least days it stays in the hive [d].
    ahead : Ahead
        The season planned.
    high : array, shape (366,)
        Mean highs [°C].
    """
    if word not in RANGES:
        return None
    least, most = RANGES[word]
    if label is not None:
        least = least if label.min_c is None else label.min_c
        most = most if label.max_c is None else label.max_c
    july = date(ahead.start.year, 7, 1)
    days = [july + timedelta(days=n) for n in range((date(july.year, 12, 31) - july).days + 1)]
    fit = [_fits(high[place(day)], least, most) for day in days]
    begin = [day for n, day in enumerate(days) if all(fit[n : n + stay_days]) and n + stay_days <= len(days)]
    first, last = (begin[0], _unbroken(begin)) if begin else (days[-1], days[0])
    return Warm(first, last, least, most)


def _fits(high: float, least: float, most: float) -> bool:
    return bool(least <= high and high + NINE_IN_TEN * weather.MAX_C_SPREAD.value <= most)


def _unbroken(days: list[date]) -> date:
    """The last day of the first unbroken stretch."""
    last = days[0]
    for day in days[1:]:
        if day != last + timedelta(days=1):
            break
        last = day
    return last
