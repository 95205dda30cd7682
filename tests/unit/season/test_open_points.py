"""What is still open, said with what to do about it."""

from __future__ import annotations

from datetime import date

import pandas as pd

from kit.season.open_points import COLUMNS, open_points, strips_in
from kit.season.rounds import rounds
from tests.unit.season.sheets import records, series

NOTHING = pd.DataFrame(columns=COLUMNS)


def test_a_second_round_whose_first_was_never_written_down_is_a_gap_of_the_record() -> None:
    second = series("A", date(2025, 10, 12), rounds=1, round=2)
    given = records({"A": 10, "B": 10}, treatments=[*second, *series("B", date(2025, 10, 12))])
    table = open_points(given, rounds(given), strips_in(given), NOTHING)
    assert table["apiary"].tolist() == ["A"]
    assert table.loc[0, "what"] == "oxalic sublimation round 2 on 2025-10-12 is the first written down"
    assert "write round 1" in table.loc[0, "remedy"]


def test_rounds_without_numbers_are_no_gap() -> None:
    given = records({"A": 10}, treatments=series("A", date(2025, 10, 12), round=None))
    assert open_points(given, rounds(given), strips_in(given), NOTHING).empty


def test_a_seal_not_brought_home_stands_before_strips_still_in() -> None:
    sealed = [{"date": date(2025, 11, 12), "apiary": "B", "seals_out": 4, "seals_in": 2}]
    strips = [{"date": date(2025, 8, 9), "apiary": "A", "treatment": "amitraz strips", "colonies": "all"}]
    given = records({"A": 10, "B": 10}, log=sealed, treatments=strips)
    table = open_points(given, rounds(given), strips_in(given), NOTHING)
    assert table["kind"].tolist() == ["seal not home", "strips in"]
    assert table.loc[0, "what"] == "2 seals not brought home on 2025-11-12"
