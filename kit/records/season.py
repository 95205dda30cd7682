"""A season, and how a date of the settings is placed in it."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import NamedTuple


class Season(NamedTuple):
    """One season.

    Parameters
    ----------
    label : int
        The year it starts in.
    start, end : date
        Its first and last day.
    """

    label: int
    start: date
    end: date


class MonthDay(NamedTuple):
    """A day of any year."""

    month: int
    day: int

    def in_year(self, year: int) -> date:
        """That day in a year; 29 February is 28 February where there is none.

        Examples
        --------
        >>> MonthDay(2, 29).in_year(2025)
        datetime.date(2025, 2, 28)
        """
        try:
            return date(year, self.month, self.day)
        except ValueError:
            return date(year, self.month, 28)


_MONTH_DAY = re.compile(r"^(\d{1,2})-(\d{1,2})$")


def month_day(text: str) -> MonthDay | None:
    """`MM-DD` as a day of any year; None when it is not one.

    Examples
    --------
    >>> month_day("08-31"), month_day("31-08")
    (MonthDay(month=8, day=31), None)
    """
    match = _MONTH_DAY.match(text.strip())
    if match is None:
        return None
    found = MonthDay(int(match[1]), int(match[2]))
    try:
        date(2000, *found)  # a leap year, so that 29 February is a day
    except ValueError:
        return None
    return found


def first_on_or_after(day: MonthDay, start: date) -> date:
    """The first such day on or after `start`.

    Examples
    --------
    >>> first_on_or_after(MonthDay(1, 10), date(2025, 4, 1))
    datetime.date(2026, 1, 10)
    """
    this_year = day.in_year(start.year)
    return this_year if this_year >= start else day.in_year(start.year + 1)


def season_of(label: int, start: MonthDay, end: MonthDay) -> Season:
    """The season that starts in the year `label`; it lasts at most a year.

    Examples
    --------
    >>> season_of(2025, MonthDay(4, 1), MonthDay(3, 31))
    Season(label=2025, start=datetime.date(2025, 4, 1), end=datetime.date(2026, 3, 31))
    """
    first = start.in_year(label)
    return Season(label, first, first_on_or_after(end, first + timedelta(days=1)))


def label_on(day: date, start: MonthDay) -> int:
    """The label of the season that a day belongs to.

    Examples
    --------
    >>> label_on(date(2026, 3, 31), MonthDay(4, 1))
    2025
    """
    return day.year if day >= start.in_year(day.year) else day.year - 1
