"""Merged cells of a workbook: headings that reach over two rows are read, anything else that is merged down is told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kit.records.column import Table
from kit.records.headings import SEARCHED_ROWS, column_named
from kit.records.workbook_faults import Fault


class Merge(NamedTuple):
    """Cells merged into one, which holds its value in the first of them.

    Parameters
    ----------
    top, left, bottom : int
        Its first row and column and its last row, counted from 0.
    """

    top: int
    left: int
    bottom: int


def headings_moved_down(rows: list[list[str]], merges: Iterable[Merge], table: Table) -> list[Merge]:
    """Move headings that are merged over several rows into the last of them, beside those that stand below others.

    Returns the other cells that are merged over several rows and hold something.
    """
    others = []
    for merge in merges:
        value = _value(rows, merge)
        if merge.bottom == merge.top or not value.strip():
            continue
        if merge.bottom < min(SEARCHED_ROWS, len(rows)) and column_named(value, table):
            rows[merge.top][merge.left] = ""
            rows[merge.bottom][merge.left] = value
        else:
            others.append(merge)
    return others


def merge_faults(rows: Sequence[Sequence[str]], merges: Iterable[Merge]) -> list[Fault]:
    """What is lost where cells are merged over several rows: only the first of them holds the value."""
    remedy = "take the merge apart and write each cell"
    return [
        Fault(
            merge.top + 1,
            letters(merge.left),
            _value(rows, merge),
            f"merged with the cells down to row {merge.bottom + 1}, which are read as not recorded",
            remedy,
        )
        for merge in merges
    ]


def letters(column: int) -> str:
    """The letters a spreadsheet gives a column, counted from 0.

    Examples
    --------
    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    first, last = divmod(column, 26)
    return (letters(first - 1) if first else "") + chr(ord("A") + last)


def _value(rows: Sequence[Sequence[str]], merge: Merge) -> str:
    return rows[merge.top][merge.left] if merge.top < len(rows) and merge.left < len(rows[merge.top]) else ""
