"""Bytes of a CSV file to rows of text: encoding by mark, then UTF-8, then Windows-1252; separator by the headings."""

from __future__ import annotations

import codecs
import csv
import io
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from itertools import islice, zip_longest
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.formulas import unguarded
from kit.records.texts import Texts

SEPARATORS = (",", ";", "\t")

_GUARD = re.compile(r"'[=+\-@\t\r]")

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def decode(data: bytes) -> str:
    """The text of a file.

    Examples
    --------
    >>> decode("Müller".encode("cp1252")), decode("Müller".encode("utf-16"))
    ('Müller', 'Müller')
    """
    marked = next((encoding for mark, encoding in _MARKS if data.startswith(mark)), "")
    return data.decode(marked or encoding_of(data), errors="replace")


def encoding_of(data: bytes) -> str:
    """The encoding in which more text can be added at the end of a file, without a mark.

    Examples
    --------
    >>> encoding_of("Müller".encode("cp1252")), encoding_of("Müller".encode("utf-16")), encoding_of(b"")
    ('cp1252', 'utf-16-le', 'utf-8')
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16-le" if data.startswith(codecs.BOM_UTF16_LE) else "utf-16-be"
    if not data.startswith(codecs.BOM_UTF8) and (b"\0" in data[:400:2] or b"\0" in data[1:400:2]):
        return "utf-16-be" if data[:1] == b"\0" else "utf-16-le"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "utf-8" if data.startswith(codecs.BOM_UTF8) else "cp1252"
    return "utf-8"


MOST_COLUMNS = 1000
"""No sheet of records has more; a row that does is torn, or a cell full of separators."""


class Split(NamedTuple):
    """The rows of a CSV text.

    Parameters
    ----------
    rows : list of list of str
        Every cell as text; row n of the list is row n + 1 of the spreadsheet.
    torn : tuple of int
        Rows (from 1) in which a quotation mark was opened and, it seems, never closed.
    separator : str
        What parts the cells.
    """

    rows: list[list[str]]
    torn: tuple[int, ...]
    separator: str


class Grid(NamedTuple):
    """The cells of a sheet.

    Parameters
    ----------
    columns : tuple of Texts
        Row n of each column is row n + 1 of the spreadsheet.
    torn : tuple of int
        As in `Split`.
    """

    columns: tuple[Texts, ...]
    torn: tuple[int, ...]


LARGE = 100_000
"""Letters from which a text is read by pandas, in less time and memory."""


def split(text: str, known: Callable[[list[str]], int]) -> Split:
    """The rows of a CSV text.

    A quotation mark that is never closed would draw all that follows into one cell: with an odd number of them
    each line is read by itself, so that no row is lost.

    Parameters
    ----------
    text : str
        The whole file.
    known : callable
        How many cells of a row are headings of the sheet; the separator that makes the most of them is taken.
    """
    body = _body(text)
    best = _separator(body, known)
    if body.count('"') % 2:
        lines = body.split("\n")
        torn = tuple(n for n, line in enumerate(lines, start=1) if line.count('"') % 2)
        return Split([row for line in lines for row in (_plain_rows(line, best) or [[]])], torn, best)
    rows = _plain_rows(body, best)
    return Split(rows, _swallowing(rows, best) if len(rows) < _lines(body) else (), best)


def grid(text: str, known: Callable[[list[str]], int]) -> Grid:
    """The cells of a CSV text by columns; a large text in which no cell goes over lines is read by pandas."""
    body = _body(text)
    separator = _separator(body, known)
    if len(body) > LARGE and body.count('"') % 2 == 0:
        width = max(len(row) for row in _top(body, separator))
        columns = large(body, separator, width) if 0 < width <= MOST_COLUMNS else None
        if columns is not None:
            return Grid(columns, ())
    found = split(text, known)
    return Grid(columns_of([_narrow(row, separator) for row in found.rows]), found.torn)


def _narrow(row: list[str], separator: str) -> list[str]:
    """A row of no more than `MOST_COLUMNS` cells; what stands beyond them is kept in the last."""
    if len(row) <= MOST_COLUMNS:
        return row
    return [*row[: MOST_COLUMNS - 1], separator.join(row[MOST_COLUMNS - 1 :])]


def columns_of(rows: Sequence[Sequence[str]]) -> tuple[Texts, ...]:
    """Rows of text by columns, short ones filled up with empty cells; row n stands in row n + 1 of the spreadsheet."""
    return tuple(Texts.of(column) for column in zip_longest(*rows, fillvalue=""))


def large(body: str, separator: str, width: int) -> tuple[Texts, ...] | None:
    """As `columns_of` the csv module's rows, in less time and memory: pandas keeps each different text once.

    None where a row is wider than that, or a cell goes over lines so that rows and lines are not the same.

    Parameters
    ----------
    body : str
        The text, its lines parted by line feeds.
    separator : str
        What parts the cells.
    width : int
        Cells in the widest of the first rows.
    """
    # with a first line of words pandas takes no column for numbers and refuses every wider row
    lines = f"{separator.join(['words'] * width)}\n{body}"
    try:
        frame = pd.read_csv(
            io.BytesIO(lines.encode("utf-8", "replace")),
            sep=separator,
            header=None,
            names=[str(n) for n in range(width)],
            index_col=False,
            dtype="category",
            na_filter=False,
            skip_blank_lines=False,
            skipinitialspace=True,
            low_memory=False,
            encoding="utf-8",
        )
    except pd.errors.ParserError:
        return None
    rows = np.arange(len(frame)) > 0
    if rows.sum() != _lines(body):
        return None
    guards = "'" in body and bool(_GUARD.search(body))
    return tuple(_texts(frame[name].array, rows, guards) for name in frame)


def _texts(cells: Any, rows: NDArray[np.bool_], guards: bool) -> Texts:
    """These rows of a column as pandas read it, guards against formulas taken off where there are any."""
    each = tuple(cells.categories.to_numpy(dtype=object).tolist())
    column = Texts(each, cells.codes.astype(np.intp)).keep(rows)
    return column.changed(unguarded) if guards else column


def _body(text: str) -> str:
    plain = text.replace("\0", "")
    plain = plain.replace("\r\n", "\n").replace("\r", "\n") if "\r" in plain else plain
    return "\n" + plain.partition("\n")[2] if plain[:4].casefold() == "sep=" else plain


def _separator(body: str, known: Callable[[list[str]], int]) -> str:
    return max(SEPARATORS, key=lambda mark: max(map(known, _top(body, mark)), default=0))


def _top(body: str, separator: str) -> list[list[str]]:
    """The first rows, by which the whole text is judged."""
    return list(islice(_reader(body[:20_000], separator), 10))


def _lines(body: str) -> int:
    return body.count("\n") + (not body.endswith("\n"))


def _plain_rows(text: str, separator: str) -> list[list[str]]:
    """The rows with every guard against formulas taken off again."""
    rows = _rows(text, separator)
    return [[unguarded(cell) for cell in row] for row in rows] if _GUARD.search(text) else rows


def _rows(text: str, separator: str) -> list[list[str]]:
    return list(_reader(text, separator))


def _reader(text: str, separator: str) -> Iterator[list[str]]:
    csv.field_size_limit(sys.maxsize)  # a long note is data; the default limit would stop the whole file
    return csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)


def _swallowing(rows: list[list[str]], separator: str) -> tuple[int, ...]:
    """Rows with a cell of several lines that hold separators themselves: most likely rows drawn into a cell."""
    return tuple(
        n
        for n, row in enumerate(rows, start=1)
        if any("\n" in cell and cell.count(separator) > cell.count("\n") for cell in row)
    )
