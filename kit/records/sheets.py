"""Blank record sheets: every column with its help, unit and words, and one example line that is never read as data."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path
from typing import Any

import xlsxwriter

from kit.errors import CannotGoOnError
from kit.records.column import Column, Table
from kit.records.files import table_named
from kit.records.marks import HELP, UNIT, example_cells
from kit.records.setting_list import SETTINGS
from kit.records.tables import TABLES

WORKBOOK = "records.xlsx"
LAST_ROW = 2000
"""Down to this row of a blank workbook the drop-down lists reach."""

LONGEST_LIST = 255
"""Longest drop-down list a workbook can hold [characters]."""

_MADE = datetime(2000, 1, 1)  # noqa: DTZ001  a fixed day inside the workbook, so that two blank ones are the same
_FIRST_DATA_ROW = 4


def new_folder(folder: Path) -> Path:
    """Write one blank CSV sheet for each table into a folder, made if missing; returns the folder.

    Raises
    ------
    CannotGoOnError
        When a record sheet of any kind stands there already, or the folder cannot be written.
    """
    _refuse_overwriting(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for table in TABLES.values():
            with (folder / f"{table.name}.csv").open("x", encoding="utf-8-sig", newline="") as sheet:
                sheet.write(_csv(table))
    except OSError as error:
        raise CannotGoOnError(f"{folder} cannot be written ({error.strerror}); choose another folder") from error
    return folder


def new_workbook(folder: Path) -> Path:
    """Write one blank workbook with a sheet for each table and drop-down lists; returns the file.

    Raises
    ------
    CannotGoOnError
        When a record sheet of any kind stands there already, or the folder cannot be written.
    """
    _refuse_overwriting(folder)
    file = folder / WORKBOOK
    try:
        folder.mkdir(parents=True, exist_ok=True)
        file.write_bytes(_workbook())
    except OSError as error:
        raise CannotGoOnError(f"{folder} cannot be written ({error.strerror}); choose another folder") from error
    return file


def blank_rows(table: Table) -> list[list[str]]:
    """The rows of a blank sheet: headings, help, units, example; for the settings, one line each after them."""
    first, *others = table.columns
    rows = [
        [column.name for column in table.columns],
        [f"{HELP} {first.help}", *(column.help for column in others)],
        [f"{UNIT} {holds(first)}", *(holds(column) for column in others)],
        example_cells(table),
    ]
    if table.name == "settings":
        rows.extend([name, "", f"{s.column.help} Default: {s.default or 'none'}."] for name, s in SETTINGS.items())
    return rows


def holds(column: Column) -> str:
    """What a column holds, in a few words: its words, its unit, or its kind.

    Examples
    --------
    >>> from kit.records.tables import TABLES
    >>> holds(TABLES["treatments"].column("seal")), holds(TABLES["apiaries"].column("drive_min"))
    ('good / fair / poor', 'min')
    """
    if column.kind == "word":
        return " / ".join(column.words)
    kinds = {
        "whole": "whole number",
        "number": "number",
        "clock": "HH:MM",
        "did": "words; words",
        "trays": "numbers; words",
    }
    return column.unit or kinds.get(column.kind, column.kind)


def _refuse_overwriting(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise CannotGoOnError(f"{folder} is a file; give a folder")
    there = [f.name for f in sorted(folder.iterdir()) if _is_sheet(f)] if folder.is_dir() else []
    if there:
        raise CannotGoOnError(f"{folder} holds record sheets already ({', '.join(there[:3])}); nothing was written")


def _is_sheet(file: Path) -> bool:
    return file.name == WORKBOOK or (file.suffix.casefold() == ".csv" and table_named(file.stem) is not None)


def _csv(table: Table) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(blank_rows(table))
    return text.getvalue()


def _workbook() -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": _MADE, "title": "Record sheets"})
    looks = {
        "heading": book.add_format({"bold": True, "bg_color": "#DDE6ED", "border": 1}),
        "said": book.add_format({"italic": True, "text_wrap": True, "valign": "top", "font_color": "#333333"}),
        "date": book.add_format({"num_format": "yyyy-mm-dd"}),
        "text": book.add_format({"num_format": "@"}),
        "number": book.add_format(),
    }
    for table in TABLES.values():
        _sheet(book.add_worksheet(table.name), table, looks)
    book.close()
    return out.getvalue()


def _sheet(sheet: Any, table: Table, looks: dict[str, Any]) -> None:
    for n, column in enumerate(table.columns):
        look = column.kind if column.kind in {"date", "number"} else "number" if column.kind == "whole" else "text"
        sheet.set_column(n, n, max(14, min(40, len(column.help) // 3)), looks[look])
        _limit(sheet, n, column)
    for at, row in enumerate(blank_rows(table)):
        look = looks["heading"] if at == 0 else looks["said"] if at < _FIRST_DATA_ROW else looks["text"]
        for n, text in enumerate(row):
            sheet.write_string(at, n, text, look) if text else sheet.write_blank(at, n, None, look)
    sheet.freeze_panes(_FIRST_DATA_ROW, 1)


def _limit(sheet: Any, n: int, column: Column) -> None:
    """A drop-down list on a column of words, and of ids of another sheet; anything else may still be typed.

    Only where the list is whole by itself a warning comes first: products, gear and colonies need not be listed.
    """
    listed: list[str] | str = list(column.words)
    if column.kind == "id" and column.names:
        listed = f"={column.names}!$A${_FIRST_DATA_ROW + 1}:$A${LAST_ROW}"
    elif column.kind != "word" or len(",".join(column.words)) > LONGEST_LIST:
        return
    rule = {"validate": "list", "source": listed, "error_type": "warning", "ignore_blank": True}
    rule["show_error"] = column.kind == "word" or column.names == "apiaries"
    sheet.data_validation(_FIRST_DATA_ROW, n, LAST_ROW - 1, n, rule)
