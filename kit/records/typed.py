"""The raw text of a sheet to typed columns; every different text is read once."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import repeat
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.cell_lists import read_did, read_trays
from kit.records.cells import Reading, is_unit, read_clock, read_number, read_text, read_word
from kit.records.column import Column, Kind, Table
from kit.records.dates import Order, Span, plain_days, read_dates
from kit.records.files import Raw
from kit.records.problems import Problem
from kit.records.texts import Texts, text_array

DATES = "datetime64[us]"
FALLS_DUE = ("expiry", "expires", "removed", "supers_off", "to", "mites_notified")
"""Dates that may lie well ahead of the day of reading."""

NOT_RECORDED = Reading(None)

_READERS: dict[Kind, Callable[[str, Column], Reading]] = {
    "number": read_number,
    "whole": read_number,
    "word": read_word,
    "clock": read_clock,
    "did": read_did,
    "trays": read_trays,
}


class Ways(NamedTuple):
    """How dates are to be read.

    Parameters
    ----------
    order : Order or None
        The order the settings state.
    done, due : Span
        The days a date may lie on: of something done, of something that may fall due later.
    """

    order: Order | None
    done: Span
    due: Span


@dataclass
class Typed:
    """One sheet, typed, and which of its rows are set aside.

    Parameters
    ----------
    table : Table
        Its description.
    frame : DataFrame
        Every documented column, unknown ones after them, then `from_file`, `from_row`, `from_table`.
    aside : ndarray of bool, shape (rows,)
        Rows that cannot be used; their reasons are among the problems.
    later : ndarray of bool, shape (rows,)
        Rows dated after the day the records are read as of.
    """

    table: Table
    frame: pd.DataFrame
    aside: NDArray[np.bool_]
    later: NDArray[np.bool_]

    def set_aside(self, rows: NDArray[np.bool_], problem: tuple[str, str, str], problems: list[Problem]) -> None:
        """Set rows aside, each with a problem (column, what is wrong, what to do) unless it was set aside before."""
        column, wrong, remedy = problem
        fresh = rows & ~self.aside
        self.report(fresh, (column, f"{wrong}; the row is set aside", remedy), problems)
        self.aside |= rows

    def report(self, rows: NDArray[np.bool_], problem: tuple[str, str, str], problems: list[Problem]) -> None:
        """Report rows without setting them aside; problem is (column, what is wrong, what to do)."""
        column, wrong, remedy = problem
        if rows.any():
            problems.extend(problems_of(self.frame.loc[rows], column, wrong, remedy))


def problems_of(frame: pd.DataFrame, column: str, wrong: str | Iterable[str], remedy: str) -> Iterator[Problem]:
    """One problem for each row of a frame, in one of its columns; `wrong` for all of them, or of each."""
    said = repeat(wrong) if isinstance(wrong, str) else wrong
    values = frame[column] if column in frame else repeat("")
    places = zip(frame["from_file"], frame["from_row"], values, strict=False)
    for (file, row, value), text in zip(places, said, strict=False):
        yield Problem(str(file), int(row), column, shown(value), text, remedy)


def each(frame: pd.DataFrame) -> Iterator[Any]:
    """The rows of a frame, one attribute for each column."""
    return iter(frame.astype(object).itertuples()) if len(frame) else iter(())


def shown(value: Any) -> str:
    """A typed value as it would be written; "" for what is not recorded.

    Examples
    --------
    >>> shown(2.0), shown(float("nan")), shown("a")
    ('2', '', 'a')
    """
    if value is None or value is pd.NaT or (isinstance(value, float) and np.isnan(value)):
        return ""
    if isinstance(value, pd.Timestamp):
        return value.strftime("%Y-%m-%d")
    return f"{value:g}" if isinstance(value, float) else str(value)


def empty_column(column: Column, rows: int) -> Any:
    """A column in which nothing is recorded."""
    if column.kind == "date":
        return np.full(rows, "NaT", dtype=DATES)
    if column.kind in {"number", "whole"}:
        return np.full(rows, np.nan)
    return same_text("", rows)


def values_of(column: Column, values: Sequence[Any]) -> Any:
    """A column of these values, None where nothing is recorded."""
    if column.kind == "date":
        return np.array(values, dtype=DATES)
    if column.kind in {"number", "whole"}:
        return np.array(values, dtype=float) + 0.0  # a written -0 is 0
    return text_array(["" if value is None else value for value in values])


def same_text(text: str, rows: int) -> Any:
    """A column with one text in every row."""
    return Texts.same(text, rows).column()


def frame_of(table: Table, rows: int, columns: Mapping[str, Any]) -> pd.DataFrame:
    """Rows of a table: the given columns, everything else of it not recorded, and unknown columns after them."""
    blank = {column.name: empty_column(column, rows) for column in table.columns if column.name not in columns}
    documented = {name: blank[name] if name in blank else columns[name] for name in table.names}
    return pd.DataFrame(documented | dict(columns), copy=False)


def origin(file: str, numbers: NDArray[np.int64], table: str) -> dict[str, Any]:
    """The columns that tell where rows came from."""
    rows = len(numbers)
    return {"from_file": same_text(file, rows), "from_row": numbers, "from_table": same_text(table, rows)}


def empty_sheet(table: Table) -> Typed:
    """A sheet without rows."""
    frame = frame_of(table, 0, origin("", np.zeros(0, dtype=np.int64), table.name))
    return Typed(table, frame, np.zeros(0, dtype=bool), np.zeros(0, dtype=bool))


def type_sheet(raw: Raw, table: Table, ways: Ways, problems: list[Problem]) -> Typed:
    """Type every column of a sheet; rows without a required value are set aside (an apiary may still be filled in)."""
    rows = len(raw.numbers)
    totals, found = _totals(raw), list[Problem]()
    aside = totals.copy()
    columns: dict[str, Any] = {}
    for column in table.columns:
        needed = column.required and column.names != "apiaries"
        if column.name in raw.cells:
            columns[column.name], missing = _read_column(raw, column, ways, found)
            aside |= missing & needed
        elif needed:
            found.extend(_no_column(raw, column))
            aside[:] = True
    problems.extend(_told_of_totals(raw, totals, found))
    columns |= {name: texts.column() for name, texts in raw.cells.items() if name not in columns}
    columns |= origin(raw.file, raw.numbers, table.name)
    return Typed(table, frame_of(table, rows, columns), aside, np.zeros(rows, dtype=bool))


_TOTAL = re.compile(
    r"[ :=]*(?:(?:grand |sub-?)?totals?|sums?|in all|all together|averages?|means?|Σ)[ :=]*", re.IGNORECASE
)
TOTALS_IN = 3
"""Columns from the left in which a row of totals says what it is."""


def _totals(raw: Raw) -> NDArray[np.bool_]:
    """Rows whose first filled cell says that they sum up the others."""
    said = np.zeros(len(raw.numbers), dtype=bool)
    for column in list(raw.cells.values())[:TOTALS_IN]:
        if any(map(_TOTAL.fullmatch, column.each)):
            said |= column.rows(_is_total)
    for n in np.flatnonzero(said):
        cells = (column[n] for column in raw.cells.values())
        said[n] = _is_total(next(text for text in cells if text.strip()))
    return said


def _is_total(text: str) -> bool:
    return bool(_TOTAL.fullmatch(text))


def _told_of_totals(raw: Raw, totals: NDArray[np.bool_], found: list[Problem]) -> list[Problem]:
    """The problems of a sheet, those of each row of totals as one."""
    rows = dict.fromkeys(int(row) for row in raw.numbers[totals])
    wrong = "a row of totals, not a record; the row is set aside"
    told = [Problem(raw.file, row, "", "", wrong, "nothing; sums are made from the rows") for row in rows]
    return [problem for problem in found if problem.row not in rows] + told


def _read_column(raw: Raw, column: Column, ways: Ways, problems: list[Problem]) -> tuple[Any, NDArray[np.bool_]]:
    """A column typed, and the rows that lack a value in it."""
    written = raw.cells[column.name].changed(str.strip)
    read = _read(written.each, raw.units.get(column.name, ""), column, ways)
    doubts = dict(read.doubts)
    if column.required and "" in written.each:
        doubts[written.each.index("")] = NOT_RECORDED
    for n, reading in sorted(doubts.items()):
        rows = np.flatnonzero(written.codes == n)
        problems.extend(_cell_problems(raw, column, written.each[n], reading, rows))
    return read.values.take(written.codes), read.missing[written.codes]


def _in_unit(text: str, unit: str, column: Column) -> str:
    """A bare number with the unit that its heading carries in brackets, when that is a unit."""
    return f"{text} {unit}" if column.unit and text[-1:].isdigit() and is_unit(unit) else text


def _no_column(raw: Raw, column: Column) -> list[Problem]:
    """A problem for each row, all of which lack a required value because its column is missing."""
    wrong, remedy = f"there is no column {column.name}; the row is set aside", f"add a column headed {column.name}"
    return [Problem(raw.file, int(row), column.name, "", wrong, remedy) for row in raw.numbers]


class _Read(NamedTuple):
    """What the different texts of a column say.

    Parameters
    ----------
    values : array, shape (texts,)
        What each says, as its column is typed.
    missing : ndarray of bool, shape (texts,)
        Which of them give no value.
    doubts : tuple of (int, Reading)
        The places of those that say what is wrong or doubtful.
    """

    values: Any
    missing: NDArray[np.bool_]
    doubts: tuple[tuple[int, Reading], ...]


def _read(texts: Sequence[str], unit: str, column: Column, ways: Ways) -> _Read:
    if column.kind == "date":
        return _days(texts, ways.order, ways.due if column.name in FALLS_DUE else ways.done)
    reader = _READERS.get(column.kind, read_text)
    readings = [reader(_in_unit(text, unit, column), column) if text else NOT_RECORDED for text in texts]
    doubts = tuple((n, reading) for n, reading in enumerate(readings) if reading.wrong)
    missing = np.array([reading.value is None or reading.value == "" for reading in readings], dtype=bool)
    return _Read(values_of(column, [reading.value for reading in readings]), missing, doubts)


def _days(texts: Sequence[str], order: Order | None, span: Span) -> _Read:
    """Dates; those written as the sheets write them all at once, the others one by one."""
    days = plain_days(texts, span)
    others = [n for n in np.flatnonzero(np.isnat(days)).tolist() if texts[n]]
    readings = read_dates([texts[n] for n in others], order, span)
    days[others] = [reading.value for reading in readings]
    doubts = tuple((n, reading) for n, reading in zip(others, readings, strict=True) if reading.wrong)
    return _Read(days.astype(DATES), np.isnat(days), doubts)


def _cell_problems(raw: Raw, column: Column, text: str, reading: Reading, rows: NDArray[np.intp]) -> list[Problem]:
    if not text and column.names == "apiaries":
        return []
    wrong, remedy = (reading.wrong, reading.remedy) if text else ("not recorded", f"write the {column.name}")
    if reading.value is None:
        wrong += "; the row is set aside" if column.required else "; read as not recorded"
    return [Problem(raw.file, int(row), column.name, text, wrong, remedy) for row in raw.numbers[rows]]


def spans(today: date) -> tuple[Span, Span]:
    """The days a thing done, and a thing that falls due, may lie on."""
    first = date(1990, 1, 1)
    return Span(first, date(today.year + 1, 12, 31)), Span(first, date(today.year + 25, 12, 31))
