"""Gear checks and causes of slow vapour from records made by hand, and from the demo whose truth is known."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.records.load import load
from kit.season.machines.gear import COLUMNS, gear_checks
from kit.season.machines.vapour import pairings, vapour_causes
from tests.unit.season.sheets import records, shuffled

HOME = Path(__file__).parents[3]
TRUTH = json.loads((HOME / "tests/demo/truth.json").read_text(encoding="utf-8"))
GEAR: list[dict[str, Any]] = [
    {"item": "S1", "kind": "sublimator", "type": "holds heat", "volts": 230.0, "watts": 200.0, "warm_up_min": 6.0,
     "expel_s": 20.0},
    {"item": "B1", "kind": "battery", "type": "deep cycle", "volts": 12.0, "amp_hours": 65.0},
    {"item": "I1", "kind": "inverter", "watts": 500.0},
    {"item": "G1", "kind": "generator", "watts": 400.0},
]  # fmt: skip


def by_hand(*, supply: str, seconds: float | None, minutes: float | None, wrong: str = "", **visit: Any) -> Any:
    days = [pd.Timestamp(2025, 11, day) for day in (3, 9, 15)]
    treated = [
        {"date": d, "apiary": "A", "treatment": "oxalic sublimation", "colonies": "all", "sublimator": "S1",
         "dose": 2.3, "unit": "g", "air_c": 8.0} | ({} if seconds is None else {"expel_s": seconds})
        for d in days
    ]  # fmt: skip
    visits = [
        {"date": d, "apiary": "A", "supply": supply, "colonies_done": 12.0, "start": "09:30", "end": "10:20"} | visit
        | ({} if minutes is None else {"warm_up_min": minutes})
        for d in days
    ]  # fmt: skip
    heads = [{"date": d, "apiary": "A", "wrong": wrong} for d in days] if wrong else []
    return records({"A": 12}, treatments=treated, visits=visits, gear=GEAR, heads=heads)


def verdicts(made: Any, check: str) -> set[str]:
    table = gear_checks(made)
    return set(table.loc[table["check"] == check, "verdict"])


def test_good_times_are_in_order_and_have_no_cause() -> None:
    made = by_hand(supply="B1", seconds=20, minutes=6)
    assert verdicts(made, "expulsion") == verdicts(made, "warm-up") == {"in order"}
    assert vapour_causes(made).empty


def test_slow_behind_an_inverter_never_blames_the_supply() -> None:
    # FIELD: behind an inverter slow vapour is element, scale, overfull spoon or damp crystals
    made = by_hand(supply="B1", seconds=36, minutes=6, volts_before=12.0)
    assert verdicts(made, "expulsion") == {"slow"}
    found = vapour_causes(made)
    assert list(found["rank"]) == list(range(1, len(found) + 1))
    assert set(found["cause"]) <= {
        "worn element",
        "scale in the chamber",
        "overfull spoon",
        "damp crystals",
        "chamber not hot",
    }
    assert "inverter" in found["evidence"].iloc[0]


def test_two_causes_are_named_where_one_alone_would_say_too_much() -> None:
    pairing = pairings(by_hand(supply="G1", seconds=36, minutes=11))["S1", "G1"]
    assert " or " in pairing.likely
    assert "another supply" in pairing.check


def test_seconds_without_minutes_ask_for_the_warm_up_or_a_spoon() -> None:
    pairing = pairings(by_hand(supply="B1", seconds=34, minutes=None))["S1", "B1"]
    assert pairing.causes[0].share_pct < 60
    assert pairing.check


def test_nothing_timed_gives_no_row_of_a_machine() -> None:
    made = by_hand(supply="B1", seconds=None, minutes=None)
    assert verdicts(made, "expulsion") == set()
    assert vapour_causes(made).empty
    assert "doses of a charge" in set(gear_checks(made)["check"])


def test_no_gear_sheet_still_checks_against_the_trades_usual() -> None:
    day = pd.Timestamp(2025, 11, 3)
    one = {"date": day, "apiary": "A", "treatment": "oxalic sublimation", "colonies": "all", "expel_s": 60.0}
    made: Any = records({"A": 12}, treatments=[one])
    table = gear_checks(made)
    assert list(table["verdict"]) == ["slow"]
    assert table["basis"].iloc[0].startswith("usual of the trade")


def test_a_charge_that_ran_out_early_is_told_from_one_that_was_not_run_down() -> None:
    early = by_hand(supply="B1", seconds=20, minutes=6, wrong="ran out", volts_before=12.7, colonies_done=6.0)
    assert verdicts(early, "doses of a charge") == {"ran out early"}
    assert verdicts(by_hand(supply="B1", seconds=20, minutes=6), "doses of a charge") == {"not run down"}


def test_only_the_first_volts_of_a_day_count_as_rested() -> None:
    made = by_hand(supply="B1", seconds=20, minutes=6, volts_before=12.2)
    table = gear_checks(made)
    assert set(table.loc[table["check"] == "resting volts", "verdict"]) == {"not full"}
    assert (table.groupby("date")["check"].apply(lambda c: (c == "resting volts").sum()) == 1).all()


def test_columns_and_order_do_not_depend_on_the_order_of_rows() -> None:
    made = by_hand(supply="B1", seconds=30, minutes=7, volts_before=12.6, volts_after=12.1)
    table = gear_checks(made)
    assert list(table.columns) == COLUMNS
    assert (table["expected_p05"] <= table["expected_p95"]).all()
    pd.testing.assert_frame_equal(table, gear_checks(shuffled(made, 3)))


@pytest.fixture(scope="module")
def demo() -> Any:
    return load(HOME / "data_demo/full", today=date(2026, 3, 31))


def first_cause(table: pd.DataFrame, apiary: str) -> str:
    return str(table.loc[(table["apiary"] == apiary) & (table["rank"] == 1), "cause"].iloc[0])


def test_the_demos_slow_machine_is_named_with_its_cause_first(demo: Any) -> None:
    item = TRUTH["slow_sublimator"]["item"]
    assert TRUTH["slow_sublimator"]["why"].startswith("worn element")
    table = gear_checks(demo)
    slow = table[(table["item"] == item) & table["check"].isin(["warm-up", "expulsion"])]
    assert set(slow["verdict"]) == {"slow"}
    assert set(slow["likely_cause"]) == {f"worn element ({item})"}
    causes = vapour_causes(demo)
    for apiary in slow["apiary"].unique():
        assert first_cause(causes, apiary) == "worn element"


def test_the_demos_weak_generator_is_named_and_its_machine_cleared(demo: Any) -> None:
    apiary = TRUTH["weak_generator"]["apiary"]
    causes = vapour_causes(demo)
    assert first_cause(causes, apiary) == "supply low"
    evidence = causes.loc[causes["apiary"] == apiary, "evidence"].iloc[0]
    assert TRUTH["weak_generator"]["item"] in evidence
    assert "s on another supply" in evidence
    table = gear_checks(demo)
    here = table[(table["apiary"] == apiary) & (table["check"] == "expulsion")]
    assert set(here["likely_cause"]) == {f"supply low (generator {TRUTH['weak_generator']['item']})"}
    elsewhere = table[(table["item"] == "S1") & (table["apiary"] != apiary)]
    assert set(elsewhere["verdict"]) == {"in order"}


def test_the_demos_weak_battery_is_named_as_worn(demo: Any) -> None:
    item = TRUTH["weak_battery"]["item"]
    table = gear_checks(demo)
    charge = table[(table["item"] == item) & (table["check"] == "doses of a charge")]
    assert set(charge["verdict"]) == {"ran out early"}
    assert set(charge["likely_cause"]) == {"worn battery"}
    assert list(charge["recorded"]) == list(TRUTH["weak_battery"]["doses_per_charge"].values())
    good = table[(table["item"] == "B1") & (table["check"] == "doses of a charge")]
    assert set(good["verdict"]) == {"not run down"}


def test_the_bare_minimum_gives_an_empty_table_with_all_columns() -> None:
    bare = load(HOME / "data_demo/minimum", today=date(2026, 3, 31))
    assert list(gear_checks(bare).columns) == COLUMNS
    assert vapour_causes(bare).empty
