"""The cells of a pack's table, each checked against what its column may hold."""

from __future__ import annotations

import csv
import io
import math
import re
from datetime import date
from itertools import pairwise

from kit.errors import KitError
from kit.report.share import form
from kit.report.share.places import SQUARE

Columns = dict[str, list[object]]
MOST_ROWS = 120_000
"""Two thousand apiaries with a row each week have some 106,000."""
NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,12})?(e[+-]?[0-9]{1,2})?")
PATTERNS = {
    "apiary": re.compile(rf"[0-9a-f]{{12}}|{form.ALL}"),
    "week": re.compile(r"(19|20)[0-9][0-9]-W(0[1-9]|[1-4][0-9]|5[0-3])"),
    "place": SQUARE,
}
"""Columns of text without a list of words."""
KEYS = {
    "apiaries": ("apiary",),
    "loads": ("apiary", "week"),
    "losses": ("apiary", "cause"),
    "effort": ("task",),
    "doses": ("treatment",),
}
"""Columns by which no row may stand twice."""
BELOW_ZERO = WHOLE_WEEKS = frozenset({"weeks_late"})
BANDS = ("_p05", "_p50", "_p95")


class BadTableError(KitError):
    """A table that no pack of ours holds."""


def columns_of(content: bytes, name: str, version: int) -> Columns:
    """The table by column; numbers as float, NaN where empty.

    Parameters
    ----------
    content : bytes
        Of the CSV file.
    name : str
        Of the table.
    version : int
        Of the form it was written in.

    Raises
    ------
    BadTableError
        Naming the table, the column and what to do.
    """
    table = form.VERSIONS[version][name]
    rows = _rows(content, name)
    if not rows or rows[0] != table.columns:
        raise BadTableError(f"{name}.csv has other columns than its form says; ask for it again")
    if any(len(row) != len(table.fields) for row in rows):
        raise BadTableError(f"{name}.csv has a row with too few or too many cells; ask for it again")
    texts = zip(*rows[1:], strict=True) if len(rows) > 1 else [()] * len(table.fields)
    columns: Columns = {
        field.name: _column(cells, field, name) for field, cells in zip(table.fields, texts, strict=True)
    }
    _refuse_twice(columns, name)
    _refuse_upside_down(columns, name)
    return columns


def _rows(content: bytes, name: str) -> list[list[str]]:
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadTableError(f"{name}.csv is not UTF-8; ask for it again") from error
    if content.count(b"\n") > MOST_ROWS:
        raise BadTableError(f"{name}.csv has more than {MOST_ROWS:,} rows, more than any pack of ours")
    try:
        return list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        raise BadTableError(f"{name}.csv is not CSV: {error}; ask for it again") from error


def _column(cells: tuple[str, ...], field: form.Field, name: str) -> list[object]:
    strange = next((cell for cell in sorted(set(cells)) if cell and not _fits(cell, field)), None)
    if strange is not None:
        said = repr(strange[:40])
        raise BadTableError(f"{name}.csv holds {said} under {field.name}, which no pack of ours does; ask for it again")
    if field.kind == "text":
        return list(cells)
    return [float(cell) if cell else math.nan for cell in cells]


def _fits(cell: str, field: form.Field) -> bool:
    if field.kind == "text":
        return cell in field.words if field.words else _named(cell, field.name)
    if not NUMBER.fullmatch(cell):
        return False
    value = float(cell)
    low = -field.most if field.name in BELOW_ZERO else 0.0
    any_number = field.kind == "number" and field.name not in WHOLE_WEEKS
    return low <= value <= field.most and (any_number or value == int(value))


def _named(cell: str, column: str) -> bool:
    return bool(PATTERNS[column].fullmatch(cell)) and (column != "week" or is_week(cell))


def is_week(text: str) -> bool:
    """Whether a text is an ISO week that its year has.

    Examples
    --------
    >>> is_week("2026-W53"), is_week("2025-W53"), is_week("2025-W1")
    (True, False, False)
    """
    if not PATTERNS["week"].fullmatch(text):
        return False
    try:
        date.fromisocalendar(int(text[:4]), int(text[-2:]), 1)
    except ValueError:
        return False
    return True


def _refuse_twice(columns: Columns, name: str) -> None:
    if keys := KEYS.get(name):
        if not all(cell for key in keys for cell in columns[key]):
            raise BadTableError(f"{name}.csv leaves {' or '.join(keys)} empty; ask for it again")
        rows = list(zip(*(columns[key] for key in keys), strict=True))
        if len(set(rows)) < len(rows):
            raise BadTableError(f"{name}.csv says something twice of the same {keys[-1]}; ask for it again")


def _refuse_upside_down(columns: Columns, name: str) -> None:
    """Ranges run upwards, and no more were lost than wintered; an empty cell is beyond doubt."""
    pairs = [
        (f"{low.removesuffix('_p05')}{a}", f"{low.removesuffix('_p05')}{b}")
        for low in columns
        if low.endswith("_p05")
        for a, b in pairwise(BANDS)
    ]
    pairs += [("lost", "wintered")] * ("wintered" in columns)
    for less, more in pairs:
        if any(a > b for a, b in zip(columns[less], columns[more], strict=True)):  # type: ignore[operator]
            raise BadTableError(f"{name}.csv has {less} above {more}; ask for it again")
