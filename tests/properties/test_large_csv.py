"""A large sheet is read by pandas, a small one by the csv module: the same cells either way."""

import csv
import io

from hypothesis import given, settings
from hypothesis import strategies as st

from kit.records.csv_text import frame_of, large

CELL = st.text(alphabet="ab 1.5,;\"'#é\t", max_size=6)
QUOTED = CELL.map(lambda text: '"' + text.replace('"', '""') + '"')
LINE = st.lists(st.one_of(CELL.filter(lambda text: '"' not in text), QUOTED), max_size=5)


@settings(max_examples=300, deadline=None)
@given(st.lists(LINE, min_size=1, max_size=8), st.sampled_from([",", ";", "\t"]))
def test_pandas_and_the_csv_module_read_the_same_cells(lines: list[list[str]], separator: str) -> None:
    body = "\n".join(separator.join(cells) for cells in lines) + "\n"
    rows = list(csv.reader(io.StringIO(body, newline=""), delimiter=separator, skipinitialspace=True))
    ours, theirs = large(body, separator), frame_of(rows)
    wide = ours.reindex(columns=range(max(ours.shape[1], theirs.shape[1])), fill_value="")
    assert wide.to_numpy().tolist() == theirs.reindex(columns=wide.columns, fill_value="").to_numpy().tolist()
