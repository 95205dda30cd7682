"""What the gear is good for, from the demo and from nothing."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from kit.records.load import load
from kit.season.machines.chamber import COLUMNS as CHAMBER
from kit.season.machines.outlook import CHARGE, NUMBERS, SUMMARY, SWINGS, gear_tables

HOME = Path(__file__).parents[3]
TRUTH = json.loads((HOME / "tests/demo/truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def demo() -> dict[str, Any]:
    records = load(HOME / "data_demo/full", today=date(2026, 3, 31))
    return gear_tables(records)


def test_the_summary_counts_every_check_and_puts_faults_first(demo: dict[str, Any]) -> None:
    summary = demo["gear_summary"]
    assert summary["times"].sum() == len(demo["gear"])
    assert list(summary["verdict"]).index("in order") > list(summary["verdict"]).index("slow")


def test_every_battery_has_its_doses_and_what_moves_them(demo: dict[str, Any]) -> None:
    charge, swings = demo["charge"].set_index("battery"), demo["charge_swings"]
    assert set(charge.index) == set(swings["battery"]) == {"B1", "B2"}
    assert charge.loc["B2", "doses_p50"] < charge.loc["B1", "doses_p50"]
    assert "starter" in charge.loc["B2", "caution"]
    assert swings.groupby("battery")["input"].first().eq("heat lost to the air").all()


def test_a_battery_that_ran_out_is_reckoned_at_the_health_it_showed(demo: dict[str, Any]) -> None:
    charge = demo["charge"].set_index("battery")
    for doses in TRUTH["weak_battery"]["doses_per_charge"].values():
        assert charge.loc["B2", "doses_p05"] <= doses <= charge.loc["B2", "doses_p95"]


def test_what_a_machines_times_cannot_tell_is_said_with_what_would(demo: dict[str, Any]) -> None:
    numbers = demo["machine_numbers"].set_index(["item", "number"])
    assert bool(numbers.loc[("S1", "contact with the crystals"), "found"])
    assert not numbers.loc[("S1", "heat lost to the air"), "found"]
    assert "thermostat" in numbers.loc[("S1", "heat lost to the air"), "advice"]


def test_the_bare_minimum_gives_empty_tables_with_their_columns() -> None:
    records = load(HOME / "data_demo/minimum", today=date(2026, 3, 31))
    tables = gear_tables(records)
    assert tables.pop("gear").empty
    columns = {"gear_summary": SUMMARY, "charge": CHARGE, "charge_swings": SWINGS, "machine_numbers": NUMBERS}
    columns["chamber"] = CHAMBER
    assert {name: list(table.columns) for name, table in tables.items()} == columns
    assert all(table.empty for table in tables.values())
