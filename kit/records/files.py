"""A folder of CSV files or one workbook to the raw text of each sheet, with the spreadsheet's own row numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.errors import CannotGoOnError
from kit.records.cells import suggestion
from kit.records.column import Table
from kit.records.csv_text import columns_of, decode, grid
from kit.records.headings import SEARCHED_ROWS, Headings, find_headings, matched, unit_named
from kit.records.marks import begins_marked, is_marked, marked_problem
from kit.records.merged import headings_moved_down, merge_faults
from kit.records.problems import Problem
from kit.records.tables import TABLES
from kit.records.texts import Texts
from kit.records.workbook import SUFFIXES, sheets_of

CSV_SUFFIXES = (".csv", ".tsv")


class Raw(NamedTuple):
    """One sheet as text.

    Parameters
    ----------
    file : str
        File name, or workbook and sheet as `records.xlsx [log]`.
    cells : dict of Texts
        Column by its name: documented ones that stand in the sheet, and others. Blank rows and marked lines of a
        blank sheet are left out.
    numbers : ndarray of int, shape (rows,)
        Each row as the spreadsheet numbers it.
    units : mapping
        Column to the unit its heading carries, where the heading is not the documented one.
    """

    file: str
    cells: dict[str, Texts]
    numbers: NDArray[np.int64]
    units: Mapping[str, str]


class _Sheet(NamedTuple):
    file: str
    table: Table
    columns: tuple[Texts, ...]

    def row(self, n: int | np.integer[Any]) -> list[str]:
        """The cells of one row."""
        return [column[n] for column in self.columns]


def read_folder(path: Path, problems: list[Problem]) -> dict[str, Raw]:
    """Every known sheet under `path`, a folder or a workbook.

    Raises
    ------
    CannotGoOnError
        When there is nothing to read, a workbook cannot be opened, or one sheet stands in two places.
    """
    raws: dict[str, Raw] = {}
    for sheet in _sheets(path, problems):
        name = sheet.table.name
        if name in raws:
            raise CannotGoOnError(f"{name} stands both in {raws[name].file} and in {sheet.file}; keep one of them")
        raws[name] = _raw(sheet, problems)
    if not raws:
        raise CannotGoOnError(f"{path} holds none of the record sheets; `season new` makes blank ones")
    return raws


def read_sheet(file: Path, problems: list[Problem]) -> Raw | None:
    """One CSV file; None when it is not named after a record sheet."""
    found = next(_of_csv(file, problems), None)
    return _raw(found, problems) if found else None


def _sheets(path: Path, problems: list[Problem]) -> Iterator[_Sheet]:
    for file in _files(path):
        if file.suffix.casefold() in SUFFIXES:
            yield from _of_workbook(file, problems)
        else:
            yield from _of_csv(file, problems)


def _files(path: Path) -> list[Path]:
    if path.is_file():
        if path.suffix.casefold() not in (*SUFFIXES, *CSV_SUFFIXES):
            raise CannotGoOnError(f"{path} is neither a folder nor a workbook ({', '.join(SUFFIXES)})")
        return [path]
    if not path.is_dir():
        raise CannotGoOnError(f"there is no folder {path}; give the folder that holds your record sheets")
    files = [f for f in sorted(path.iterdir()) if f.is_file() and not f.name.startswith((".", "~$"))]
    books = [f for f in files if f.suffix.casefold() in SUFFIXES]
    if len(books) > 1:
        raise CannotGoOnError(f"{path} holds {len(books)} workbooks ({', '.join(b.name for b in books)}); keep one")
    return books + [f for f in files if f.suffix.casefold() in CSV_SUFFIXES]


def _of_workbook(file: Path, problems: list[Problem]) -> Iterator[_Sheet]:
    for name, sheet in sheets_of(file).items():
        table, place = table_named(name), f"{file.name} [{name}]"
        if table is None:
            problems.append(_not_a_sheet(place, name))
        else:
            merges = headings_moved_down(sheet.rows, sheet.merges, table)
            told = (*sheet.faults, *merge_faults(sheet.rows, merges))
            problems.extend(Problem(place, *fault) for fault in told)
            yield _Sheet(place, table, columns_of(sheet.rows))


def _of_csv(file: Path, problems: list[Problem]) -> Iterator[_Sheet]:
    table = table_named(file.stem)
    if table is None:
        problems.append(_not_a_sheet(file.name, file.stem))
        return
    try:
        data = file.read_bytes()
    except OSError as error:
        raise CannotGoOnError(f"{file.name} cannot be read ({error.strerror}); check who may read it") from error
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise CannotGoOnError(f"{file.name} is a workbook, not a CSV file; give it its own ending again")
    found = grid(decode(data), lambda cells: matched(cells, table))
    remedy = "put the closing mark in, or take the opening one out"
    problems.extend(
        Problem(file.name, row, "", "", "a quotation mark that is opened here and not closed", remedy)
        for row in found.torn
    )
    yield _Sheet(file.name, table, found.columns)


def table_named(name: str) -> Table | None:
    """The record sheet a file or a sheet of a workbook is named after, None when none."""
    return TABLES.get(re.sub(r"[\s\-]+", "_", name.strip().casefold()))


def _not_a_sheet(file: str, name: str) -> Problem:
    remedy = suggestion(name, tuple(TABLES), "nothing, if it is your own; record sheets are named as `season new` does")
    return Problem(file, 0, "", "", "not one of the record sheets: nothing in it was read", remedy)


def _raw(sheet: _Sheet, problems: list[Problem]) -> Raw:
    filled = _filled(sheet.columns)
    rows = len(filled)
    top = [sheet.row(n) for n in range(min(rows, int(filled.argmax()) + SEARCHED_ROWS))] if rows else []
    headings = find_headings(top, sheet.table)
    _report_headings(sheet, headings, top, problems)
    written = top[headings.at] if headings.at >= 0 else []
    kept = filled & (np.arange(rows) > headings.at)
    kept &= ~_not_data(sheet, headings, written, kept, problems)
    numbers = np.flatnonzero(kept).astype(np.int64) + 1
    headed = dict(zip(headings.names, written, strict=False))
    columns = {name: column.keep(kept) for name, column in zip(headings.names, sheet.columns, strict=True)}
    cells = {name: column for name, column in columns.items() if headed.get(name) or any(column.each)}
    problems.extend(_beyond_headings(sheet.file, cells, headed, numbers))
    units = {name: unit_named(head) for name, head in headed.items() if head.strip().casefold() != name}
    return Raw(sheet.file, cells, numbers, units)


def _filled(columns: Sequence[Texts]) -> NDArray[np.bool_]:
    """Rows in which something is written."""
    filled = np.zeros(len(columns[0]) if columns else 0, dtype=bool)
    for column in columns:
        if filled.all():
            break
        filled |= column.rows(_says)
    return filled


def _says(text: str) -> bool:
    return bool(text.strip())


def _not_data(
    sheet: _Sheet, headings: Headings, written: list[str], rows: NDArray[np.bool_], problems: list[Problem]
) -> NDArray[np.bool_]:
    """Which of the rows explain the sheet, or are the headings once more; each is told."""
    doubtful = _marked(sheet.columns) | _alike(sheet.columns, written)
    left_out = np.zeros(len(rows), dtype=bool)
    for n in np.flatnonzero(doubtful & rows):
        cells = sheet.row(n)
        if cells == written or is_marked(cells):
            left_out[n] = True
            problems.extend(_told(sheet, headings, int(n) + 1, cells))
    return left_out


def _marked(columns: Sequence[Texts]) -> NDArray[np.bool_]:
    """Rows with a cell that begins as a line does that explains the sheet."""
    marked = np.zeros(len(columns[0]) if columns else 0, dtype=bool)
    for column in columns:
        if any(map(begins_marked, column.each)):
            marked |= column.rows(begins_marked)
    return marked


def _alike(columns: Sequence[Texts], cells: Sequence[str]) -> NDArray[np.bool_]:
    """Rows that hold just these cells."""
    alike = np.full(len(columns[0]) if columns else 0, bool(cells))
    for column, cell in zip(columns, cells, strict=False):
        alike &= column.holding(cell)
        if not alike.any():
            break
    return alike


def _beyond_headings(
    file: str, cells: Mapping[str, Texts], headed: Mapping[str, str], numbers: NDArray[np.int64]
) -> Iterator[Problem]:
    """The first filled cell of the first column without a heading, where the sheet has headings; the others counted."""
    names = [name for name in cells if headed and not headed[name].strip()]
    for name in names[:1]:
        at = int(cells[name].rows(_says).argmax())
        kept = name if len(names) == 1 else f"{name} to {names[-1]}"
        wrong = f"a cell under no heading: kept as {kept}, and nothing made of it"
        yield Problem(file, int(numbers[at]), name, cells[name][at], wrong, "move it under its heading, or add one")


def _told(sheet: _Sheet, headings: Headings, number: int, row: list[str]) -> list[Problem]:
    if is_marked(row):
        return marked_problem(row, headings.names, sheet.table, (sheet.file, number))
    return [Problem(sheet.file, number, "", row[0], "the headings once more: not read", "delete the line")]


def _report_headings(sheet: _Sheet, headings: Headings, top: list[list[str]], problems: list[Problem]) -> None:
    if headings.at < 0:
        if top:
            remedy = f"put the headings back: {', '.join(sheet.table.names[:6])}, …"
            problems.append(Problem(sheet.file, 0, "", "", "no headings were found", remedy))
        return
    for heading, said in headings.unknown:
        remedy = "nothing, if it is your own; else give it its documented name"
        remedy = suggestion(heading, sheet.table.names, remedy) if "second" not in said else "keep one of the two"
        problems.append(Problem(sheet.file, headings.at + 1, heading, heading, said, remedy))
    for number, cells in enumerate(top[: headings.at], start=1):
        text = " ".join(cell for cell in cells if cell.strip())
        if text:
            problems.append(
                Problem(sheet.file, number, "", text, "above the headings: not read", "nothing, if a title")
            )
