"""Trips, hours and money from records made by hand, and from the demo."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.records.load import load
from kit.season.effort import COLUMNS, effort, trips
from tests.unit.season.sheets import records

HOME = Path(__file__).parents[3]
BASE = {"base_latitude": None, "base_longitude": None}
PLACES: list[dict[str, Any]] = [
    {"apiary": "A", "drive_min": 20.0, "carry_min": 4.0, "access": "on foot", "hives": 10.0},
    {"apiary": "B", "drive_min": 30.0, "carry_min": 5.0, "access": "dry ground", "hives": 8.0},
]


def made(visits: list[dict[str, Any]], log: Sequence[dict[str, Any]] = (), **tables: Any) -> Any:
    settings = BASE | {"vehicle_per_hour": 10.0}
    return records({"A": 10, "B": 8}, apiaries=PLACES, visits=visits, log=list(log), settings=settings, **tables)


def visit(day: int, apiary: str, **more: Any) -> dict[str, Any]:
    return {"date": pd.Timestamp(2025, 9, day), "apiary": apiary, "people": 1.0} | more


def test_clock_times_are_taken_as_recorded() -> None:
    table = trips(made([visit(3, "A", start="09:30", end="10:25", colonies_done=10.0)]))
    row = table.iloc[0]
    assert (row["minutes"], row["minutes_basis"]) == (55.0, "recorded")
    assert (row["drive_min"], row["carry_min"]) == (40.0, 8.0)
    assert row["drive_basis"].startswith("recorded")


def test_without_a_clock_the_minutes_are_an_estimate_and_say_so() -> None:
    log = [{"date": pd.Timestamp(2025, 9, 3), "apiary": "A", "did": "look", "standing": 10.0}]
    row = trips(made([visit(3, "A")], log)).iloc[0]
    assert row["minutes_basis"].startswith("estimated")
    assert 20 < row["minutes"] < 120


def test_no_clock_and_no_hives_is_not_recorded() -> None:
    one = records({"A": None}, visits=[visit(3, "A")], apiaries=[{"apiary": "A"}], settings=BASE)
    row = trips(one).iloc[0]
    assert math.isnan(row["minutes"])
    assert row["minutes_basis"].startswith("not recorded")
    assert math.isnan(row["carry_min"])


def test_one_day_is_one_round_shared_out() -> None:
    # by way of the base, as no place is recorded: 2 x 20 + 2 x 30 minutes in all
    table = trips(made([visit(3, "A"), visit(3, "B")]))
    assert table["drive_min"].sum() == pytest.approx(100)
    assert (table["drive_min"] > 0).all()
    assert table["drive_basis"].str.startswith("estimated").all()


def test_places_close_together_make_a_round_shorter_than_two_drives() -> None:
    near = [p | {"latitude": 52.5 + 0.02 * n, "longitude": -1.0} for n, p in enumerate(PLACES)]
    both = records({"A": 10, "B": 8}, apiaries=near, visits=[visit(3, "A"), visit(3, "B")],
                   settings={"base_latitude": 52.3, "base_longitude": -1.0})  # fmt: skip
    assert 50 < trips(both)["drive_min"].sum() < 90


def test_carrying_counts_where_a_vehicle_cannot_go() -> None:
    table = trips(made([visit(3, "B", ground="dry"), visit(4, "B", ground="soft")]))
    assert list(table["carry_min"]) == [0.0, 10.0]


def test_a_wasted_trip_stands_under_its_own_task_only_and_tasks_add_up() -> None:
    day = pd.Timestamp(2025, 9, 3)
    log = [{"date": day, "apiary": "A", "did": "could not", "wrong": "ground"}]
    table = effort(made([visit(3, "A")], log))
    assert list(table["task"]) == ["wasted trips"]
    row = table.iloc[0]
    assert row["hours"] == pytest.approx((10 + 8 + 40) / 60)
    assert row["cost"] == pytest.approx(row["hours"] * 15 + 40 / 60 * 10)


def test_hours_are_person_hours_and_money_follows_the_settings() -> None:
    table = effort(made([visit(3, "A", start="09:00", end="10:00", people=2.0, colonies_done=10.0)])).set_index("task")
    assert table.loc["treating", "hours"] == pytest.approx(2.0)
    assert table.loc["driving", "hours"] == pytest.approx(2 * 40 / 60)
    assert table.loc["driving", "cost"] == pytest.approx(2 * 40 / 60 * 15 + 40 / 60 * 10)
    assert table.loc["carrying", "hours"] == pytest.approx(2 * 8 / 60)


def test_medicines_are_priced_by_purchases_or_said_to_be_unknown() -> None:
    day = pd.Timestamp(2025, 9, 3)
    treated = [
        {"date": day, "apiary": a, "treatment": "amitraz strips", "product": p, "dose": 2.0, "unit": "strips"}
        for a, p in (("A", "P"), ("B", "other"))
    ]
    heads = [{"date": day, "apiary": a, "standing": 10.0, "done": 10.0} for a in ("A", "B")]
    bought = [{"date": day, "event": "bought", "product": "p", "quantity": 100.0, "unit": "strips", "cost": 150.0}]
    table = effort(made([], treatments=treated, medicines=bought, heads=heads))
    rows = table[table["task"] == "medicines"].set_index("apiary")
    assert rows.loc["A", "cost"] == pytest.approx(2 * 10 * 1.5)
    assert math.isnan(rows.loc["B", "cost"])
    assert "not recorded" in rows.loc["B", "basis"]


@pytest.mark.parametrize("folder", ["full", "minimum"])
def test_the_demo_gives_hours_for_every_apiary_and_no_trip_is_dropped(folder: str) -> None:
    demo = load(HOME / "data_demo" / folder, today=date(2026, 3, 31))
    table = effort(demo)
    assert list(table.columns) == COLUMNS
    assert set(table["apiary"]) == set(demo.apiaries)
    made_trips = trips(demo)
    assert len(made_trips) == len(demo.in_season("visits").groupby(["date", "apiary"]))
    by_task = table.groupby("task")["hours"].sum()
    whole = made_trips[["minutes", "drive_min", "carry_min"]].sum(axis=1) * made_trips["people"]
    assert by_task.sum() == pytest.approx(whole.sum() / 60)
    assert made_trips["wasted"].sum() == table.loc[table["task"] == "wasted trips", "trips"].sum()


def test_what_went_wrong_on_several_lines_of_one_day_is_all_told() -> None:
    day = pd.Timestamp(2025, 9, 3)
    log = [
        {"date": day, "apiary": "A", "did": "look", "wrong": "wind"},
        {"date": day, "apiary": "A", "did": "trays read", "wrong": ""},
        {"date": day, "apiary": "A", "did": "could not", "wrong": "ground"},
    ]
    row = trips(made([visit(3, "A")], log)).iloc[0]
    assert (row["wrong"], row["did"]) == ("wind; ground", "look; trays read; could not")
