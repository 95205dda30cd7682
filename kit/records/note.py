"""`season note`: spoken lines checked and added to `log.csv`; no other line of it is touched."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Mapping, Sequence
from contextlib import nullcontext
from datetime import date
from pathlib import Path
from typing import NamedTuple

from kit.errors import CannotGoOnError
from kit.records.append import append, locked, write_whole
from kit.records.csv_text import Split, decode, encoding_of, split
from kit.records.files import CSV_SUFFIXES, read_sheet, table_named
from kit.records.formulas import guarded
from kit.records.headings import Headings, find_headings, matched
from kit.records.load import load
from kit.records.note_words import LOG, Known, Noted, read_note
from kit.records.places import Places
from kit.records.settings import read_settings
from kit.records.tables import TABLES
from kit.records.typed import Typed, Ways, spans, type_sheet
from kit.records.workbook import SUFFIXES

BACKUP = "backup"
"""Folder, beside the sheets, of the log as it stood before the first note of each day."""


class Said(NamedTuple):
    """What became of one line.

    Parameters
    ----------
    line : str
        As it was given.
    row : int
        Its row in the log as a spreadsheet numbers it; 0 when it does not stand there.
    stored : str
        The cells as they are stored, "" when refused.
    wrong : str
        Why it was refused, or that it stood there before; "" when written, or held back for another's sake.
    """

    line: str
    row: int
    stored: str
    wrong: str

    @property
    def refused(self) -> bool:
        """Whether the line was not understood, or does not fit into this log."""
        return not self.row and bool(self.wrong)


class _Log(NamedTuple):
    """The log as it stands: its rows, its headings, and the way it is written."""

    file: Path
    data: bytes
    text: Split
    headings: Headings
    line_end: str
    encoding: str
    whole: bool

    @classmethod
    def of(cls, file: Path) -> _Log:
        data = file.read_bytes() if file.exists() else _no_lines()
        text = decode(data)
        rows = split(text, lambda cells: matched(cells, LOG))
        line_end = "\r\n" if "\r\n" in text[:4000] else "\n"
        headings = find_headings(rows.rows, LOG)
        return cls(file, data, rows, headings, line_end, encoding_of(data), text.endswith(("\n", "\r")) or not text)

    def row_of(self, cells: Mapping[str, str]) -> list[str]:
        """The cells in the order of this file's columns."""
        lacking = [name for name in cells if name not in self.headings.names]
        if lacking:
            which, it = (
                (f"column {lacking[0]}", "it") if len(lacking) == 1 else (f"columns {', '.join(lacking)}", "them")
            )
            remedy = f"add {it} at the end of the heading line, or leave that part out"
            raise CannotGoOnError(f"{self.file.name} has no {which}; {remedy}")
        return [cells.get(name, "") for name in self.headings.names]

    def encoded(self, rows: Sequence[list[str]]) -> bytes:
        """Rows as this file would hold them."""
        out = io.StringIO()
        writer = csv.writer(out, delimiter=self.text.separator, lineterminator=self.line_end)
        writer.writerows([guarded(cell) for cell in row] for row in rows)
        try:
            return out.getvalue().encode(self.encoding)
        except UnicodeEncodeError as error:
            wrong = f"{self.file.name} is written in {self.encoding}, which has no {error.object[error.start]!r}"
            raise CannotGoOnError(f"{wrong}; leave it out, or save the file as UTF-8") from error


def note(folder: Path, lines: Sequence[str], *, today: date, write: bool = True) -> list[Said]:
    """Check lines and add all of them to the log at once, or none when one of them is refused.

    A line that stands in the log already is no refusal: a batch may be given again.

    Parameters
    ----------
    folder : Path
        The record sheets; a `log.csv` is begun when there is none.
    lines : sequence of str
        As spoken; see `kit.records.note_words`.
    today : date
        The day of writing.
    write : bool
        Whether to write, or only to say what would be stored.

    Raises
    ------
    CannotGoOnError
        When the log is no CSV file, stands open in another program, or cannot be written; nothing is written then.
    """
    file = _log_of(folder)
    known = _known(folder, today)
    try:
        with locked(file) if write else nullcontext():
            log = _Log.of(file)
            said, rows = _check(log, lines, known)
            if any(one.refused for one in said):
                return [one if one.wrong else one._replace(row=0) for one in said]
            if rows and write:
                _write(log, rows, today)
    except OSError as error:
        wrong = f"{file.name} cannot be written ({error.strerror or error})"
        raise CannotGoOnError(f"{wrong}; nothing was written, the log is as it was") from error
    return said


def doubts(folder: Path, rows: Collection[int], *, today: date) -> dict[int, list[str]]:
    """What is doubtful in some rows of the log, read with all other sheets; rows without a doubt are left out.

    Raises
    ------
    CannotGoOnError
        When the sheets cannot be read together.
    """
    problems = load(folder, as_of=today, today=today).problems
    mine = problems[(problems["file"] == _log_of(folder).name) & problems["row"].isin(list(rows))]
    found: dict[int, list[str]] = {}
    for row in mine.to_dict("records"):
        found.setdefault(int(row["row"]), []).append(f"{row['problem']}; {row['remedy']}")
    return found


def spoken_lines(file: Path) -> dict[int, str]:
    """The lines of a text file by their number from 1, blank ones left out.

    Raises
    ------
    CannotGoOnError
        When it cannot be read.
    """
    try:
        lines = decode(file.read_bytes()).splitlines()
        return {number: line.strip() for number, line in enumerate(lines, start=1) if line.strip()}
    except OSError as error:
        raise CannotGoOnError(f"{file} cannot be read ({error.strerror}); nothing was written") from error


def _check(log: _Log, lines: Sequence[str], known: Known) -> tuple[list[Said], list[list[str]]]:
    """What is to be said of each line, and the rows to be written."""
    there = {tuple(row): n for n, row in enumerate(log.text.rows, start=1)}
    said: list[Said] = []
    rows: list[list[str]] = []
    for line in lines:
        noted = read_note(line, known)
        row, wrong = _fitted(log, noted)
        if row and tuple(row) in there:
            wrong = f"stands already as row {there[tuple(row)]}; it is not added again"
        elif row:
            rows.append(row)
            there[tuple(row)] = len(log.text.rows) + len(rows)
        said.append(Said(line, there.get(tuple(row), 0), _shown(noted.cells) if row else "", wrong))
    return said, rows


def _fitted(log: _Log, noted: Noted) -> tuple[list[str], str]:
    """The row as this file can hold it, or none and why not."""
    if noted.wrong:
        return [], noted.wrong
    try:
        row = log.row_of(noted.cells)
        log.encoded([row])
    except CannotGoOnError as error:
        return [], str(error)
    return row, ""


def _write(log: _Log, rows: Sequence[list[str]], today: date) -> None:
    if not log.file.exists():
        write_whole(log.file, log.data)
    kept = log.file.parent / BACKUP / f"{log.file.stem}-{today}{log.file.suffix}"
    if not kept.exists():
        kept.parent.mkdir(exist_ok=True)
        write_whole(kept, log.data)
    before = b"" if log.whole else log.line_end.encode(log.encoding)
    append(log.file, before + log.encoded(rows))


def _log_of(folder: Path) -> Path:
    if not folder.is_dir():
        raise CannotGoOnError(f"there is no folder {folder}; give the folder that holds your log.csv")
    files = sorted(folder.iterdir())
    logs = [f for f in files if f.suffix.casefold() in CSV_SUFFIXES and table_named(f.stem) is LOG]
    books = [f for f in files if f.suffix.casefold() in SUFFIXES and not f.name.startswith(("~$", "."))]
    if books and not logs:
        wrong = f"the records stand in the workbook {books[0].name}, and a note goes into log.csv only"
        raise CannotGoOnError(f"{wrong}; write the line on its sheet log, or save that sheet as log.csv")
    if len(logs) > 1:
        raise CannotGoOnError(f"{folder} holds {logs[0].name} and {logs[1].name}; keep one of them")
    log = logs[0] if logs else folder / "log.csv"
    if (folder / f".~lock.{log.name}#").exists():
        raise CannotGoOnError(f"{log.name} is open in a spreadsheet, which would write over the note; close it first")
    return log


def _known(folder: Path, today: date) -> Known:
    """The apiaries by their sheet, else those that the log names, and the order of dates."""
    sheets = {name: _sheet(folder, name, today) for name in ("settings", "apiaries", "log")}
    order = read_settings(sheets["settings"], []).order if sheets["settings"] else None
    listed = sheets["apiaries"] or sheets["log"]
    if listed is None or listed.frame["apiary"].eq("").all():
        raise CannotGoOnError("no apiary is known; write your apiaries into apiaries.csv, each with its id")
    names = listed.frame["name"] if "name" in listed.table.names else [""] * len(listed.frame)
    return Known(Places(listed.frame["apiary"], names), today, order)


def _sheet(folder: Path, name: str, today: date) -> Typed | None:
    files = [f for f in sorted(folder.iterdir()) if f.suffix.casefold() in CSV_SUFFIXES and table_named(f.stem)]
    file = next((f for f in files if table_named(f.stem) is TABLES[name]), None)
    raw = read_sheet(file, []) if file else None
    return type_sheet(raw, TABLES[name], Ways(None, *spans(today)), []) if raw and len(raw.cells) else None


def _no_lines() -> bytes:
    return (",".join(LOG.names) + "\n").encode("utf-8-sig")


def _shown(cells: Mapping[str, str]) -> str:
    return " · ".join(f"{name} {value}" for name, value in cells.items())
