"""How a sheet and a column of the record sheets are described."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Kind = Literal["date", "number", "whole", "word", "id", "text", "clock", "colonies", "did", "trays"]
"""What a column holds; `kit.records.cells` and `kit.records.dates` read each kind."""


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column of a sheet; two are the same only where they are one, so that looking one up costs nothing.

    Parameters
    ----------
    name : str
        As in the heading.
    kind : Kind
        What its cells hold.
    help : str
        One sentence for the person who fills it in.
    example : str
        What the example line of a blank sheet shows.
    unit : str
        Unit of a number, "" for a pure one.
    words : tuple of str
        The allowed words of a word column, lower-case.
    also : tuple of (str, str)
        Other spellings and the allowed word each stands for.
    keeps_unknown : bool
        Whether a word outside `words` is kept (and reported) or read as not recorded (and reported).
    low, high : float
        Range of a number, both ends included.
    required : bool
        Whether a row without it is set aside.
    names : str
        The table whose rows an id points to, "" when it points nowhere.
    """

    name: str
    kind: Kind
    help: str
    example: str = ""
    unit: str = ""
    words: tuple[str, ...] = ()
    also: tuple[tuple[str, str], ...] = ()
    keeps_unknown: bool = False
    low: float = -math.inf
    high: float = math.inf
    required: bool = False
    names: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """One sheet; like a column, it is the same as itself alone.

    Parameters
    ----------
    name : str
        Name of the file (without `.csv`) or of the sheet in a workbook.
    row_is : str
        What one row stands for.
    adds : str
        What the reports gain when it is filled in; said by `season check` when it is missing.
    columns : tuple of Column
        In the order of the blank sheet.
    dated_by : str
        The date column that places a row in a season, "" when the table has none.
    """

    name: str
    row_is: str
    adds: str
    columns: tuple[Column, ...]
    dated_by: str = ""

    def column(self, name: str) -> Column:
        """The column of that name; `KeyError` when there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the columns, in order."""
        return tuple(column.name for column in self.columns)
