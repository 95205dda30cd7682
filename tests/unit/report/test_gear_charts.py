"""Charts of a charge and of a visit, and what they say without being seen."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd

from kit.calc.effort import Crew
from kit.calc.timeline import length_min, time_line
from kit.records.load import load
from kit.report.charts.gear import charge_swings, visit_bars
from kit.report.show import Note
from kit.season.findings import Findings
from kit.season.machines.outlook import CHARGE, SWINGS, charge_outlook
from kit.season.machines.outlook import charge_swings as swings_table

HOME = Path(__file__).parents[3]


def test_the_swings_of_the_weakest_battery_are_drawn_and_told() -> None:
    records = load(HOME / "data_demo/full", today=date(2026, 3, 31))
    review = Findings({}, {}, {"charge": charge_outlook(records), "charge_swings": swings_table(records)})
    spec = charge_swings(review).to_dict()  # type: ignore[union-attr]
    assert "B2" in spec["description"]
    assert "heat lost to the air" in spec["description"]


def test_no_battery_is_said_in_a_sentence() -> None:
    empty = {"charge": pd.DataFrame(columns=CHARGE), "charge_swings": pd.DataFrame(columns=SWINGS)}
    assert isinstance(charge_swings(Findings({}, {}, empty)), Note)


def test_a_visit_is_drawn_whole_and_its_length_told() -> None:
    bars = time_line(12, drive_min=20, carry_min=4, crew=Crew())
    spec = visit_bars(bars).to_dict()  # type: ignore[union-attr]
    rows = next(iter(spec["datasets"].values()))
    assert len(rows) == len(bars)
    assert max(row["end_min"] for row in rows) == length_min(bars)
    assert "longest path" in spec["description"]
    assert isinstance(visit_bars(()), Note)
