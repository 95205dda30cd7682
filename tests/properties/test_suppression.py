"""Whatever the table: what is left out cannot be worked out, and a part below the minimum never follows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.calc.suppression import attack, complementary, hidden_parts, margins, too_few
from kit.errors import ValidityError

counts = st.integers(0, 40)


@st.composite
def tables(draw: st.DrawFn) -> tuple[np.ndarray, int, int]:
    rows, columns = draw(st.integers(2, 4)), draw(st.integers(2, 4))
    inner = np.array(draw(st.lists(counts, min_size=rows * columns, max_size=rows * columns))).reshape(rows, columns)
    table = np.zeros((rows + 1, columns + 1))
    table[:rows, :columns] = inner
    table[rows, :columns], table[:rows, columns] = inner.sum(axis=0), inner.sum(axis=1)
    table[rows, columns] = inner.sum()
    return table, rows, columns


@settings(max_examples=60, deadline=None)
@given(tables(), st.integers(3, 6))
def test_no_small_cell_of_a_table_is_known_better_than_the_minimum(
    drawn: tuple[np.ndarray, int, int], minimum: int
) -> None:
    table, rows, columns = drawn
    x, relations = table.ravel(), margins(rows, columns)
    small, last = too_few(x, minimum=minimum), np.arange(x.size) == x.size - 1
    try:
        out = complementary(x, small & ~last, relations, minimum=minimum, fixed=last)
    except ValidityError:
        assert table[-1, -1] < 12 * minimum  # only a table with hardly anything in it cannot be protected
        return
    assert out[small & ~last].all() and not out[-1]
    known = attack(x, out, relations)
    assert np.all(known.least <= x + 1e-6) and np.all(known.most >= x - 1e-6)
    assert np.all((known.most - known.least)[small & ~last] >= minimum - 1e-6)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(1, 60), min_size=1, max_size=12), st.integers(3, 10))
def test_hidden_parts_of_a_total_are_several_and_together_enough(sizes: list[int], minimum: int) -> None:
    hidden = hidden_parts(sizes, minimum=minimum)
    assert {i for i, size in enumerate(sizes) if size < minimum} <= set(hidden)
    if hidden and len(hidden) < len(sizes):
        assert len(hidden) >= 2 and sum(sizes[i] for i in hidden) >= minimum


def test_a_table_whose_margins_must_all_stay_and_that_is_too_small_is_refused() -> None:
    with pytest.raises(ValidityError, match="no choice of cells"):
        complementary([2, 0, 2, 0, 0, 0, 2, 0, 2], [True] + [False] * 8, margins(2, 2), minimum=3,
                      fixed=[False, False, True, False, False, True, True, True, True])  # fmt: skip
