"""Damaged sheets: never a traceback, never a lost row, always a sentence.

The whole two thousand: `pytest -m long -n 0 -s tests/unit/records/test_mutations.py`; it prints the outcomes by class
and the commonest messages.
"""

import shutil
from collections import Counter, defaultdict
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from kit.records.formulas import guarded, unguarded
from kit.records.load import load
from kit.report.write import csv_text

from . import mutations
from .mutations import FORMULAS, Sheets, damage, demo_sheets, outcome, runs, told

DEMO = Path(__file__).parents[3] / "data_demo" / "full"


@pytest.fixture(scope="module")
def sheets() -> Sheets:
    return demo_sheets(DEMO)


@pytest.fixture(scope="module")
def book(sheets: Sheets, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("book") / "records.xlsx"
    written = openpyxl.Workbook()
    for name, rows in sheets.items():
        sheet = written.create_sheet(name)
        for row in rows:
            sheet.append(row)
    written.remove(written["Sheet"])
    written.save(file)
    return file


def _all(count: int, seed: int, sheets: Sheets, book: Path, tmp_path: Path) -> dict[str, Counter[str]]:
    by_class: dict[str, Counter[str]] = defaultdict(Counter)
    messages: Counter[str] = Counter()
    whole = tmp_path / "whole"
    whole.mkdir()
    mutations.write(sheets, whole)
    usual = told(load(whole, today=mutations.TODAY).problems)
    for n, (kind, chance) in enumerate(runs(count, seed)):
        folder = tmp_path / str(n)
        folder.mkdir()
        expected = damage(kind, chance, sheets, book, folder)
        found = outcome(folder, expected, usual)
        by_class[kind][found.how if not found.how.startswith("fault") else f"{found.how} (run {n}, seed {seed})"] += 1
        messages.update(set(found.messages))
        shutil.rmtree(folder)
    for kind, counts in by_class.items():
        print(f"\n{kind:<36} {dict(counts)}", end="")
    print("\n" + "\n".join(f"{count:>5}  {text}" for text, count in messages.most_common(12)))
    return by_class


def _faults(by_class: dict[str, Counter[str]]) -> list[str]:
    return [f"{kind}: {how}" for kind, counts in by_class.items() for how in counts if how.startswith("fault")]


@pytest.mark.slow
def test_forty_damaged_folders_are_read_told_or_refused(sheets: Sheets, book: Path, tmp_path: Path) -> None:
    by_class = _all(40, 1, sheets, book, tmp_path)
    assert set(by_class) == set(mutations.CLASSES) and not _faults(by_class)


@pytest.mark.long
def test_two_thousand_damaged_folders_are_read_told_or_refused(sheets: Sheets, book: Path, tmp_path: Path) -> None:
    by_class = _all(2000, 2, sheets, book, tmp_path)
    assert sum(sum(counts.values()) for counts in by_class.values()) == 2000 and not _faults(by_class)


def test_undamaged_sheets_are_read(sheets: Sheets, tmp_path: Path) -> None:
    mutations.write(sheets, tmp_path)
    expected = Counter({name: len(rows) - 1 for name, rows in sheets.items()})
    assert outcome(tmp_path, expected).how in ("read", "told")


@pytest.mark.parametrize("text", [*FORMULAS, "'=1", "''@x", "it's", "-", "+44 7700", "a=b", "", "-1,5", "1e5"])
def test_no_cell_written_starts_a_formula_and_reading_gives_back_what_was_written(text: str) -> None:
    written = guarded(text)
    assert not written.startswith(("=", "@", "\t", "\r")) and unguarded(written) == text
    assert written[:1] not in ("+", "-") or float(written.replace(",", "."))


def test_headings_from_a_users_file_start_no_formula_either() -> None:
    assert csv_text(pd.DataFrame({"=own": ["x"]})) == "'=own\nx\n"
