"""The medicine record of the demo tells the story its generator wrote into the sheets (`tests/demo/truth.json`)."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from kit.records.load import load
from kit.season.medicine.record import MedicineRecord, medicine_record

ROOT = Path(__file__).parents[3]
TRUTH: dict[str, Any] = json.loads((ROOT / "tests/demo/truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def record() -> MedicineRecord:
    return medicine_record(load(ROOT / "data_demo/full", today=date(2026, 3, 31)))


def test_the_dose_above_the_label_is_told_once(record: MedicineRecord) -> None:
    over, label = TRUTH["over_label"]["dose_g"], TRUTH["over_label"]["limit_g"]
    doses = record.breaches[record.breaches["limit"] == "dose"]
    assert doses[["season", "recorded", "lines"]].values.tolist() == [[TRUTH["season"], over, 1]]
    assert f"{label:g}" in doses["what"].iloc[0]


def test_products_without_a_label_are_named(record: MedicineRecord) -> None:
    assert record.facts["unread"] == TRUTH["no_label"]
    unread = record.open_points[record.open_points["kind"] == "label unread"]
    assert [product in what for product, what in zip(TRUTH["no_label"], unread["what"], strict=True)] == [True]


def test_gaps_of_a_purchase_are_those_left_in_it(record: MedicineRecord) -> None:
    titles = {"batch": "batch", "supplier_address": "supplier's address", "evidence": "proof of purchase"}
    bought = record.lines[record.lines["entry"] == "acquisition"].set_index("product")["missing"]
    for product, gaps in TRUTH["record_gaps"].items():
        assert bought[product] == "; ".join(titles[gap] for gap in gaps)
    whole = bought.drop([*TRUTH["record_gaps"], *TRUTH["no_label"]])
    assert (whole == "").all()


def test_the_batch_used_past_its_day_is_found_where_it_was_used(record: MedicineRecord) -> None:
    told = TRUTH["used_past_expiry"]
    late = record.lines[record.lines["after_expiry"] == "yes"]
    assert set(late["apiary"]) == {told["apiary"]}
    assert set(late["batch"]) == {told["batch"]}
    assert (late["date"] > told["expiry"]).all()


def test_no_batch_is_overdrawn_and_every_line_of_the_sheets_is_in_the_record(record: MedicineRecord) -> None:
    assert not (record.stock["balance"] < 0).any()
    records = load(ROOT / "data_demo/full", today=date(2026, 3, 31))
    assert len(record.lines) == len(records.tables["medicines"]) + len(records.tables["treatments"])


def test_the_record_is_not_called_complete(record: MedicineRecord) -> None:
    assert not record.facts["complete"]


def test_with_the_minimum_every_gap_is_told_by_apiary_and_nothing_is_made_up() -> None:
    bare = medicine_record(load(ROOT / "data_demo/minimum", today=date(2026, 3, 31)))
    assert not bare.facts["complete"]
    assert bare.stock.empty and bare.breaches.empty
    assert bare.lines["quantity"].isna().all() and bare.lines["withdrawal_days"].isna().all()
    gaps = bare.open_points[bare.open_points["kind"] == "record gap"]
    assert set(gaps["apiary"]) == set(bare.lines["apiary"])
