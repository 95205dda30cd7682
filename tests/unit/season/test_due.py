"""What is due at an apiary, day by day, without reading the season."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kit.season.due import Apiary, Due, due_at
from kit.season.heads import heads_of
from kit.season.open_points import strips_in
from kit.season.rounds import rounds
from tests.unit.season.sheets import records, series


def due(on: date, **tables: list[dict[str, object]]) -> list[Due]:
    given = records({"A": 6}, as_of=on, **tables)
    table = rounds(given)
    return due_at(Apiary(given, "A", table, strips_in(given), heads_of(given, "A"), table))


@pytest.mark.parametrize("weeks", range(28))
def test_an_apiary_that_was_never_treated_is_asked_for_a_treatment_every_week_from_july_to_january(weeks: int) -> None:
    on = date(2025, 7, 1) + timedelta(weeks=weeks)
    assert any(one.treats for one in due(on)), on


def test_nothing_that_treats_is_due_between_the_last_round_and_the_one_without_brood() -> None:
    given = series("A", date(2025, 10, 1), 3)
    assert not any(one.treats for one in due(date(2025, 11, 10), treatments=given))
    assert any(one.treats for one in due(date(2025, 12, 10), treatments=given))


def test_a_seal_not_brought_home_goes_before_all_else_for_three_days() -> None:
    sealed = [{"date": date(2025, 11, 12), "apiary": "A", "seals_out": 4, "seals_in": 3}]
    strips = [{"date": date(2025, 8, 9), "apiary": "A", "treatment": "amitraz strips", "colonies": "all"}]
    for days in range(4):
        first = due(date(2025, 11, 12) + timedelta(days=days), log=sealed, treatments=strips)[0]
        assert (first.order, first.due) == (0, "look at once for 1 seal not brought home")
    assert due(date(2025, 11, 16), log=sealed, treatments=strips)[0].due == "take amitraz strips out"


def test_a_seal_brought_home_or_not_counted_is_not_looked_for() -> None:
    for back in (4, None):
        sealed = [{"date": date(2025, 11, 12), "apiary": "A", "seals_out": 4, "seals_in": back}]
        assert not any(one.order == 0 for one in due(date(2025, 11, 12), log=sealed))
