"""Seeded damage to record sheets, class by class, and what the kit makes of each."""

from __future__ import annotations

import csv
import io
import random
import re
import shutil
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import openpyxl
import pandas as pd

from kit.errors import KitError
from kit.records.account import check_text
from kit.records.csv_text import decode
from kit.records.load import load

ROWS = 14
"""Rows kept of each demo sheet, so that thousands of damaged copies can be read."""
TODAY = date(2026, 6, 1)
FORMULAS = ("=1+1", "=cmd|'/C calc'!A0", "@SUM(A1)", "+1+cmd", "-2+3+cmd", "\t=1", '=HYPERLINK("http://x","y")')
STRANGE = (
    "",
    " ",
    "NaN",
    "None",
    "null",
    "0",
    "-0",
    "1e999",
    "٣",
    "½",
    "12:30",
    "TRUE",
    "x" * 40,
    "𝟙",
    "\u202e21",
    "'",
)

Sheets = dict[str, list[list[str]]]
Told = frozenset[tuple[int, str, str]]
Chance = random.Random


class Outcome(NamedTuple):
    """What became of one damaged folder.

    Parameters
    ----------
    how : str
        read (nothing more to say than of the undamaged sheets), told (read, and said what is wrong), refused (one
        sentence and exit code 2), or a fault.
    messages : tuple of str
        What was said, figures and quoted words taken out.
    """

    how: str
    messages: tuple[str, ...] = ()


def demo_sheets(demo: Path) -> Sheets:
    """The first rows of each sheet of a demo, as the csv module reads them."""
    found = {}
    for file in sorted(demo.glob("*.csv")):
        text = decode(file.read_bytes()).replace("\r\n", "\n")
        dialect = ";" if text.splitlines()[0].count(";") > text.splitlines()[0].count(",") else ","
        found[file.stem] = list(csv.reader(io.StringIO(text), delimiter=dialect))[: ROWS + 1]
    return found


def write(sheets: Sheets, folder: Path) -> None:
    for name, rows in sheets.items():
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(rows)
        (folder / f"{name}.csv").write_text(out.getvalue(), encoding="utf-8", newline="")


def _cell(sheets: Sheets, chance: Chance, *, head: bool = False) -> tuple[list[list[str]], int, int]:
    rows = sheets[chance.choice(sorted(sheets))]
    row = 0 if head else chance.randrange(1, len(rows))
    return rows, row, chance.randrange(len(rows[row]))


def swapped(sheets: Sheets, chance: Chance) -> None:
    for _ in range(chance.randint(1, 6)):
        rows, row, column = _cell(sheets, chance)
        other, other_row, other_column = _cell(sheets, chance)
        rows[row][column], other[other_row][other_column] = other[other_row][other_column], rows[row][column]


def strange(sheets: Sheets, chance: Chance) -> None:
    for _ in range(chance.randint(1, 8)):
        rows, row, column = _cell(sheets, chance)
        rows[row][column] = chance.choice(STRANGE)


def huge(sheets: Sheets, chance: Chance) -> None:
    rows, row, column = _cell(sheets, chance)
    rows[row][column] = chance.choice("x9,; ") * chance.choice((1_000, 70_000, 400_000))


def formulas(sheets: Sheets, chance: Chance) -> None:
    for _ in range(chance.randint(1, 5)):
        rows, row, column = _cell(sheets, chance)
        rows[row][column] = chance.choice(FORMULAS)


def wide(sheets: Sheets, chance: Chance) -> None:
    rows = sheets[chance.choice(sorted(sheets))]
    for n, row in enumerate(rows):
        row.extend((f"own {k}" if n == 0 else str(k)) for k in range(300))


def ragged(sheets: Sheets, chance: Chance) -> None:
    for _ in range(chance.randint(1, 5)):
        rows, row, column = _cell(sheets, chance)
        rows[row] = rows[row][:column] if chance.random() < 0.5 and column else [*rows[row], "more", "and more"]


def headers(sheets: Sheets, chance: Chance) -> None:
    rows, _, column = _cell(sheets, chance, head=True)
    what = chance.randrange(4)
    if what == 0:
        rows[0][column] = ""
    elif what == 1:
        rows[0] = ["" for _ in rows[0]]
    elif what == 2:
        rows[0][column] = rows[0][chance.randrange(len(rows[0]))]
    else:
        chance.shuffle(rows[0])


def doubled(sheets: Sheets, chance: Chance) -> None:
    rows, row, _ = _cell(sheets, chance)
    rows.extend([list(rows[row]) for _ in range(chance.randint(1, 4))])


CELLS: dict[str, Callable[[Sheets, Chance], None]] = {
    "cells swapped": swapped, "strange cells": strange, "huge cells": huge, "formula injection": formulas,
    "300-column sheets": wide, "ragged rows": ragged, "headers deleted, doubled, shuffled": headers,
    "rows doubled": doubled,
}  # fmt: skip
"""Damage to cells: every row is still there to be counted."""


def truncated(data: bytes, chance: Chance) -> bytes:
    return data[: chance.randrange(len(data))]


def nuls(data: bytes, chance: Chance) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + b"\0" * chance.randint(1, 50) + data[at:]


def noise(data: bytes, chance: Chance) -> bytes:
    out = bytearray(data)
    for _ in range(chance.randint(1, 12)):
        out[chance.randrange(len(out))] = chance.randrange(256)
    return bytes(out)


def encodings(data: bytes, chance: Chance) -> bytes:
    text = data.decode("utf-8")
    return text.encode(chance.choice(("utf-16", "utf-8-sig", "cp1252", "utf-16-le", "cp437", "utf-32")), "replace")


def only_noise(data: bytes, chance: Chance) -> bytes:
    return chance.randbytes(chance.choice((0, 1, 200, 20_000)))


BYTES: dict[str, Callable[[bytes, Chance], bytes]] = {
    "truncated files": truncated, "NUL bytes": nuls, "random bytes": noise, "other encodings": encodings,
    "nothing but noise": only_noise,
}  # fmt: skip
"""Damage to the bytes of a CSV file."""


def book_truncated(file: Path, chance: Chance) -> None:
    file.write_bytes(truncated(file.read_bytes(), chance))


def book_noise(file: Path, chance: Chance) -> None:
    file.write_bytes(noise(file.read_bytes(), chance))


def _replace_part(file: Path, name: str, change: Callable[[bytes], bytes]) -> None:
    with zipfile.ZipFile(file) as old:
        parts = {part: old.read(part) for part in old.namelist()}
    parts[name] = change(parts.get(name, b""))
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for part, data in parts.items():
            new.writestr(part, data)


def bomb(file: Path, chance: Chance) -> None:
    """A part that unpacks to far more than it weighs: one that is refused by its size, or one just below."""
    size = chance.choice((50_000_000, 700_000_000))
    with (
        zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED, compresslevel=1) as book,
        book.open("xl/more.bin", "w") as part,
    ):
        for _ in range(size // 10_000_000):
            part.write(b"\0" * 10_000_000)


def entities(file: Path, chance: Chance) -> None:
    """Entities that double at every step."""
    part = chance.choice(("xl/workbook.xml", "xl/worksheets/sheet1.xml"))
    steps = "".join(f'<!ENTITY e{n + 1} "&e{n};&e{n};">' for n in range(40))
    head = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e0 "boom">{steps}]>'.encode()
    _replace_part(file, part, lambda data: head + re.sub(rb"<\?xml.*?\?>", b"", data).replace(b"</", b"&e40;</", 1))


def cycles(file: Path, chance: Chance) -> None:
    book = openpyxl.load_workbook(file)
    sheet = book[chance.choice(book.sheetnames)]
    sheet["B2"], sheet["C2"], sheet["A3"] = "=C2", "=B2", "=A3"
    book.save(file)


def errors(file: Path, chance: Chance) -> None:
    book = openpyxl.load_workbook(file)
    sheet = book[chance.choice(book.sheetnames)]
    for _ in range(3):
        cell = sheet.cell(chance.randint(2, ROWS), chance.randint(1, max(sheet.max_column, 1)))
        cell.value = chance.choice(("#N/A", "#REF!", "#DIV/0!"))
        cell.data_type = "e"
    book.save(file)


def part_missing(file: Path, chance: Chance) -> None:
    with zipfile.ZipFile(file) as old:
        parts = {part: old.read(part) for part in old.namelist()}
    del parts[chance.choice(sorted(parts))]
    with zipfile.ZipFile(file, "w") as new:
        for part, data in parts.items():
            new.writestr(part, data)


BOOKS: dict[str, Callable[[Path, Chance], None]] = {
    "workbook truncated": book_truncated, "workbook with random bytes": book_noise, "zip bomb": bomb,
    "entity bomb": entities, "cyclic references": cycles, "error cells": errors, "workbook lacks a part": part_missing,
}  # fmt: skip
"""Damage to a workbook."""

CLASSES = (*CELLS, *BYTES, *BOOKS)


def damage(kind: str, chance: Chance, sheets: Sheets, book: Path, folder: Path) -> Counter[str] | None:
    """Write a damaged copy of the sheets; the rows that must be counted by table, None where that cannot be known."""
    copy = {name: [list(row) for row in rows] for name, rows in sheets.items()}
    if kind in BOOKS:
        shutil.copy(book, folder / "records.xlsx")
        BOOKS[kind](folder / "records.xlsx", chance)
        return None
    if kind in CELLS:
        CELLS[kind](copy, chance)
        write(copy, folder)
        filled = {name: sum(any(cell.strip() for cell in row) for row in rows[1:]) for name, rows in copy.items()}
        return Counter(filled) if kind != "headers deleted, doubled, shuffled" else None
    write(copy, folder)
    file = folder / f"{chance.choice(sorted(copy))}.csv"
    file.write_bytes(BYTES[kind](file.read_bytes(), chance))
    return Counter({name: len(rows) - 1 for name, rows in copy.items() if name != file.stem})


def outcome(folder: Path, expected: Counter[str] | None, usual: Told = frozenset()) -> Outcome:
    """Read a folder and word all that `season check` says; a traceback, a lost row or an empty sentence is a fault.

    `usual` is what is said of the undamaged sheets.
    """
    try:
        records = load(folder, today=TODAY)
        said = check_text(records)
    except KitError as error:
        return _refusal(str(error))
    except Exception as error:
        return Outcome(f"fault: {type(error).__name__}: {error}"[:200])
    fresh = told(records.problems) - usual
    messages = tuple(_plain(problem) for _, _, problem in fresh)
    wrong = "fault: nan or NaT in what is said" if re.search(r"\b(nan|NaT|NA)\b", said.partition("Settings")[0]) else ""
    return _fault(records.problems, records.account, expected) or Outcome(
        wrong or ("told" if fresh else "read"), messages
    )


def told(problems: pd.DataFrame) -> Told:
    """What is said, where; the file is left out, since a workbook's sheets are called otherwise."""
    rows = problems["row"].fillna(0).astype(int)
    return frozenset(zip(rows, problems["column"], problems["problem"], strict=True))


def _refusal(text: str) -> Outcome:
    if len(text.strip().splitlines()) != 1 or "Traceback" in text or ";" not in text:
        return Outcome(f"fault: not one sentence with what to do: {text[:120]!r}")
    return Outcome("refused", (_plain(text),))


def _fault(problems: pd.DataFrame, account: pd.DataFrame, expected: Counter[str] | None) -> Outcome | None:
    if (problems[["file", "problem", "remedy"]] == "").any(axis=None):
        return Outcome("fault: a problem without its place, its reason or what to do")
    rows = Counter(dict(zip(account["table"], account["rows"], strict=True)))
    if (account["rows"] != account["used"] + account["set_aside"] + account["later"]).any():
        return Outcome("fault: rows do not add up")
    said = " ".join(problems["problem"])
    lost = [name for name, count in (expected or {}).items() if rows[name] != count]
    if lost and "headings" not in said and "quotation" not in said:
        return Outcome(f"fault: rows lost or made in {lost}: {[(rows[n], (expected or {})[n]) for n in lost]}")
    return None


def _plain(text: str) -> str:
    """A message without the words and figures of the case."""
    return re.sub(r"\d[\d.,:-]*", "0", re.sub(r"'[^']*'|\"[^\"]*\"", "…", text))[:110]


def runs(count: int, seed: int) -> Iterator[tuple[str, Chance]]:
    """So many damages, the classes in turn, each with a stream of its own."""
    for n in range(count):
        yield CLASSES[n % len(CLASSES)], random.Random(f"{seed} {n}")
