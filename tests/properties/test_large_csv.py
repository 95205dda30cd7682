"""A large sheet is read by pandas, a small one by the csv module: the same cells either way."""

import csv
import io
from datetime import date
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kit.records import csv_text
from kit.records.csv_text import columns_of, grid, large, split
from kit.records.formulas import unguarded
from kit.records.load import load

CELL = st.text(alphabet="ab 1.5,;\"'#é\t", max_size=6)
QUOTED = CELL.map(lambda text: '"' + text.replace('"', '""') + '"')
LINE = st.lists(st.one_of(CELL.filter(lambda text: '"' not in text), QUOTED), max_size=5)


@settings(max_examples=120, deadline=None)
@given(st.lists(LINE, min_size=1, max_size=8), st.sampled_from([",", ";", "\t"]))
def test_pandas_and_the_csv_module_read_the_same_cells(lines: list[list[str]], separator: str) -> None:
    body = "\n".join(separator.join(cells) for cells in lines) + "\n"
    rows = list(csv.reader(io.StringIO(body, newline=""), delimiter=separator, skipinitialspace=True))
    width = max(line.count(separator) for line in body.split("\n")) + 1
    plain = [[unguarded(cell) for cell in row] for row in rows]
    ours, theirs = large(body, separator, width), columns_of([*plain, [""] * width])
    assert ours is not None
    assert [list(column) for column in ours] == [list(column)[:-1] for column in theirs]
    assert all(len(set(column.each)) == len(column.each) for column in ours)


WHOLE = st.text(alphabet="ab1,;\"\n '=\t", max_size=40)


def _headings(cells: list[str]) -> int:
    return sum(cell == "a" for cell in cells)


@settings(max_examples=400, deadline=None)
@given(WHOLE)
@example('a,b\n1,"two\nlines"\n')  # a cell over two lines
@example("a,b\n" + "1,2\n" * 12 + "1,2,3\n")  # a row wider than the first ten
@example('a,b\n5" board,6" board\n')  # two marks in one line that open nothing
@example('a,b\n1,"never closed\n2,x\n')
@example("\n" * 12 + "a,b\n1,2\n")  # nothing in the first ten rows
def test_whatever_the_text_a_large_one_is_read_as_a_small_one(text: str) -> None:
    plain = split(text, _headings)
    with patch.object(csv_text, "LARGE", 0):
        found = grid(text, _headings)
    assert [list(column) for column in found.columns] == [list(column) for column in columns_of(plain.rows)]
    assert found.torn == plain.torn


@pytest.mark.parametrize("late", ["", "2025-08-03,A,board,9,7,x,more\n", '2025-08-03,A,board,9,7,"two\nlines"\n'])
def test_a_large_sheet_keeps_ids_that_look_like_numbers_and_every_late_odd_row(tmp_path: Path, late: str) -> None:
    (tmp_path / "apiaries.csv").write_text("apiary\nA\n")
    rows = "".join(f"2025-08-02,A,board,{n % 90},7,00{n % 9}\n" for n in range(6000))
    (tmp_path / "counts.csv").write_text("date,apiary,method,mites,days,colony\n" + rows + late)
    records = load(tmp_path, today=date(2026, 6, 1))
    counts, account = records.tables["counts"], records.account.set_index("table").loc["counts"]
    assert account["rows"] == 6000 + bool(late) and set(counts["colony"][:6000]) == {f"00{n}" for n in range(9)}
    assert counts["mites"][:3].tolist() == [0.0, 1.0, 2.0]
    if "more" in late:
        told = records.problems[records.problems["problem"].str.contains("under no heading")]
        assert told["value"].tolist() == ["more"] and told["row"].tolist() == [6002]
    elif late:
        assert counts["colony"].iloc[-1] == "two\nlines"
