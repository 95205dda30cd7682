"""One operation reads the same from CSV files, an xlsx and an ods, in any of the encodings and separators."""

import io
import zipfile
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from kit.errors import CannotGoOnError
from kit.records.load import load
from kit.records.records import Records
from kit.records.sheets import new_folder, new_workbook

SHEETS: dict[str, list[list[str]]] = {
    "settings": [["setting", "value"], ["season_start", "2025-04-01"], ["keeper", "Zoë Müller"]],
    "apiaries": [["Apiary", "Name", "Drive (min)"], ["A1", "Über Ridge", "12.5"], ["007", "Seven", "3"]],
    "log": [
        ["date", "apiary", "did", "standing"],
        ["2025-08-02", "A1", "heads", "12"],
        ["2025-08-03", "007", "look", ""],
    ],
    "counts": [
        ["date", "apiary", "method", "mites", "days"],
        ["2025-08-02", "A1", "board", "14", "7"],
        ["2025-08-32", "A1", "board", "14", "7"],
    ],
}
TODAY = date(2026, 6, 1)
LOCKED = Path(__file__).with_name("locked.xlsx")
"""A workbook encrypted with the password `secret` by msoffcrypto-tool, as a spreadsheet program does it."""


def bomb() -> bytes:
    """A zip of a few hundred kilobytes that would unpack to 640 MB."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parts, parts.open("xl/sheet.xml", "w") as part:
        for _ in range(640):
            part.write(b"0" * 1_000_000)
    return out.getvalue()


def write_csv(folder: Path, encoding: str = "utf-8", separator: str = ",") -> Path:
    folder.mkdir()
    for name, rows in SHEETS.items():
        text = "\r\n".join(separator.join(row) for row in rows)
        (folder / f"{name}.csv").write_bytes(text.encode(encoding))
    return folder


def write_xlsx(folder: Path) -> Path:
    """As a spreadsheet program keeps it: dates as dates, whole numbers as floats, ids with zeros as text."""
    folder.mkdir()
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in SHEETS.items():
        sheet = book.create_sheet(name.title())
        for row in rows:
            sheet.append([_native(text) for text in row])
    book.save(folder / "records.xlsx")
    return folder


def _native(text: str) -> object:
    try:
        return datetime.fromisoformat(text) if len(text) == 10 else text if text.startswith("0") else float(text)
    except ValueError:
        return text or None


def write_ods(folder: Path) -> Path:
    folder.mkdir()
    document = OpenDocumentSpreadsheet()
    for name, rows in SHEETS.items():
        sheet = Table(name=name)
        for row in rows:
            line = TableRow()
            for text in row:
                line.addElement(_ods_cell(text))
            sheet.addElement(line)
        document.spreadsheet.addElement(sheet)
    document.save(str(folder / "records.ods"))
    return folder


def _ods_cell(text: str) -> TableCell:
    native = _native(text)
    if isinstance(native, datetime):
        cell = TableCell(valuetype="date", datevalue=text)
    elif isinstance(native, float):
        cell = TableCell(valuetype="float", value=native)
    else:
        cell = TableCell(valuetype="string")
    cell.addElement(P(text=text))
    return cell


def same(one: Records, other: Records) -> None:
    """Equal but for the name of the file."""
    for name, table in one.tables.items():
        pd.testing.assert_frame_equal(table.drop(columns="from_file"), other.tables[name].drop(columns="from_file"))
    pd.testing.assert_frame_equal(
        one.account.sort_values("table", ignore_index=True), other.account.sort_values("table", ignore_index=True)
    )
    shared = ["row", "column", "problem", "remedy"]
    pd.testing.assert_frame_equal(one.problems[shared], other.problems[shared])
    assert one.settings == other.settings


@pytest.mark.parametrize("write", [write_xlsx, write_ods])
def test_a_workbook_written_by_another_library_reads_as_the_csv_files_do(tmp_path: Path, write: object) -> None:
    plain = load(write_csv(tmp_path / "csv"), today=TODAY)
    same(plain, load(write(tmp_path / "book"), today=TODAY))  # type: ignore[operator]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_every_encoding_and_separator_reads_alike(tmp_path: Path, encoding: str, separator: str) -> None:
    plain = load(write_csv(tmp_path / "plain"), today=TODAY)
    same(plain, load(write_csv(tmp_path / "other", encoding, separator), today=TODAY))


def test_a_workbook_may_be_named_itself(tmp_path: Path) -> None:
    folder = write_xlsx(tmp_path / "book")
    same(load(folder, today=TODAY), load(folder / "records.xlsx", today=TODAY))


def test_a_sheet_that_stands_twice_stops_the_run(tmp_path: Path) -> None:
    folder = write_xlsx(tmp_path / "book")
    (folder / "log.csv").write_text("date,apiary\n")
    with pytest.raises(CannotGoOnError, match=r"log stands both in .* keep one"):
        load(folder, today=TODAY)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda folder: None, "there is no folder"),
        (lambda folder: folder.mkdir(), "none of the record sheets"),
        (lambda folder: _put(folder, "records.xlsx", b"hello"), "cannot be read as a workbook"),
        (lambda folder: _put(folder, "records.xlsx", b"PK\x03\x04" + b"x" * 60), "cannot be read as a workbook"),
        (lambda folder: _put(folder, "records.xlsx", LOCKED.read_bytes()), "protected by a password"),
        (lambda folder: _put(folder, "records.xlsx", bomb()), "would unpack to"),
        (lambda folder: _put(folder, "log.csv", b"PK\x03\x04xx"), "is a workbook, not a CSV file"),
        (lambda folder: _put(folder, "holiday.csv", b"a,b\n1,2\n"), "none of the record sheets"),
    ],
)
def test_what_cannot_be_read_at_all_is_one_clear_sentence(tmp_path: Path, make: object, said: str) -> None:
    folder = tmp_path / "records"
    make(folder)  # type: ignore[operator]
    with pytest.raises(CannotGoOnError, match=said) as caught:
        load(folder, today=TODAY)
    assert "\n" not in str(caught.value)


def _put(folder: Path, name: str, data: bytes) -> None:
    folder.mkdir()
    (folder / name).write_bytes(data)


def test_sheets_of_another_name_are_listed_and_not_read(tmp_path: Path) -> None:
    folder = write_csv(tmp_path / "csv")
    (folder / "treatmnts.csv").write_text("date,apiary\n2025-01-01,A1\n")
    problems = load(folder, today=TODAY).problems
    row = problems[problems["file"] == "treatmnts.csv"].iloc[0]
    assert pd.isna(row["row"]) and row["remedy"] == 'did you mean "treatments"?'


def test_a_folder_without_settings_reads_with_every_default_and_says_so(tmp_path: Path) -> None:
    folder = write_csv(tmp_path / "csv")
    (folder / "settings.csv").unlink()
    records = load(folder, today=TODAY)
    assert records.given == frozenset()
    assert records.season.label == 2025
    assert "default" in records.problems.loc[records.problems["file"] == "settings", "problem"].item()


def test_an_empty_file_and_a_heading_alone_are_fine(tmp_path: Path) -> None:
    folder = write_csv(tmp_path / "csv")
    (folder / "visits.csv").write_bytes(b"")
    (folder / "treatments.csv").write_text("date,apiary,treatment\n")
    account = load(folder, today=TODAY).account.set_index("table")
    assert account.loc[["visits", "treatments"], "rows"].tolist() == [0, 0]


@pytest.mark.parametrize("make", [new_folder, new_workbook])
def test_blank_sheets_read_back_clean_and_are_never_overwritten(tmp_path: Path, make: object) -> None:
    make(tmp_path / "new")  # type: ignore[operator]
    records = load(tmp_path / "new", today=TODAY)
    assert records.problems.empty
    assert records.account.loc[records.account["table"] != "settings", "rows"].sum() == 0
    assert records.given == frozenset()
    with pytest.raises(CannotGoOnError, match="already"):
        new_folder(tmp_path / "new")
    with pytest.raises(CannotGoOnError, match="already"):
        new_workbook(tmp_path / "new")


def test_an_example_line_that_was_written_over_is_reported(tmp_path: Path) -> None:
    new_folder(tmp_path / "new")
    log = tmp_path / "new" / "log.csv"
    log.write_text(log.read_text(encoding="utf-8-sig").replace("MEADOW,self", "RIDGE,Jo"), encoding="utf-8")
    problems = load(tmp_path / "new", today=TODAY).problems
    assert problems["problem"].str.contains("#example").tolist() == [True]


def test_an_apiary_whose_id_begins_with_a_hash_stays_data(tmp_path: Path) -> None:
    folder = write_csv(tmp_path / "csv")
    (folder / "apiaries.csv").write_text("apiary,name\n#12,Twelve\nA1,One\n007,Seven\n")
    assert load(folder, today=TODAY).apiaries == ("#12", "A1", "007")
