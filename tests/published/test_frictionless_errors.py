"""What a reader of tables must catch: the error classes of the Frictionless Framework as a checklist.

Source: frictionlessdata/frictionless-py, `frictionless/errors/` (file, header, label, row, cell, table), names as
published there. Each class has a sheet that commits it and what is said about it; or the reason why it cannot occur.
"""

from datetime import date
from pathlib import Path

import pytest

from kit.errors import CannotGoOnError
from kit.records.load import load

TODAY = date(2026, 6, 1)
COUNTS = "date,apiary,method,mites,days,notes\n"
ROW = "2025-08-02,A,board,14,7,\n"
BASE = {"settings": "setting,value\nseason_start,2025-04-01\n", "apiaries": "apiary,name\nA,Far Meadow\n"}

CAUGHT: dict[str, tuple[dict[str, str | bytes], str]] = {
    "encoding-error": ({"counts": (COUNTS + "2025-08-02,A,board,14,7,K\xe4fer\n").encode("cp1252")}, ""),
    "blank-header": ({"counts": ",,,,\n" + ROW}, "no headings were found"),
    "extra-label": ({"counts": COUNTS.strip() + ",moon\n" + ROW.strip() + ",full\n"}, "not a documented column"),
    "missing-label": ({"counts": "apiary,method,mites,days\nA,board,14,7\n"}, "there is no column date"),
    "blank-label": (
        {"counts": "date,apiary,method,mites,days,\n2025-08-02,A,board,14,7,x\n"},
        "a cell under no heading",
    ),
    "duplicate-label": ({"counts": COUNTS.strip() + ",mites\n" + ROW.strip() + ",9\n"}, "a second column for mites"),
    "incorrect-label": ({"counts": COUNTS.replace("mites", "mights") + ROW}, "not a documented column"),
    "primary-key": ({"gear": "item,kind\nB1,battery\nb1,battery\n"}, "an item of this id is listed above"),
    "foreign-key": ({"counts": COUNTS + ROW.replace(",A,", ",B,")}, "no apiary 'B' in the apiaries sheet"),
    "duplicate-row": ({"counts": COUNTS + ROW + ROW}, "the same line stands above"),
    "row-constraint": ({"log": "date,apiary,standing,done\n2025-08-02,A,10,12\n"}, "more hives treated than the 10"),
    "extra-cell": ({"counts": COUNTS + ROW.strip() + ",,more\n"}, "a cell under no heading"),
    "missing-cell": ({"counts": COUNTS + "2025-08-02,A\n"}, "not recorded; the row is set aside"),
    "type-error": ({"counts": COUNTS + ROW.replace("14", "lots")}, "not a number"),
    "constraint-error": ({"counts": COUNTS + ROW.replace("14", "-3")}, "mites must be between 0"),
    "unique-error": ({"apiaries": "apiary\nA\nA\n"}, "this apiary is listed above"),
    "truncated-value": ({"counts": COUNTS + ROW.strip() + "x" * 255 + "\n"}, "may have been cut off"),
    "forbidden-value": ({"counts": COUNTS + ROW.replace("board", "plank")}, "a word the kit does not know"),
    "deviated-value": ({"counts": COUNTS + ROW.replace("2025", "2205")}, "the date must lie between"),
    "required-value": ({"counts": COUNTS + ROW.replace("2025-08-02", "")}, "not recorded; the row is set aside"),
}
REFUSED: dict[str, tuple[dict[str, str | bytes], str]] = {
    "source-error": ({}, "holds none of the record sheets"),
    "scheme-error": ({"": ""}, "there is no folder"),
    "format-error": ({"counts": b"PK\x03\x04"}, "is a workbook, not a CSV file"),
    "compression-error": ({"records.xlsx": b"PK\x03\x04 no more"}, "cannot be read as a workbook"),
}
CANNOT_OCCUR = {
    "hash-count": "no file comes with a promised hash",
    "byte-count": "no file comes with a promised size",
    "field-count": "columns may be added freely; their number is not promised",
    "row-count": "no number of rows is promised; that none is lost is proven on every run (kit.records.account)",
    "table-dimensions": "no size is promised",
    "sequential-value": "no column of the records counts upwards",
    "ascii-value": "names and notes may hold any letters",
    "deviated-cell": "notes may be of any length",
}
PUBLISHED = """
source-error scheme-error format-error encoding-error compression-error hash-count byte-count
field-count row-count table-dimensions deviated-value deviated-cell required-value
blank-header extra-label missing-label blank-label duplicate-label incorrect-label
blank-row primary-key foreign-key duplicate-row row-constraint
extra-cell missing-cell type-error constraint-error unique-error truncated-value forbidden-value sequential-value
ascii-value
"""
"""Every class that stands for one thing wrong in data; the general ones above them are left out."""


def _write(folder: Path, sheets: dict[str, str | bytes]) -> Path:
    for name, text in sheets.items():
        file = folder / (name if "." in name else f"{name}.csv")
        file.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return folder


def test_every_published_class_is_on_the_list() -> None:
    assert {*CAUGHT, *REFUSED, *CANNOT_OCCUR, "blank-row"} == set(PUBLISHED.split())


@pytest.mark.parametrize("name", CAUGHT)
def test_it_is_caught_and_the_rest_is_read(name: str, tmp_path: Path) -> None:
    sheets, words = CAUGHT[name]
    records = load(_write(tmp_path, {**BASE, **sheets}), today=TODAY)
    told = records.problems["problem"].tolist()
    assert any(words in problem for problem in told) or not words
    if name == "encoding-error":
        assert records.tables["counts"]["notes"].tolist() == ["K\xe4fer"]  # read in the encoding it is in


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_in_one_sentence(name: str, tmp_path: Path) -> None:
    sheets, words = REFUSED[name]
    folder = tmp_path / "nowhere" if "" in sheets else _write(tmp_path, sheets)
    with pytest.raises(CannotGoOnError, match=words):
        load(folder, today=TODAY)


def test_a_blank_row_is_left_out_and_the_rows_below_keep_their_numbers(tmp_path: Path) -> None:
    folder = _write(tmp_path, {**BASE, "counts": COUNTS + ",,,,,\n\n" + ROW + ROW.replace("14", "x")})
    records = load(folder, today=TODAY)
    assert records.tables["counts"]["from_row"].tolist() == [4] and records.problems["row"].dropna().tolist() == [5, 5]
