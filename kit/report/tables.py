"""Tables as people read them: headings with units, dates and numbers as written by hand, every cell escaped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import pandas as pd

from kit.report.charts.phrases import day
from kit.report.headings import HEADINGS, NOT_SHOWN, TABLES
from kit.report.show import Note
from kit.season.findings import Findings

OPEN_ROWS = 12
"""A longer table is folded on a page, so that a phone is not scrolled to death."""


@dataclass(frozen=True)
class Table:
    """A table ready to be shown, in a notebook or on a page.

    Parameters
    ----------
    rows : DataFrame
        As computed.
    caption : str
        What one row is.
    """

    rows: pd.DataFrame
    caption: str

    def _repr_html_(self) -> str:
        folded = len(self.rows) > OPEN_ROWS
        summary = f"{escape(self.caption)} ({len(self.rows)} rows)"
        inside = self.html()
        return f'<details class="rows"><summary>{summary}</summary>{inside}</details>' if folded else inside

    def __repr__(self) -> str:
        return f"{self.caption}: {len(self.rows)} rows"

    def html(self) -> str:
        """The table itself; the first column names its row."""
        heads = [heading(column) for column in self.rows.columns]
        numeric = [
            pd.api.types.is_numeric_dtype(self.rows[c]) and self.rows[c].dtype != bool for c in self.rows.columns
        ]
        top = "".join(f'<th scope="col"{_class(n)}>{escape(h)}</th>' for h, n in zip(heads, numeric, strict=True))
        body = "".join(_row(values, heads, numeric) for values in self.rows.itertuples(index=False, name=None))
        caption = f"<caption>{escape(self.caption)}</caption>"
        return f'<table class="cards">{caption}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>'


def show(findings: Findings, name: str, columns: Sequence[str] = ()) -> Table | Note:
    """A table of the findings by its name.

    Parameters
    ----------
    findings : Findings
        Review or plan, whole or sliced.
    name : str
        Of the table.
    columns : sequence of str
        Which, in order; all that hold something when left out.
    """
    rows = findings.tables[name]
    caption, nothing = TABLES.get(name, (name.replace("_", " ").capitalize(), "Nothing is recorded here."))
    if rows.empty:
        return Note(nothing)
    wanted = [c for c in columns if c in rows] or _told(rows)
    if len(findings.apiary_facts) == 1 and "apiary" in wanted:
        wanted.remove("apiary")
    return Table(rows[wanted], caption)


def heading(column: str) -> str:
    """The heading of a column, with its unit."""
    if column in HEADINGS:
        return HEADINGS[column]
    for ending, words in {"_p05": ", at least", "_p50": ", about", "_p95": ", at most"}.items():
        if column.endswith(ending):
            base = column.removesuffix(ending)
            name, bracket, unit = HEADINGS.get(base, base.replace("_", " ")).partition(" [")
            return f"{name}{words}{bracket}{unit}"
    return column.replace("_", " ")


def cell(value: Any) -> str:
    """One value as written by hand; '' for what is missing.

    Examples
    --------
    >>> cell(pd.Timestamp("2025-09-03")), cell(12.0), cell(0.12345), cell(None), cell(True)
    ('3 Sep 2025', '12', '0.123', '', 'yes')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if value is None or pd.isna(value):
        return ""
    return day(value) if isinstance(value, pd.Timestamp) else _plain(float(value))


def _plain(value: float) -> str:
    """Three digits are more than a field season knows; whole numbers stay whole."""
    if value == int(value):
        return f"{int(value):,}"
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:,.3g}"


def _told(rows: pd.DataFrame) -> list[str]:
    """Columns that say something: not the row's origin, not wholly empty."""
    empty = [c for c in rows if rows[c].isna().all() or (rows[c].astype("str") == "").all()]
    return [c for c in rows if c not in NOT_SHOWN and c not in empty]


def _row(values: Sequence[Any], heads: Sequence[str], numeric: Sequence[bool]) -> str:
    cells = [escape(cell(value)) for value in values]
    first = f'<th scope="row" data-head="{escape(heads[0])}">{cells[0] or "–"}</th>'
    rest = "".join(
        f'<td data-head="{escape(head)}"{_class(n, empty=not text)}>{text}</td>'
        for head, text, n in zip(heads[1:], cells[1:], numeric[1:], strict=True)
    )
    return f"<tr>{first}{rest}</tr>"


def _class(numeric: bool, *, empty: bool = False) -> str:
    names = [name for name, wanted in (("number", numeric), ("empty", empty)) if wanted]
    return f' class="{" ".join(names)}"' if names else ""
