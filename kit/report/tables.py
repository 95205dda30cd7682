"""Tables as people read them: headings with units, a likely range in one cell, dates as spoken, every cell escaped."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Any

import pandas as pd

from kit.report.charts.phrases import day
from kit.report.headings import (
    FIRST,
    GOOD,
    HEADINGS,
    HEADINGS_IN,
    MONEY,
    NOT_SHOWN,
    NOT_SHOWN_IN,
    SPOKEN,
    TABLES,
    WHOLE,
)
from kit.report.shaped import shaped
from kit.report.show import Note, quoted
from kit.report.words.phrases import spoken
from kit.season.findings import Findings

OPEN_ROWS = 5
"""So many rows stand open, the others behind a line: a phone is not scrolled to death."""
MOST_ROWS = 80
"""A page holds so many rows of a table; all of them stand in its CSV file."""
DUST = 0.001
BROAD, LENGTHY = 9, 12
"""From more columns on, paper gets smaller letters; from more rows on, a table may go on over the page."""
LONG = 32
"""A cell of more letters gets room, so that it is not squeezed to a word a line."""
BANDS = (("_p05", "_p50", "_p95"), ("_low", "", "_high"))
"""Endings of the columns that hold a likely range and its middle."""
WHOLE_UNITS = ("[%]", "[min]")
A_RANGE = re.compile(r"[\d,.−]+ \([\d,.–−]+\)")
MINUS = "−"


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
    faults : int or None
        So many rows, the first, ask for something; None where rows are not judged.
    """

    rows: pd.DataFrame
    caption: str
    folded: bool = False
    heads: Mapping[str, str] = field(default_factory=dict)
    faults: int | None = None

    def _repr_html_(self) -> str:
        count, judged = len(self.rows), self.faults is not None
        if self.folded or self.faults == 0:
            said = f"{self.caption}: {count} row{'s' * (count != 1)}"
            return _fold(said + ", nothing wrong" * (self.faults == 0), self.html(self.rows))
        shown = min(OPEN_ROWS, self.faults) if self.faults else OPEN_ROWS
        if count <= shown + (not judged):
            return self.html(self.rows)
        return self.html(self.rows[:shown]) + _fold(
            f"The other {count - shown}", self.html(self.rows[shown:], again=True)
        )

    def __repr__(self) -> str:
        return f"{self.caption}: {len(self.rows)} rows"

    def html(self, rows: pd.DataFrame, again: bool = False) -> str:
        """Some of its rows as a table; the first column names its row. `again` behind the first rows."""
        heads = [self.heads.get(str(c), heading(str(c))) for c in rows.columns]
        numeric = [_is_numeric(rows[c]) for c in rows.columns]
        top = "".join(f'<th scope="col"{_class(n)}>{escape(h)}</th>' for h, n in zip(heads, numeric, strict=True))
        shown = rows[:MOST_ROWS].itertuples(index=False, name=None)
        body = "".join(_row(values, heads, numeric) for values in shown)
        rest = len(rows) - MOST_ROWS
        caption = f"<caption{' class=again' * again}>{escape(self.caption)}</caption>"
        kinds = "cards" + " broad" * (len(heads) > BROAD) + " lengthy" * (len(rows) > LENGTHY)
        return f'<table class="{kinds}">{caption}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>' + (
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
    wide = shaped(name, _wide(findings, rows))
    if wide.empty:
        return Note(nothing)
    heads = _heads(name, findings)
    told = _ranges(_whole(_spoken(_told(_first(_with_line(wide) if folded else wide, name))), heads))
    told = told.drop(columns=list(NOT_SHOWN_IN.get(name, ())), errors="ignore")
    if len(findings.apiary_facts) == 1 and len(told.columns) > 1:
        told = told.drop(columns="apiary", errors="ignore")
    faults = int((~told["verdict"].isin(GOOD)).sum()) if "verdict" in told else None
    return Table(told, caption, folded, heads, faults)


def _heads(name: str, findings: Findings) -> dict[str, str]:
    """The headings of one table; sums with the currency, where it is known."""
    own, currency = HEADINGS_IN.get(name, {}), findings.facts.get("currency", "")
    sums = {column: f"{own.get(column, heading(column))} [{currency}]" for column in MONEY} if currency else {}
    return {**own, **sums}


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
        return f"{int(value):,}".replace("-", MINUS)
    if abs(value) < DUST:
        return f"under {DUST:g}" if value > 0 else "0"
    return (f"{value:,.0f}" if abs(value) >= 100 else f"{value:,.3g}").replace("-", MINUS)


def _wide(findings: Findings, table: pd.DataFrame) -> pd.DataFrame:
    """Over many apiaries the rows of single hives are left to the apiaries' own pages; rows not to be shown, out."""
    table = table[table["shown"] == "yes"] if "shown" in table else table
    return table[table["scope"] == "apiary"] if "scope" in table and len(findings.apiary_facts) > 1 else table


def _first(table: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows that ask for something before those that do not, and the columns that matter most first."""
    if "verdict" in table:
        table = table.sort_values("verdict", key=lambda words: words.isin(GOOD), kind="stable")
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


def _whole(table: pd.DataFrame, heads: Mapping[str, str]) -> pd.DataFrame:
    """Percent, minutes and sums to the whole from ten on, below that to two digits."""

    def rough(column: str) -> bool:
        stem = re.sub(r"_(p05|p50|p95|low|high)$", "", column)
        named = heads.get(stem, heading(stem))
        return stem in WHOLE or stem in MONEY or any(unit in named for unit in WHOLE_UNITS)

    columns = [str(c) for c in table if rough(str(c)) and _is_numeric(table[c])]
    return table.assign(**{c: table[c].astype(float).map(_roughly) for c in columns})


def _roughly(value: float) -> float:
    return value if pd.isna(value) else _short(value) if abs(value) < 10 else float(round(value))


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
    if pd.isna(middle) or low == high:
        return cell(middle)
    return f"{cell(_short(middle))} ({cell(_short(low))}–{cell(_short(high))})"


def _short(value: float) -> float:
    """Two digits: a likely range knows no more."""
    return float(f"{value:.2g}")


def _row(values: Sequence[Any], heads: Sequence[str], numeric: Sequence[bool]) -> str:
    cells = [_inside(quoted(cell(value))) for value in values]
    whole = [isinstance(value, pd.Timestamp) or bool(A_RANGE.fullmatch(str(value))) for value in values]
    first = f'<th scope="row" data-head="{escape(heads[0])}"{_class(False, whole=whole[0])}>{cells[0] or "all"}</th>'
    rest = "".join(
        f'<td data-head="{escape(head)}"{_class(n, empty=not text, long=len(text) > LONG, whole=w)}>{text}</td>'
        for head, text, n, w in zip(heads[1:], cells[1:], numeric[1:], whole[1:], strict=True)
    )
    return f"<tr>{first}{rest}</tr>"


def _inside(text: str) -> str:
    """Text with an element in it as one piece: a phone sets a cell's pieces apart."""
    return f"<span>{text}</span>" if "<" in text else text


def _is_numeric(column: pd.Series) -> bool:
    return pd.api.types.is_numeric_dtype(column) and not pd.api.types.is_bool_dtype(column)


def _class(numeric: bool, *, empty: bool = False, long: bool = False, whole: bool = False) -> str:
    """Classes of a cell: `long` gets room, `whole` is not broken."""
    kinds = (("number", numeric), ("empty", empty), ("long", long), ("whole", whole))
    names = [name for name, wanted in kinds if wanted]
    return f' class="{" ".join(names)}"' if names else ""
