"""Corrections in the sheets: which later line strikes which earlier one. Nothing is erased: both lines stay.

A cell of `corrects` names the line it corrects by its row in the same file (`14`, `row 14`) or by its date, with
the apiary or product where that day has several (`2025-09-03`, `2025-09-03 MEADOW`).
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.records.dates import Span, read_dates
from kit.records.texts import holds

if TYPE_CHECKING:
    from kit.records.records import Records

_ROW = re.compile(r"^(?:row|line)?\s*#?\s*(\d{1,7})$", re.IGNORECASE)
_DATE = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[/.]\d{1,2}[/.]\d{4}|\d{1,2}\s+[A-Za-z]{3,9}\s+\d{4}")
_SPAN = Span(date(1990, 1, 1), date(2100, 12, 31))
_NAMED = ("apiary", "event", "product", "treatment", "batch")
"""What a correction may name beside the date, the surest first."""


class Corrections(NamedTuple):
    """What a table's corrections do.

    Parameters
    ----------
    struck_by : dict
        Index of each struck line to the index of the line that corrects it.
    lost : dict
        Index of each correction that strikes no line to the reason.
    """

    struck_by: dict[int, int]
    lost: dict[int, str]


def corrections(table: pd.DataFrame) -> Corrections:
    """Resolve every correction of a sheet with the columns `date`, `corrects`, `from_file` and `from_row`."""
    if holds(table["corrects"], "").all():
        return Corrections({}, {})
    rows = rows_by_place(table)
    struck: dict[int, int] = {}
    lost: dict[int, str] = {}
    for place, row in rows.items():
        text = str(row["corrects"]).strip()
        if not text:
            continue
        found = _meant(text, place, rows)
        if len(found) != 1:
            lost[place] = f"`corrects` says {text!r}, which fits {len(found) or 'no'} other lines of this sheet"
        elif found[0] in struck or _ends_in(place, found[0], struck):
            lost[place] = f"`corrects` says {text!r}, a line that another one corrects or that corrects this one"
        else:
            struck[found[0]] = place
    return Corrections(struck, lost)


def rows_by_place(table: pd.DataFrame) -> dict[int, dict[str, Any]]:
    """The rows of a sheet by their place in its index."""
    rows = [{str(name): value for name, value in row.items()} for row in table.to_dict("records")]
    return dict(zip((int(place) for place in table.index), rows, strict=True))


def in_force(table: pd.DataFrame) -> pd.DataFrame:
    """The lines of a sheet that no correction strikes."""
    return table.drop(index=list(corrections(table).struck_by))


def season_in_force(records: Records, name: str) -> pd.DataFrame:
    """The season's lines of a sheet that no correction strikes, wherever the correction is dated."""
    whole = {**records.tables, name: in_force(records.tables[name])}
    return replace(records, tables=whole).in_season(name)


def _meant(text: str, place: int, rows: dict[int, dict[str, Any]]) -> list[int]:
    others = {one: row for one, row in rows.items() if one != place}
    if match := _ROW.match(text):
        sheet = rows[place]["from_file"]
        return [one for one, row in others.items() if row["from_row"] == int(match[1]) and row["from_file"] == sheet]
    written = _DATE.search(text)
    day = read_dates([written.group()], None, _SPAN)[0].value if written else None
    if written is None or day is None:
        return []
    on_day = [one for one, row in others.items() if not pd.isna(row["date"]) and row["date"].date() == day]
    words = text.replace(written.group(), "").casefold()
    return _narrowed(on_day, rows, rows[place], words)


def _narrowed(found: list[int], rows: dict[int, dict[str, Any]], mine: dict[str, Any], words: str) -> list[int]:
    """Of the lines of a day, those that the text names; where several stay, those like the correcting line."""
    columns = [column for column in _NAMED if column in mine]
    if words.strip(" ,;"):
        found = [one for one in found if any(str(rows[one][c]).casefold() in words for c in columns if rows[one][c])]
    for column in columns:
        alike = [one for one in found if rows[one][column] == mine[column]]
        found = alike if len(found) > 1 and alike else found
    return found


def _ends_in(place: int, other: int, struck: dict[int, int]) -> bool:
    """Whether the line at `place` has, by way of other corrections, been struck by `other`."""
    while place in struck:
        place = struck[place]
        if place == other:
            return True
    return False
