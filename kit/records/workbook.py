"""Sheets of a workbook (.xlsx, .ods and their kin) to rows of text."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

from python_calamine import CalamineError, CalamineWorkbook, PasswordError

from kit.errors import CannotGoOnError

SUFFIXES = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")

LARGEST_BYTES = 600_000_000
"""Unpacked size above which a workbook is refused: more than any season's records, less than a machine's memory."""

Value = int | float | str | bool | date | datetime | time | timedelta


def sheets_of(path: Path) -> dict[str, list[list[str]]]:
    """Every sheet that holds something, hidden ones too, as rows of text in the spreadsheet's own numbering.

    Raises
    ------
    CannotGoOnError
        When the workbook has a password, is broken, or would unpack to more than a machine can hold.
    """
    _refuse_bombs(path)
    try:
        book = CalamineWorkbook.from_path(path)
        sheets = {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names}
    except PasswordError as error:
        raise CannotGoOnError(f"{path.name} is protected by a password; save a copy without one") from error
    except (CalamineError, OSError, ValueError) as error:
        remedy = "open it in a spreadsheet program and save it again, or save its sheets as CSV"
        raise CannotGoOnError(f"{path.name} cannot be read as a workbook ({error}); {remedy}") from error
    return {name: [[_text(value) for value in row] for row in rows] for name, rows in sheets.items() if rows}


def _refuse_bombs(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as parts:
            unpacked = sum(part.file_size for part in parts.infolist())
    except (zipfile.BadZipFile, OSError):
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
