"""What is wrong in the sheets, where, and what to do about it."""

from collections.abc import Iterable
from typing import NamedTuple

import pandas as pd


class Problem(NamedTuple):
    """One thing wrong in one place.

    Parameters
    ----------
    file : str
        File name, or workbook and sheet.
    row : int
        Row as the spreadsheet numbers it; 0 when the whole sheet is meant.
    column, value : str
        The column and the text of the cell, "" when the whole row is meant.
    problem : str
        What is wrong and what was done about it.
    remedy : str
        What the reader can do.
    """

    file: str
    row: int
    column: str
    value: str
    problem: str
    remedy: str


SHOWN = 80
"""Longest text of a cell that is repeated in a problem [characters]."""


def problems_frame(problems: Iterable[Problem]) -> pd.DataFrame:
    """The problems as a table, by file and row, each said once; columns `file row column value problem remedy`.

    `row` is missing where the whole sheet is meant.
    """
    unique = sorted(dict.fromkeys(p._replace(value=_short(p.value)) for p in problems), key=lambda p: (p.file, p.row))
    frame = pd.DataFrame(unique, columns=list(Problem._fields))
    rows = frame["row"].astype("Int64")
    frame["row"] = rows.mask(rows == 0)
    return frame.astype({name: "str" for name in Problem._fields if name != "row"})


def _short(value: str) -> str:
    plain = value if value.isprintable() else "".join(c if c.isprintable() else " " for c in value)
    return plain if len(plain) <= SHOWN else plain[: SHOWN - 1] + "…"
