"""A detailed row refines a line of the log: it is not counted twice, and a filled detail wins."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from kit.records.problems import Problem
from kit.records.typed import shown

DAY = pd.Timedelta(days=1)


def refine(
    detail: pd.DataFrame, made: pd.DataFrame, keys: Sequence[str], fills: Sequence[str], problems: list[Problem]
) -> pd.DataFrame:
    """Detailed rows with their gaps filled from log lines of the same keys, and the log lines no detailed row refines.

    Parameters
    ----------
    detail, made : DataFrame
        Rows of the sheet, and rows made from `log`; `date` is among the keys.
    keys : sequence of str
        Columns that must be equal.
    fills : sequence of str
        Columns that a log line fills where the detail is empty; a conflict is reported and the detail wins.
    """
    if made.empty or detail.empty:
        return pd.concat([detail, made], ignore_index=True) if len(made) else detail
    beside = detail[list(keys)].merge(made.drop_duplicates(list(keys)), on=list(keys), how="left")
    beside.index = detail.index
    filled = detail.copy()
    for name in fills:
        _report_conflicts(detail, beside, name, problems)
        filled[name] = detail[name].where(_written(detail[name]), beside[name].fillna(_blank(detail[name])))
    new = made[unmatched(made, detail, keys)]
    _report_near_misses(new, detail, keys, problems)
    return pd.concat([filled, new], ignore_index=True)


def unmatched(made: pd.DataFrame, detail: pd.DataFrame, keys: Sequence[str]) -> pd.Series[bool]:
    """Which rows made from the log have no detailed row of the same keys."""
    own = pd.MultiIndex.from_frame(made[list(keys)])
    return pd.Series(~own.isin(pd.MultiIndex.from_frame(detail[list(keys)])), index=made.index)


def _blank(column: pd.Series[Any]) -> Any:
    return "" if pd.api.types.is_string_dtype(column) else column.dtype.type("nan")


def _written(column: pd.Series[Any]) -> pd.Series[bool]:
    return column.notna() & (column != "")


def _report_conflicts(detail: pd.DataFrame, beside: pd.DataFrame, name: str, problems: list[Problem]) -> None:
    both = _written(detail[name]) & _written(beside[name]) & (detail[name] != beside[name])
    for n in detail.index[both]:
        place = f"{beside.loc[n, 'from_file']} row {beside.loc[n, 'from_row']:.0f}"
        wrong = f"{place} says {shown(beside.loc[n, name])} for the same day: this row is used"
        problems.append(_problem(detail, n, name, wrong, "correct the one that is wrong"))


def _report_near_misses(new: pd.DataFrame, detail: pd.DataFrame, keys: Sequence[str], problems: list[Problem]) -> None:
    for shift in (DAY, -DAY):
        moved = new.assign(date=new["date"] + shift)
        for n in new.index[~unmatched(moved, detail, keys)]:
            day = shown(moved.loc[n, "date"])
            wrong = f"one day off a detailed row of {day} at the same apiary: both are used"
            problems.append(_problem(new, n, "date", wrong, "if they are the same, give both the same date"))


def _problem(frame: pd.DataFrame, n: Any, column: str, wrong: str, remedy: str) -> Problem:
    row = frame.loc[n]
    return Problem(str(row["from_file"]), int(row["from_row"]), column, shown(row[column]), wrong, remedy)
