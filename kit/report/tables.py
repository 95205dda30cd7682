"""Tables as people read them: headings with units, a likely range in one cell, dates as spoken, every cell escaped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Any

import pandas as pd

from kit.report.charts.phrases import day
from kit.report.headings import FIRST, HEADINGS, HEADINGS_IN, NOT_SHOWN, NOT_SHOWN_IN, SPOKEN, TABLES
from kit.report.show import Note
from kit.report.words.phrases import spoken
from kit.season.findings import Findings

OPEN_ROWS = 5
"""So many rows stand open, the others behind a line: a phone is not scrolled to death."""
MOST_ROWS = 120
"""A page holds so many rows of a table; all of them stand in its CSV file."""
DUST = 0.001
LONG = 32
"""A cell of more letters gets room, so that it is not squeezed to a word a line."""
BANDS = (("_p05", "_p50", "_p95"), ("_low", "", "_high"))
"""Endings of the columns that hold a likely range and its middle."""


@dataclass(frozen=True)
class Table:
    """A table ready to be shown, in a notebook or on a page.

    Parameters
    ----------
    rows : DataFrame
        Cells as they are to be read; numbers still numbers.
    caption : str
        What one row is.
    folded : bool
        Behind a line to open it, for rows that a chart has already told.
    heads : mapping
        Headings that hold in this table alone.
    """

    rows: pd.DataFrame
    caption: str
    folded: bool = False
    heads: Mapping[str, str] = field(default_factory=dict)

    def _repr_html_(self) -> str:
        count = len(self.rows)
        if self.folded:
            return _fold(f"{self.caption}: {count} row{'s' * (count != 1)}", self.html(self.rows))
        if count <= OPEN_ROWS + 1:
            return self.html(self.rows)
        return self.html(self.rows[:OPEN_ROWS]) + _fold(
            f"The other {count - OPEN_ROWS}", self.html(self.rows[OPEN_ROWS:])
        )

    def __repr__(self) -> str:
        return f"{self.caption}: {len(self.rows)} rows"

    def html(self, rows: pd.DataFrame) -> str:
        """Some of its rows as a table; the first column names its row."""
        heads = [self.heads.get(str(c), heading(str(c))) for c in rows.columns]
        numeric = [_is_numeric(rows[c]) for c in rows.columns]
        top = "".join(f'<th scope="col"{_class(n)}>{escape(h)}</th>' for h, n in zip(heads, numeric, strict=True))
        shown = rows[:MOST_ROWS].itertuples(index=False, name=None)
        body = "".join(_row(values, heads, numeric) for values in shown)
        rest = len(rows) - MOST_ROWS
        caption = f"<caption>{escape(self.caption)}</caption>"
        return f'<table class="cards">{caption}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>' + (
            f'<p class="note">{rest} rows more stand in the folder tables.</p>' if rest > 0 else ""
        )


def show(findings: Findings, name: str, *, folded: bool = False) -> Table | Note:
    """A table of the findings by its name, without the columns that say nothing.

    Parameters
    ----------
    findings : Findings
        Review or plan, whole or sliced.
    name : str
        Of the table.
    folded : bool
        Behind a line to open it.
    """
    caption, nothing = TABLES.get(name, (name.replace("_", " ").capitalize(), "Nothing is recorded here."))
    rows = findings.tables[name]
    if rows.empty:
        return Note(nothing)
    wide = _wide(findings, rows)
    told = _ranges(_spoken(_told(_first(_with_line(wide) if folded else wide, name))))
    told = told.drop(columns=list(NOT_SHOWN_IN.get(name, ())), errors="ignore")
    if len(findings.apiary_facts) == 1 and len(told.columns) > 1:
        told = told.drop(columns="apiary", errors="ignore")
    return Table(told, caption, folded, HEADINGS_IN.get(name, {}))


def heading(column: str) -> str:
    """The heading of a column, with its unit."""
    return HEADINGS.get(column, column.replace("_", " "))


def rows(findings: Findings, name: str) -> Table | Note:
    """The rows behind a chart: `show`, folded."""
    return show(findings, name, folded=True)


def cell(value: Any) -> str:
    """One value as written by hand; '' for what is missing.

    Examples
    --------
    >>> cell(pd.Timestamp("2025-09-03")), cell(12.0), cell(0.12345), cell(8e-6), cell(None), cell(True)
    ('3 Sep 2025', '12', '0.123', 'under 0.001', '', 'yes')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if value is None or pd.isna(value):
        return ""
    return day(value) if isinstance(value, pd.Timestamp) else _plain(float(value))


def _fold(summary: str, inside: str) -> str:
    return f'<details class="rows"><summary>{escape(summary)}</summary>{inside}</details>'


def _plain(value: float) -> str:
    """Three digits are more than a field season knows; whole numbers stay whole, and dust is called dust."""
    if value == int(value):
        return f"{int(value):,}"
    if abs(value) < DUST:
        return f"under {DUST:g}" if value > 0 else "0"
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:,.3g}"


def _wide(findings: Findings, table: pd.DataFrame) -> pd.DataFrame:
    """Over many apiaries the rows of single hives are left to the apiaries' own pages; rows not to be shown, out."""
    table = table[table["shown"] == "yes"] if "shown" in table else table
    return table[table["scope"] == "apiary"] if "scope" in table and len(findings.apiary_facts) > 1 else table


def _first(table: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows that ask for something before those that do not, and the columns that matter most first."""
    if "verdict" in table:
        table = table.sort_values("verdict", key=lambda words: words.eq("in order"), kind="stable")
    lead = [column for column in FIRST.get(name, ()) if column in table]
    return table[[*lead, *(column for column in table if column not in lead)]]


def _with_line(table: pd.DataFrame) -> pd.DataFrame:
    """The record line that each row was read from, where the table knows it."""
    if not {"from_file", "from_row"} <= set(table.columns):
        return table
    lines = [
        f"{file}, row {row:g}" if file and pd.notna(row) else ""
        for file, row in zip(table["from_file"], table["from_row"], strict=True)
    ]
    return table.assign(record_line=lines)


def _told(table: pd.DataFrame) -> pd.DataFrame:
    """Columns that say something: not a row's origin, not wholly empty."""
    empty = [c for c in table if table[c].isna().all() or (table[c].astype("str") == "").all()]
    return table[[c for c in table if c not in NOT_SHOWN and c not in empty]]


def _spoken(table: pd.DataFrame) -> pd.DataFrame:
    """The kit's own sentences with their dates as they are said."""
    own = [column for column in table if column in SPOKEN and not pd.api.types.is_numeric_dtype(table[column])]
    return table.assign(**{str(column): table[column].astype("str").map(spoken) for column in own})


def _ranges(table: pd.DataFrame) -> pd.DataFrame:
    """Three columns of a likely range as one: the middle, and the range in brackets."""
    shown: dict[str, Any] = {}
    columns = [str(column) for column in table]
    done: set[str] = set()
    for column in columns:
        parts = _range_of(column, columns)
        if not parts:
            shown |= {column: table[column]} if column not in done else {}
        elif not done & set(parts):
            name = _stem(parts)
            values = [_in_one(*row) for row in table[list(parts)].itertuples(index=False, name=None)]
            shown[name if name not in shown else f"{name}_range"] = values
            done |= set(parts)
    return pd.DataFrame(shown, index=table.index)


def _range_of(column: str, columns: Sequence[str]) -> tuple[str, ...]:
    """The three columns of the range that `column` belongs to, () when it belongs to none."""
    for endings in BANDS:
        for ending in endings:
            name = column.removesuffix(ending)
            parts = tuple(f"{name}{end}" for end in endings)
            if column.endswith(ending) and set(parts) <= set(columns):
                return parts
    return ()


def _stem(parts: tuple[str, ...]) -> str:
    return parts[0].removesuffix("_p05").removesuffix("_low")


def _in_one(low: float, middle: float, high: float) -> str:
    return "" if pd.isna(middle) else f"{cell(_short(middle))} ({cell(_short(low))}–{cell(_short(high))})"


def _short(value: float) -> float:
    """Two digits: a likely range knows no more."""
    return float(f"{value:.2g}")


def _row(values: Sequence[Any], heads: Sequence[str], numeric: Sequence[bool]) -> str:
    cells = [escape(cell(value)) for value in values]
    first = f'<th scope="row" data-head="{escape(heads[0])}">{cells[0] or "all"}</th>'
    rest = "".join(
        f'<td data-head="{escape(head)}"{_class(n, empty=not text, long=len(text) > LONG)}>{text}</td>'
        for head, text, n in zip(heads[1:], cells[1:], numeric[1:], strict=True)
    )
    return f"<tr>{first}{rest}</tr>"


def _is_numeric(column: pd.Series) -> bool:
    return pd.api.types.is_numeric_dtype(column) and not pd.api.types.is_bool_dtype(column)


def _class(numeric: bool, *, empty: bool = False, long: bool = False) -> str:
    names = [name for name, wanted in (("number", numeric), ("empty", empty), ("long", long)) if wanted]
    return f' class="{" ".join(names)}"' if names else ""
