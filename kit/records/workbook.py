"""Sheets of a workbook (.xlsx, .ods and their kin) to rows of text."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import NamedTuple

from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetVisibleEnum

from kit.errors import CannotGoOnError
from kit.records.merged import Merge
from kit.records.workbook_faults import Fault, faults

SUFFIXES = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")

LARGEST_BYTES = 600_000_000
"""Unpacked size above which a workbook is refused: more than any season's records, less than a machine's memory."""

Value = int | float | str | bool | date | datetime | time | timedelta


class BookSheet(NamedTuple):
    """One sheet of a workbook.

    Parameters
    ----------
    rows : list of list of str
        Every cell as text.
    faults : tuple of Fault
        What the cells do not show: error values, results never stored, that the sheet is hidden.
    merges : tuple of Merge
        Its merged cells.
    """

    rows: list[list[str]]
    faults: tuple[Fault, ...]
    merges: tuple[Merge, ...]


def sheets_of(path: Path) -> dict[str, BookSheet]:
    """Every sheet that holds something, hidden ones too, as rows of text in the spreadsheet's own numbering.

    Raises
    ------
    CannotGoOnError
        When the workbook has a password, is broken, or would unpack to more than a machine can hold.
    """
    _refuse_bombs(path)
    try:
        book = CalamineWorkbook.from_path(path)
        sheets = {name: book.get_sheet_by_name(name) for name in book.sheet_names}
        read = {name: sheet.to_python(skip_empty_area=False) for name, sheet in sheets.items()}
    except PasswordError as error:
        raise CannotGoOnError(f"{path.name} is protected by a password; save a copy without one") from error
    except (CalamineError, OSError, ValueError) as error:
        remedy = "open it in a spreadsheet program and save it again, or save its sheets as CSV"
        raise CannotGoOnError(f"{path.name} cannot be read as a workbook ({error}); {remedy}") from error
    hidden = {sheet.name for sheet in book.sheets_metadata if sheet.visible != SheetVisibleEnum.Visible}
    unseen = faults(path)
    return {
        name: BookSheet(
            [[_text(value) for value in row] for row in rows],
            (*_hidden(name in hidden), *unseen.get(name, [])),
            tuple(Merge(top, left, bottom) for (top, left), (bottom, _) in sheets[name].merged_cell_ranges or []),
        )
        for name, rows in read.items()
        if rows
    }


def _hidden(hidden: bool) -> list[Fault]:
    wrong = "a hidden sheet: read like the others"
    return [Fault(0, "", "", wrong, "show it, or delete it if it is not meant to count")] if hidden else []


def _refuse_bombs(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as parts:
            unpacked = sum(part.file_size for part in parts.infolist())
    except (zipfile.BadZipFile, OSError, NotImplementedError):
        return  # not a zip, or a broken one: reading it says so
    if unpacked > LARGEST_BYTES:
        raise CannotGoOnError(f"{path.name} would unpack to {unpacked / 1e6:.0f} MB; save its sheets as CSV")


def _text(value: Value) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
    if isinstance(value, time):
        return value.isoformat("minutes")
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    return str(value)
