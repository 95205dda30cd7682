"""Text of a whole column to dates: ISO first, then named forms, then figures whose order must not be guessed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Literal, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.cells import Reading

Order = Literal["day first", "month first"]
ORDERS: tuple[Order, ...] = ("day first", "month first")

MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip

_TIME = re.compile(r"(?<=\d)(?:T|\s+)\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:\s*(?:am|pm|Z))?$", re.IGNORECASE)
_WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_YEAR_FIRST = re.compile(r"^(\d{4})\s*[-/.]\s*(\d{1,2})\s*[-/.]\s*(\d{1,2})$")
_FIGURES = re.compile(r"^(\d{1,2})\s*[-/. ]\s*(\d{1,2})\s*[-/. ]\s*(\d{4}|\d{2})$")
_DAY_NAME = re.compile(
    r"^(\d{1,2})(?:st|nd|rd|th)?[\s.\-/]*(?:of\s+)?([a-z]{3,9})\.?[\s,\-/]*(\d{4}|\d{2})$", re.IGNORECASE
)
_NAME_DAY = re.compile(r"^([a-z]{3,9})\.?\s*(\d{1,2})(?:st|nd|rd|th)?[\s,]+(\d{4}|\d{2})$", re.IGNORECASE)

_SHEET_EPOCH = date(1899, 12, 30)
_SHEET_DAYS = range(36526, 73051)
"""Day numbers of spreadsheets for 2000 to 2099; anything else is more likely a mistake than a date."""

_REMEDY = "write it as 2025-09-03"


class Span(NamedTuple):
    """The days a date may lie on, both ends included."""

    first: date
    last: date


def read_dates(texts: Sequence[str], order: Order | None, span: Span) -> list[Reading]:
    """The texts of one column as dates.

    Parameters
    ----------
    texts : sequence of str
        All the different texts of the column, since one cell can prove how another is to be read.
    order : Order or None
        The order the settings state; None when they do not, which is day first as long as no cell of the
        column speaks against it. When one does, cells that read both ways are not read.
    span : Span
        Days outside it are refused.

    Returns
    -------
    list of Reading
        One for each text, with a `date` or None.

    Examples
    --------
    >>> span = Span(date(2000, 1, 1), date(2030, 1, 1))
    >>> [str(r.value) for r in read_dates(["2025-04-05", "05/04/2025", "5 Apr 25"], None, span)]
    ['2025-04-05', '2025-04-05', '2025-04-05']
    >>> read_dates(["05/04/2025", "04/13/2025"], None, span)[0].value is None
    True
    """
    trusted: Order | None = order or (None if any(map(_month_first_only, texts)) else "day first")
    return [_within(_read(text.strip(), trusted), span) for text in texts]


def plain_days(texts: Sequence[str], span: Span) -> NDArray[np.datetime64]:
    """The days of texts such as `2025-09-03`, which most are; NaT for any other form, and for days outside the span.

    Examples
    --------
    >>> plain_days(["2025-09-03", "3 Sep 25", "2025-02-29"], Span(date(2000, 1, 1), date(2030, 1, 1))).astype(str)
    array(['2025-09-03', 'NaT', 'NaT'], dtype='<U28')
    """
    read = pd.to_datetime(np.array(texts, dtype=object), format="%Y-%m-%d", errors="coerce", cache=False)
    days = read.to_numpy().astype("datetime64[D]")
    whole = np.array([len(text) == len("2025-09-03") for text in texts], dtype=bool)
    within = (days >= np.datetime64(span.first)) & (days <= np.datetime64(span.last))
    return np.where(whole & within, days, np.datetime64("NaT"))


def _read(text: str, order: Order | None) -> Reading:
    bare = _WEEKDAY.sub("", _TIME.sub("", text))
    for form in (_iso, _year_first, _named, _sheet_number):
        reading = form(bare)
        if reading is not None:
            return reading
    figures = _FIGURES.match(bare)
    if figures is None:
        return Reading(None, "not a date", _REMEDY)
    return _two_way(int(figures[1]), int(figures[2]), _year(figures[3]), order)


def _iso(text: str) -> Reading | None:
    if not re.match(r"^\d{4}-?(?:\d{2}-?\d{2}|W\d{2}-?\d)$", text):
        return None
    try:
        return Reading(date.fromisoformat(text))
    except ValueError:
        return Reading(None, "no such day in the calendar", _REMEDY)


def _year_first(text: str) -> Reading | None:
    match = _YEAR_FIRST.match(text)
    return _day(int(match[1]), int(match[2]), int(match[3])) if match else None


def _named(text: str) -> Reading | None:
    day_name, name_day = _DAY_NAME.match(text), _NAME_DAY.match(text)
    if day_name:
        return _day(_year(day_name[3]), _month(day_name[2]), int(day_name[1]))
    return _day(_year(name_day[3]), _month(name_day[1]), int(name_day[2])) if name_day else None


def _sheet_number(text: str) -> Reading | None:
    if not re.match(r"^\d{5}(?:\.\d+)?$", text) or int(text[:5]) not in _SHEET_DAYS:
        return None
    day = _SHEET_EPOCH + timedelta(days=int(text[:5]))
    return Reading(day, f"a spreadsheet's day number, read as {day}", "format the column as dates")


def _two_way(first: int, second: int, year: int, order: Order | None) -> Reading:
    if first > 12 or second > 12 or first == second:
        day, month = (second, first) if second > 12 else (first, second)
        return _day(year, month, day)
    if order is None:
        return Reading(
            None,
            "reads both ways, and another cell of this column has the month first",
            "write it as 2025-09-03, or set date_order in settings",
        )
    return _day(year, second, first) if order == "day first" else _day(year, first, second)


def _month_first_only(text: str) -> bool:
    match = _FIGURES.match(_WEEKDAY.sub("", _TIME.sub("", text.strip())))
    return bool(match) and int(match[1]) <= 12 < int(match[2]) <= 31 if match else False


def _month(name: str) -> int:
    spelled = name.casefold()
    full = [n for n, month in enumerate(MONTHS, start=1) if month.startswith(spelled) or spelled == month[:3] + "t"]
    return full[0] if len(full) == 1 or spelled == "sept" else 0


def _year(figures: str) -> int:
    return int(figures) if len(figures) == 4 else 2000 + int(figures)


def _day(year: int, month: int, day: int) -> Reading:
    try:
        return Reading(date(year, month, day))
    except ValueError:
        return Reading(None, "no such day in the calendar", _REMEDY)


def _within(reading: Reading, span: Span) -> Reading:
    day = reading.value
    if day is None or span.first <= day <= span.last:
        return reading
    return Reading(None, f"the date must lie between {span.first} and {span.last}: got {day}", "check the year")
