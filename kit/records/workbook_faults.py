"""What a workbook's reader passes over in silence: error values, formulas never reckoned, merged cells, hidden sheets.

The reader gives an empty cell for an error value and for a formula whose result was not stored. Here the parts of the
file are looked through for both, so that neither is taken for "not recorded" without a word. Files of the older
binary kinds (.xls, .xlsb) cannot be looked through so.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

_REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(rb'<c r="([A-Z]{1,3})(\d+)"([^>]*?)>(.*?)</c>', re.DOTALL)
_STORED = re.compile(rb"<v[^>]*>(.+?)</v>", re.DOTALL)
_ODS_SHEET = re.compile(rb'<table:table table:name="([^"]*)"(.*?)</table:table>', re.DOTALL)

MEND = "mend the formula, or write the value itself"
RECKON = "open it in a spreadsheet program and save it again, or write the value itself"


class Fault(NamedTuple):
    """One thing that would be lost unseen.

    Parameters
    ----------
    row : int
        Row as the spreadsheet numbers it; 0 for the whole sheet.
    column : str
        Letters of the column.
    value, wrong, remedy : str
        What stands there, what is wrong, what to do.
    """

    row: int
    column: str
    value: str
    wrong: str
    remedy: str


def faults(path: Path) -> dict[str, list[Fault]]:
    """The faults of each sheet by its name; none where the file is of a kind that cannot be looked through."""
    try:
        with zipfile.ZipFile(path) as parts:
            if "content.xml" in parts.namelist():
                return _of_ods(parts.read("content.xml"))
            return {name: list(_of_sheet(parts.read(part))) for name, part in _sheet_parts(parts)}
    except (zipfile.BadZipFile, OSError, KeyError, ElementTree.ParseError, RuntimeError, NotImplementedError):
        return {}  # the reader has read it by its own lights; there is nothing more to say


def _sheet_parts(parts: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """The name of each sheet and the part of the file that holds it."""
    links = ElementTree.fromstring(parts.read("xl/_rels/workbook.xml.rels"))
    targets = {link.get("Id"): str(link.get("Target")) for link in links}
    for sheet in ElementTree.fromstring(parts.read("xl/workbook.xml")).iter():
        target = targets.get(sheet.get(_REL, ""))
        if sheet.tag.endswith("}sheet") and target and "worksheets" in target:
            yield str(sheet.get("name")), target.lstrip("/") if target.startswith("/xl") else f"xl/{target}"


def _of_sheet(xml: bytes) -> Iterator[Fault]:
    if b't="e"' not in xml and b"<f" not in xml:
        return
    for letters, row, attributes, inside in _CELL.findall(xml):
        stored = _STORED.search(inside)
        value = stored[1].decode("utf-8", "replace") if stored else ""
        if b't="e"' in attributes:
            wrong = "an error value of the spreadsheet: read as not recorded"
            yield Fault(int(row), letters.decode(), value, wrong, MEND)
        elif b"<f" in inside and not stored and b't="str"' not in attributes:
            wrong = "a formula whose result was not stored: read as not recorded"
            yield Fault(int(row), letters.decode(), "", wrong, RECKON)


def _of_ods(xml: bytes) -> dict[str, list[Fault]]:
    found: dict[str, list[Fault]] = {}
    for name, inside in _ODS_SHEET.findall(xml):
        count = inside.count(b'value-type="error"')
        if count:
            cells = "a cell holds" if count == 1 else f"{count} cells hold"
            wrong = f"{cells} an error value of the spreadsheet: read as not recorded"
            found[name.decode("utf-8", "replace")] = [Fault(0, "", "", wrong, MEND)]
    return found
