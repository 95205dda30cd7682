"""A large sheet is read by pandas, a small one by the csv module: the same cells either way."""

import csv
import io

from hypothesis import given, settings
from hypothesis import strategies as st

from kit.records.csv_text import columns_of, large
from kit.records.formulas import unguarded

CELL = st.text(alphabet="ab 1.5,;\"'#é\t", max_size=6)
QUOTED = CELL.map(lambda text: '"' + text.replace('"', '""') + '"')
LINE = st.lists(st.one_of(CELL.filter(lambda text: '"' not in text), QUOTED), max_size=5)


@settings(max_examples=300, deadline=None)
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
