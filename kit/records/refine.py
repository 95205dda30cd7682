"""A detailed row refines a line of the log: it is not counted twice, and a filled detail wins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.problems import Problem
from kit.records.typed import problems_of, shown

PLACE = ("from_file", "from_row")
MOST_DAYS = 1 << 20
"""More days than the calendar of the records holds, so that a place and a day make one number."""


def refine(
    detail: pd.DataFrame, made: pd.DataFrame, keys: Sequence[str], fills: Sequence[str], problems: list[Problem]
) -> pd.DataFrame:
    """Detailed rows with their gaps filled from log lines of the same keys, and the log lines no detailed row refines.

    Parameters
    ----------
    detail, made : DataFrame
        Rows of the sheet, and rows made from `log`.
    keys : sequence of str
        Columns that must be equal, `date` the first of them.
    fills : sequence of str
        Columns of numbers that a log line fills where the detail is empty; a conflict is reported and the detail wins.
    """
    if made.empty or detail.empty:
        return pd.concat([detail, made], ignore_index=True) if len(made) else detail
    place = _places(detail, made, keys)
    beside = _first_made(place)
    filled = detail.copy(deep=False)
    for name in fills:
        told = np.where(beside >= 0, made[name].to_numpy()[beside], np.nan)
        problems.extend(_conflicts(detail, made, (name, told), beside))
        filled[name] = detail[name].fillna(pd.Series(told, index=detail.index))
    alone = ~pd.Index(place.made).isin(place.detail)
    new = made[alone]
    problems.extend(_near_misses(new[["date", *PLACE]], place.made[alone], place.detail))
    return pd.concat([filled, new], ignore_index=True)


def unmatched(made: pd.DataFrame, detail: pd.DataFrame, keys: Sequence[str]) -> NDArray[np.bool_]:
    """Which rows made from the log have no detailed row of the same keys."""
    place = _places(detail, made, keys)
    return ~pd.Index(place.made).isin(place.detail)


class _Places(NamedTuple):
    """One number for each row, the same where all keys are the same, and one more for the day after.

    Parameters
    ----------
    detail, made : ndarray of int, shape (rows,)
        Of the rows of the sheet, and of those made from `log`.
    """

    detail: NDArray[np.int64]
    made: NDArray[np.int64]


def _places(detail: pd.DataFrame, made: pd.DataFrame, keys: Sequence[str]) -> _Places:
    numbers = [np.zeros(len(rows), dtype=np.int64) for rows in (detail, made)]
    for name in keys[1:]:
        both = zip(numbers, same_numbers(detail[name], made[name]), strict=True)
        numbers = [number * (len(detail) + len(made)) + text for number, text in both]
    days = (rows["date"].to_numpy().astype("datetime64[D]").astype(np.int64) for rows in (detail, made))
    return _Places(*(number * MOST_DAYS + day for number, day in zip(numbers, days, strict=True)))


def same_numbers(one: pd.Series[str], other: pd.Series[str]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """A number for each text of two columns, the same where the texts are; less than their rows together."""
    codes, _ = pd.factorize(np.concatenate([one.to_numpy(dtype=object), other.to_numpy(dtype=object)]))
    return codes[: len(one)], codes[len(one) :]


def _first_made(place: _Places) -> NDArray[np.intp]:
    """For each detailed row the position of the first log line of the same keys; -1 when there is none."""
    different, first = np.unique(place.made, return_index=True)
    at = np.searchsorted(different, place.detail).clip(max=len(different) - 1)
    return np.where(different[at] == place.detail, first[at], -1)


def _conflicts(
    detail: pd.DataFrame, made: pd.DataFrame, told: tuple[str, NDArray[np.float64]], beside: NDArray[np.intp]
) -> Iterator[Problem]:
    name, values = told
    own = detail[name].to_numpy()
    both = ~np.isnan(own) & ~np.isnan(values) & (own != values)
    lines = made[[name, *PLACE]].iloc[beside[both]]
    wrong = (
        f"{file} row {row} says {shown(value)} for the same day: this row is used"
        for file, row, value in zip(lines["from_file"], lines["from_row"], lines[name], strict=True)
    )
    return problems_of(detail.loc[both, [name, *PLACE]], name, wrong, "correct the one that is wrong")


def _near_misses(alone: pd.DataFrame, place: NDArray[np.int64], detail: NDArray[np.int64]) -> Iterator[Problem]:
    """Log lines that no detailed row refines, though one of the day after or before would."""
    for shift in (1, -1):
        near = alone[pd.Index(place + shift).isin(detail)]
        days = (near["date"] + pd.Timedelta(days=shift)).dt.strftime("%Y-%m-%d")
        wrong = (f"one day off a detailed row of {day} at the same apiary: both are used" for day in days)
        yield from problems_of(near, "date", wrong, "if they are the same, give both the same date")
