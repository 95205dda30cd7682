"""Whatever sums are told: the fewest members behind a combination are those that trying all small groups finds."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.calc.differencing import Part, fewest_behind

NAMES = "ABCDEFGHI"


@st.composite
def told(draw: st.DrawFn) -> list[list[Part]]:
    parts = [(name, part) for name in NAMES[: draw(st.integers(4, 9))] for part in draw(st.sampled_from(["x", "xy"]))]
    return draw(st.lists(st.lists(st.sampled_from(parts), min_size=1, unique=True), min_size=1, max_size=5))


def by_trying(sums: list[list[Part]], below: int) -> int | None:
    """A group is told of when without its parts the sums say less: their rank drops."""
    parts = sorted({part for row in sums for part in row})
    table = np.array([[part in row for part in parts] for row in sums], dtype=float)
    whole = np.linalg.matrix_rank(table)
    for size in range(1, below):
        for group in combinations(sorted({name for name, _ in parts}), size):
            rest = [at for at, (name, _) in enumerate(parts) if name not in group]
            if (np.linalg.matrix_rank(table[:, rest]) if rest else 0) < whole:
                return size
    return None


@settings(max_examples=80, deadline=None)
@given(told(), st.integers(2, 5))
def test_no_small_group_is_overlooked_and_none_made_up(sums: list[list[Part]], below: int) -> None:
    assert fewest_behind(sums, below=below) == by_trying(sums, below)
