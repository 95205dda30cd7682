"""Workbooks made by openpyxl and by LibreOffice: what their reader passes over is said, blank ones come back blank."""

import csv
import os
import shutil
import subprocess
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH
from openpyxl.worksheet.worksheet import Worksheet

from kit.errors import CannotGoOnError
from kit.records.load import load
from kit.records.records import Records
from kit.records.sheets import blank_rows, new_folder, new_workbook
from kit.records.tables import TABLES

TODAY = date(2026, 6, 1)
HEADS = ["date", "apiary", "did", "standing", "done", "notes"]


def _book(rows: list[list[object]]) -> tuple[openpyxl.Workbook, Worksheet]:
    book = openpyxl.Workbook()
    log = book.active
    assert isinstance(log, Worksheet)
    log.title = "log"
    for row in rows:
        log.append(row)
    places = book.create_sheet("apiaries")
    for row in (["apiary", "name"], ["MEADOW", "Far Meadow"]):
        places.append(row)
    return book, log


def _read(book: openpyxl.Workbook, folder: Path) -> Records:
    book.save(folder / "records.xlsx")
    return load(folder, today=TODAY)


def _told(records: Records, words: str) -> list[tuple[object, str]]:
    rows = records.problems[records.problems["problem"].str.contains(words)]
    return list(zip(rows["row"], rows["column"], strict=True))


def test_an_error_value_is_said_with_its_place_and_read_as_not_recorded(tmp_path: Path) -> None:
    book, log = _book([HEADS, ["2025-09-03", "MEADOW", "look", 12, "#REF!", ""]])
    log["E2"].data_type = "e"
    records = _read(book, tmp_path)
    assert _told(records, "error value") == [(2, "E")] and records.tables["log"]["done"].isna().all()


def test_a_formula_is_read_as_the_value_that_was_stored_with_it(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "records.xlsx")
    log = book.add_worksheet("log")
    log.write_row(0, 0, HEADS)
    log.write_row(1, 0, ["2025-09-03", "MEADOW", "look"])
    log.write_formula(1, 3, "=5+7", value=12)
    log.write_formula(1, 5, '="ca"&"lm"', value="calm")
    book.close()
    records = load(tmp_path, today=TODAY)
    row = records.tables["log"].iloc[0]
    assert (row["standing"], row["notes"]) == (12, "calm") and not _told(records, "formula")


def test_a_formula_whose_result_was_not_stored_is_said(tmp_path: Path) -> None:
    book, _ = _book([HEADS, ["2025-09-03", "MEADOW", "look", "=5+7", 3, ""]])
    assert _told(_read(book, tmp_path), "result was not stored") == [(2, "D")]


def test_a_hidden_sheet_is_read_and_said(tmp_path: Path) -> None:
    book, log = _book([HEADS, ["2025-09-03", "MEADOW", "look", 12, 3, ""]])
    log.sheet_state = "hidden"
    book.active = 1
    records = _read(book, tmp_path)
    assert len(records.tables["log"]) == 1 and len(_told(records, "hidden sheet")) == 1


def test_merged_cells_are_said_and_a_merged_title_is_no_trouble(tmp_path: Path) -> None:
    title: list[object] = ["Our visits of 2025"]
    rows: list[list[object]] = [title, [], HEADS, ["2025-09-03", "MEADOW", "look", 12], ["2025-09-04", "", "look", 11]]
    book, log = _book(rows)
    log.merge_cells("A1:F1")
    log.merge_cells("B4:B5")
    records = _read(book, tmp_path)
    assert _told(records, "merged with the cells down to row 5") == [(4, "B")]
    assert records.tables["log"]["standing"].tolist() == [12]
    assert _told(records, "no apiary is named") == [(5, "apiary")]


def test_headings_in_two_rows_with_cells_merged_down_and_across_are_read(tmp_path: Path) -> None:
    first: list[object] = ["date", "apiary", "did", "Hives", None, "notes"]
    second: list[object] = [None, None, None, "standing", "done", None]
    book, log = _book([first, second, ["2025-09-03", "MEADOW", "look", 12, 3, "calm"]])
    for cells in ("A1:A2", "B1:B2", "C1:C2", "D1:E1", "F1:F2"):
        log.merge_cells(cells)
    records = _read(book, tmp_path)
    row = records.tables["log"].iloc[0]
    assert (row["apiary"], row["did"], row["standing"], row["done"], row["notes"]) == ("MEADOW", "look", 12, 3, "calm")
    assert records.account["rows"].sum() == 2 and row["from_row"] == 3
    assert _told(records, "above the headings") == [(1, "")] and not _told(records, "merged")


def test_a_heading_merged_over_two_columns_names_the_first_and_the_other_is_told(tmp_path: Path) -> None:
    book, log = _book([["date", "apiary", "standing", None], ["2025-09-03", "MEADOW", 12, 7]])
    log.merge_cells("C1:D1")
    records = _read(book, tmp_path)
    assert records.tables["log"]["standing"].tolist() == [12]
    assert _told(records, "a cell under no heading") == [(2, "column 4")]


@pytest.mark.parametrize("epoch", [WINDOWS_EPOCH, MAC_EPOCH])
def test_dates_floats_and_yes_of_a_spreadsheet_are_read_as_what_they_mean(tmp_path: Path, epoch: datetime) -> None:
    book, _ = _book([[*HEADS, "crumbs"], [date(2025, 9, 3), "MEADOW", "look", 12.0, 3.0, None, True]])
    book.epoch = epoch
    log = _read(book, tmp_path).tables["log"].iloc[0]
    assert (str(log["date"])[:10], log["standing"], log["crumbs"]) == ("2025-09-03", 12, "yes")


def test_a_row_of_totals_with_a_formula_is_set_aside(tmp_path: Path) -> None:
    book, _ = _book([HEADS, ["2025-09-03", "MEADOW", "look", 12, 3, ""], [], ["Total", "", "", "=SUM(D2:D2)", "", ""]])
    records = _read(book, tmp_path)
    assert _told(records, "a row of totals") == [(4, "")]


soffice = shutil.which("soffice")
needs_soffice = pytest.mark.skipif(soffice is None and not os.environ.get("CI"), reason="LibreOffice is not installed")


def _converted(file: Path, kind: str, folder: Path) -> Path:
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = [
        soffice or "soffice",
        profile,
        "--headless",
        "--convert-to",
        kind,
        "--outdir",
        str(folder / kind),
        str(file),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return folder / kind / f"{file.stem}.{kind}"


@pytest.mark.slow
@needs_soffice
@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_the_blank_workbook_goes_through_libreoffice_and_comes_back_blank(tmp_path: Path, kind: str) -> None:
    file = _converted(new_workbook(tmp_path / "blank"), kind, tmp_path)
    records = load(file, today=TODAY)
    # the sheet of settings lists every setting with its default beside it, and no value
    assert not len(records.problems[records.problems["row"].notna()]), records.problems.to_string()
    assert all(len(records.tables[name]) == 0 for name in TABLES if name != "settings") and not records.given
    assert set(records.account["table"]) == set(TABLES)


def _lists(file: Path) -> dict[tuple[str, str], str]:
    """What the drop-down list on each column of words, of apiaries, products, gear and colonies offers."""
    book = openpyxl.load_workbook(file)
    found = {}
    for name, table in TABLES.items():
        sheet = book[name]
        for n, column in enumerate(table.columns, start=1):
            cell = sheet.cell(1000, n).coordinate
            rules = [
                rule for rule in sheet.data_validations.dataValidation if rule.type == "list" and cell in rule.sqref
            ]
            if rules:
                found[name, column.name] = str(rules[0].formula1).strip('"').replace("$", "").replace(".", "!")
    return found


def _offered() -> dict[tuple[str, str], str]:
    """What each list should offer: the words of the column, or the ids of the sheet it points to."""
    return {
        (name, column.name): ",".join(column.words) or f"{column.names}!A5:A2000"
        for name, table in TABLES.items()
        for column in table.columns
        if column.kind == "word" or (column.kind == "id" and column.names)
    }


def test_every_column_of_words_and_of_ids_has_its_drop_down_list(tmp_path: Path) -> None:
    assert _lists(new_workbook(tmp_path / "blank")) == _offered()


@pytest.mark.slow
@needs_soffice
def test_every_drop_down_list_outlives_libreoffice(tmp_path: Path) -> None:
    assert _lists(_converted(new_workbook(tmp_path / "blank"), "xlsx", tmp_path)) == _offered()


@pytest.mark.parametrize("name", TABLES)
def test_each_blank_sheet_explains_every_column_with_its_unit_and_one_example(tmp_path: Path, name: str) -> None:
    table = TABLES[name]
    heading, explained, units, example = blank_rows(table)[:4]
    assert heading == list(table.names)
    assert explained == [f"#help {table.columns[0].help}", *(column.help for column in table.columns[1:])]
    assert all(column.unit in unit for column, unit in zip(table.columns, units, strict=True)) and all(units)
    assert example[0].startswith("#example ") and len(example) == len(heading)
    folder = new_folder(tmp_path / "new")
    written = list(csv.reader((folder / f"{name}.csv").read_text(encoding="utf-8-sig").splitlines()))
    book = openpyxl.load_workbook(new_workbook(tmp_path / "book"))[name]
    cells = [[cell or "" for cell in row] for row in book.iter_rows(max_row=4, values_only=True)]
    assert written[:4] == cells == [heading, explained, units, example]


@pytest.mark.slow
@needs_soffice
@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_filled_sheets_saved_by_libreoffice_are_read_as_those_of_openpyxl(tmp_path: Path, kind: str) -> None:
    rows: list[list[object]] = [
        HEADS,
        [date(2025, 9, 3), "MEADOW", "oxalic sublimation 2", 12, "=D2-1", "süß; kalt"],
        [date(2025, 9, 10), "MEADOW", "look", "=1/0", 3, "x"],
    ]
    book, _ = _book(rows)
    book.save(tmp_path / "records.xlsx")
    records = load(_converted(tmp_path / "records.xlsx", kind, tmp_path), today=TODAY)
    log = records.tables["log"]
    assert log["date"].astype(str).tolist() == ["2025-09-03", "2025-09-10"] and log["notes"].tolist() == [
        "süß; kalt",
        "x",
    ]
    assert log["done"].tolist() == [11, 3] and log["standing"].isna().tolist() == [False, True]
    assert len(_told(records, "error value")) == 1


def test_a_workbook_that_claims_a_later_format_of_zip_is_one_sentence(tmp_path: Path) -> None:
    book, _ = _book([HEADS, ["2025-09-03", "MEADOW", "look", 12, 3, ""]])
    book.save(tmp_path / "records.xlsx")
    data = bytearray((tmp_path / "records.xlsx").read_bytes())
    data[data.index(b"PK\x01\x02") + 6] = 0xA4  # the version needed to take the first part out
    (tmp_path / "records.xlsx").write_bytes(data)
    try:
        assert len(load(tmp_path, today=TODAY).tables["log"]) == 1
    except CannotGoOnError as error:
        assert "save it again" in str(error)
