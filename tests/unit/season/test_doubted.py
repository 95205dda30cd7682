"""Counts that weigh less: one that the hive's others speak against, and those read while a queen is raised."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from kit.season.posterior.evidence import sights
from kit.season.posterior.sight import Look, sight
from kit.season.units import units
from tests.unit.season.sheets import boards, records

SWARMED = date(2025, 6, 1)


def pull(*counts: float) -> np.ndarray:
    """By how much each of some boards, of which 10 mites are expected, pulls on the log of what is expected."""
    looks = [Look("board", 10 * n, 10 * n - 7, 1.0, y, y, 0.1, SWARMED, "board") for n, y in enumerate(counts, 1)]
    return sight(looks).lean(np.full(len(looks), np.log(10.0)), np.full(len(looks), 5.0))[0]


def test_a_zero_too_many_among_six_pulls_no_more_than_a_few_good_counts() -> None:
    *good, wrong = pull(13, 8, 12, 9, 11, 100)
    assert 0 < wrong < 5
    assert good[0] == pytest.approx(3 / (1 + 10 / 5), rel=0.05)


def test_of_two_counts_nobody_can_tell_which_is_wrong() -> None:
    assert pull(13, 100)[1] == pytest.approx(90 / (1 + 10 / 5))


def test_the_slope_is_that_of_the_log_likelihood() -> None:
    """Central differences of the log likelihood itself."""
    looks = [
        Look("board", 10 * n, 10 * n - 7, 1.0, y, y, 0.1, SWARMED, "board")
        for n, y in enumerate((9, 0, 70, 8, 12, 11), 1)
    ]
    seen, at, sizes = sight(looks), np.full(6, np.log(10.0)), np.full(6, 5.0)
    above, below = (seen.log_likelihood((at + move)[None], sizes[None])[0] for move in (1e-5, -1e-5))
    assert seen.lean(at, sizes)[0] == pytest.approx((above - below) / 2e-5, rel=1e-5)


@pytest.mark.parametrize(("after", "unsettled"), [(-3, False), (5, False), (20, True), (50, True), (75, False)])
def test_a_board_read_while_a_queen_is_raised_is_taken_as_uncertain(after: int, unsettled: bool) -> None:
    """The swarm's mother hive is without laying for 20 to 30 days (common practice, no source)."""
    on = (SWARMED + timedelta(days=after)).isoformat()
    given = records(
        {"A": 2},
        colonies=[{"colony": name, "apiary": "A"} for name in ("A1", "A2")],
        counts=[*boards("A", "A1", (on, 9, 7)), *boards("A", "A2", (on, 9, 7))],
        events=[{"date": SWARMED.isoformat(), "kind": "swarm", "from": "A1"}],
    )
    swarmed, other = (one.looks[0].noise for one in sights(given, units(given), given.season.start))
    assert (swarmed > other) == unsettled
