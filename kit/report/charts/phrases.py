"""Values of a table as a person reads them: a missing one says so."""

from __future__ import annotations

import pandas as pd

from kit.report.words.phrases import NOT_RECORDED, a_date, listed, rounded

__all__ = ["NOT_RECORDED", "day", "listing", "number"]


def day(value: object) -> str:
    """A date of a table.

    Examples
    --------
    >>> day(pd.Timestamp("2025-09-03")), day(pd.NaT)
    ('3 Sep 2025', 'not recorded')
    """
    stamp = pd.to_datetime(value, errors="coerce")  # type: ignore[call-overload]
    return NOT_RECORDED if pd.isna(stamp) else a_date(stamp.date().isoformat(), year=True)


def number(value: float) -> str:
    """A number no finer than it is known, or that it is not.

    Examples
    --------
    >>> number(1234.5), number(0.0456), number(float("nan"))
    ('1,200', '0.046', 'not recorded')
    """
    return NOT_RECORDED if pd.isna(value) else rounded(float(value))


def listing(names: list[str]) -> str:
    """Up to four names, the rest counted.

    Examples
    --------
    >>> listing(["A", "B", "C", "D", "E"])
    'A, B, C, D and 1 more'
    """
    return listed(names, most=4)
