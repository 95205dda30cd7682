"""The medicine record from hand-made sheets, against what the regulations ask for and against sums done by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from kit.constants.law import REGULATIONS
from kit.records.corrections import corrections
from kit.records.records import Records
from kit.season.medicine.limits import dose_in_label_unit
from kit.season.medicine.lines import COLUMNS
from kit.season.medicine.record import OPEN_COLUMNS, medicine_record
from tests.unit.season.sheets import records, shuffled

LABEL = {
    "product": "oxalic powder", "active": "oxalic acid dihydrate", "authorised": "yes", "strength_mg_per_g": 886,
    "max_dose": 2.3, "dose_unit": "g product per hive", "withdrawal_days": 0, "read_on": "2025-06-01",
}  # fmt: skip
BOUGHT = {
    "date": "2025-06-14", "event": "bought", "product": "oxalic powder", "active": "oxalic acid dihydrate",
    "batch": "B1", "expiry": "2027-12-31", "quantity": 100, "unit": "g", "supplier": "a supplier",
    "supplier_address": "their address", "evidence": "receipt 7",
    "written_on": "2025-06-14", "from_file": "medicines.csv", "from_row": 2,
}  # fmt: skip
GIVEN = {
    "date": "2025-09-03", "apiary": "MEADOW", "colonies": "all", "treatment": "oxalic sublimation",
    "product": "oxalic powder", "batch": "B1", "dose": 2.0, "unit": "g", "round": 1, "written_on": "2025-09-03",
    "from_file": "treatments.csv", "from_row": 2,
}  # fmt: skip


def sheets(
    *treatments: dict[str, Any],
    medicines: list[dict[str, Any]] | None = None,
    labels: list[dict[str, Any]] | None = None,
    settings: dict[str, Any] | None = None,
    **more: Any,
) -> Records:
    """One apiary of ten hives, notified, with one purchase and one label unless told otherwise."""
    more.setdefault("apiaries", [{"apiary": "MEADOW", "hives": 10, "mites_notified": "2021-05-01"}])
    numbered = [line | {"from_row": row} for row, line in enumerate(treatments, start=2)]
    return records(
        {"MEADOW": 10},
        settings={"jurisdiction": "gb"} | (settings or {}),
        treatments=numbered,
        medicines=[BOUGHT] if medicines is None else medicines,
        labels=[LABEL] if labels is None else labels,
        **more,
    )


def given(record: Any) -> pd.DataFrame:
    return record.lines[record.lines["entry"] == "administration"].reset_index(drop=True)


def test_a_record_that_holds_everything_is_complete() -> None:
    record = medicine_record(sheets(GIVEN))
    assert record.facts["complete"]
    assert record.facts["incomplete_because"] == []
    assert record.open_points.empty
    assert tuple(record.lines.columns) == tuple(COLUMNS)
    assert tuple(record.open_points.columns) == OPEN_COLUMNS


def test_a_record_of_nothing_is_not_complete() -> None:
    record = medicine_record(sheets(medicines=[], labels=[]))
    assert record.lines.empty
    assert not record.facts["complete"]
    assert record.facts["incomplete_because"] == ["nothing bought, given or disposed of is recorded"]


def test_quantity_is_dose_times_hives_and_stock_is_bought_less_given_less_disposed() -> None:
    gone = BOUGHT | {
        "event": "disposed",
        "date": "2026-01-05",
        "quantity": 30,
        "how_disposed": "pharmacy",
        "where_disposed": "town",
    }
    record = medicine_record(sheets(GIVEN, medicines=[BOUGHT, gone | {"from_row": 3}]))
    assert given(record).loc[0, ["hives", "quantity", "unit"]].tolist() == [10, 20, "g"]
    assert record.stock.loc[0, ["bought", "given", "disposed", "balance"]].tolist() == [100, 20, 30, 50]


def test_hives_named_go_before_the_log_and_the_log_before_the_hives_standing() -> None:
    heads = [{"date": "2025-09-03", "apiary": "MEADOW", "standing": 10, "done": 8}]
    assert given(medicine_record(sheets(GIVEN, heads=heads))).loc[0, "hives"] == 8
    named = GIVEN | {"colonies": "M1;M3;M4"}
    assert given(medicine_record(sheets(named, heads=heads))).loc[0, "hives"] == 3


def test_two_treatments_of_one_day_go_into_the_record_with_the_hives_of_each() -> None:
    heads = [{"date": "2025-09-03", "apiary": "MEADOW", "standing": 10, "done": 8}]
    both = [GIVEN | {"done": 8}, GIVEN | {"treatment": "thymol", "done": 2, "from_row": 3}]
    lines = medicine_record(sheets(*both, heads=heads)).lines
    assert lines.loc[lines["entry"] == "administration", "hives"].tolist() == [8, 2]


def test_a_spoon_counts_by_what_it_holds_and_kilograms_by_their_grams() -> None:
    spoon = GIVEN | {"dose": 1, "unit": "spoon", "sublimator": "S1"}
    bought = BOUGHT | {"quantity": 0.35, "unit": "kg"}
    record = medicine_record(sheets(spoon, medicines=[bought], gear=[{"item": "S1", "spoon_g": 2.1}]))
    assert record.stock.loc[0, "balance"] == pytest.approx(350 - 21)


def test_a_round_in_season_is_kept_five_years_from_its_day_and_a_purchase_until_its_batch_is_used_up() -> None:
    record = medicine_record(sheets(GIVEN))
    assert given(record).loc[0, "keep_until"] == pd.Timestamp("2030-09-03")
    purchase = record.lines[record.lines["entry"] == "acquisition"].iloc[0]
    assert pd.isna(purchase["keep_until"])
    assert "five years" in purchase["keep_rule"]
    used_up = medicine_record(sheets(GIVEN | {"dose": 10.0}, labels=[LABEL | {"max_dose": None}]))
    assert used_up.lines.loc[used_up.lines["entry"] == "acquisition", "keep_until"].iloc[0] == pd.Timestamp(
        "2030-09-03"
    )


def test_five_years_from_29_february_is_not_a_day_short() -> None:
    record = medicine_record(sheets(GIVEN | {"date": "2024-02-29"}))
    assert given(record).loc[0, "keep_until"] == pd.Timestamp("2029-03-01")


def test_withdrawal_ends_after_the_last_day_in_the_hive_and_is_unknown_while_strips_are_in() -> None:
    label = LABEL | {"product": "strips", "max_dose": None, "withdrawal_days": 14}
    placed = GIVEN | {"treatment": "amitraz strips", "product": "strips", "unit": "strips", "removed": "2025-10-15"}
    bought = BOUGHT | {"product": "strips", "unit": "strips"}
    record = medicine_record(sheets(placed, medicines=[bought], labels=[label]))
    assert given(record).loc[0, "withdrawal_end"] == pd.Timestamp("2025-10-29")
    still_in = medicine_record(sheets(placed | {"removed": None}, medicines=[bought], labels=[label]))
    assert pd.isna(given(still_in).loc[0, "withdrawal_end"])


def test_a_substance_that_is_no_medicine_gets_no_withdrawal_period_and_leaves_the_record_incomplete() -> None:
    label = LABEL | {"authorised": "no", "withdrawal_days": 0}
    record = medicine_record(sheets(GIVEN, labels=[label]))
    line = given(record).loc[0]
    assert line["medicine"] == "not an authorised medicine"
    assert pd.isna(line["withdrawal_days"]) and pd.isna(line["withdrawal_end"])
    assert not record.facts["complete"]
    assert record.facts["unauthorised"] == ["oxalic powder"]
    assert "oxalic powder is not an authorised medicine" in record.facts["incomplete_because"]


def test_a_product_without_a_label_row_is_one_point_not_one_for_each_line() -> None:
    record = medicine_record(sheets(GIVEN, GIVEN | {"date": "2025-09-09", "round": 2}, labels=[]))
    assert record.open_points["kind"].tolist() == ["label unread"]
    assert record.open_points.loc[0, "since"] == pd.Timestamp("2025-06-14")
    assert given(record)["missing"].tolist() == ["withdrawal period, even when it is zero"] * 2


def test_gaps_say_what_is_missing_and_where_to_find_it() -> None:
    bare = {"date": "2025-09-03", "apiary": "MEADOW", "colonies": "all", "treatment": "oxalic sublimation"}
    record = medicine_record(sheets(bare, medicines=[], labels=[]))
    point = record.open_points.iloc[0]
    assert (point["apiary"], point["kind"]) == ("MEADOW", "record gap")
    assert point["what"] == "name of the product and quantity given not recorded: 1 line of oxalic sublimation"
    assert "`treatments`" in point["remedy"]
    assert given(record).loc[0, "where_to_find"].startswith("on the tub or packet; dose on the spoon")


def test_a_correction_strikes_the_old_line_which_stays_and_is_not_counted() -> None:
    correction = GIVEN | {"dose": 2.2, "corrects": "row 2", "written_on": "2025-09-10"}
    record = medicine_record(sheets(GIVEN, correction))
    lines = given(record)
    assert lines["status"].tolist() == ["struck through", "in force"]
    assert lines.loc[0, "struck_on"] == pd.Timestamp("2025-09-10")
    assert lines.loc[0, "corrected_by"] == "treatments.csv row 3"
    assert record.stock.loc[0, "given"] == pytest.approx(22)


def test_corrections_name_a_line_by_row_or_by_day_and_place_and_lost_ones_are_told() -> None:
    rows = [
        GIVEN | {"from_row": 2},
        GIVEN | {"from_row": 3, "apiary": "BANK"},
        GIVEN | {"from_row": 4, "corrects": "2025-09-03 BANK", "apiary": "BANK"},
        GIVEN | {"from_row": 5, "corrects": "14"},
        GIVEN | {"from_row": 6, "corrects": "3 Sep 2025 NOWHERE"},
    ]
    found = corrections(records({"MEADOW": 1, "BANK": 1}, treatments=rows).tables["treatments"])
    assert found.struck_by == {1: 2}
    assert set(found.lost) == {3, 4}


def test_two_lines_that_correct_each_other_do_not_both_vanish() -> None:
    rows = [GIVEN | {"from_row": 2, "corrects": "3"}, GIVEN | {"from_row": 3, "corrects": "2"}]
    found = corrections(records({"MEADOW": 1}, treatments=rows).tables["treatments"])
    assert len(found.struck_by) == 1 and len(found.lost) == 1


def test_a_dose_over_the_label_is_said_once_for_each_product_and_season() -> None:
    over = [GIVEN | {"dose": 2.5, "date": f"2025-09-{day:02d}"} for day in (3, 9, 15)]
    record = medicine_record(sheets(*over, GIVEN | {"dose": 2.6, "date": "2024-09-01"}))
    assert record.breaches[["season", "limit", "lines"]].values.tolist() == [[2024, "dose", 1], [2025, "dose", 3]]
    assert record.facts["breaches"][1].endswith(
        "up to 2.5 g product per hive of oxalic powder where its label allows 2.3"
    )


@pytest.mark.parametrize(
    ("unit", "boxes", "expected"),
    [
        ("g product per hive", 2, 2.3),
        ("g oad per hive", 1, 2.3 * 0.886),  # SCIENCE: 2.3 g of a powder with 886 mg/g holds 2.04 g of crystals
        ("g oad per brood box", 2, 2.3 * 0.886 / 2),
    ],
)
def test_doses_meet_the_label_in_its_own_unit(unit: str, boxes: float, expected: float) -> None:
    label = LABEL | {"dose_unit": unit}
    assert dose_in_label_unit({"dose": 2.3, "unit": "g"}, label, boxes) == pytest.approx(expected)


def test_rounds_supers_and_cold_beyond_the_label_are_told() -> None:
    label = LABEL | {"max_rounds_per_year": 1, "supers_allowed": "no", "min_c": 5}
    lines = [GIVEN | {"supers_on": "yes"}, GIVEN | {"date": "2025-09-09", "air_c": 3}]
    record = medicine_record(sheets(*lines, labels=[label]))
    assert record.breaches["limit"].tolist() == ["rounds", "supers", "cold"]


def test_a_batch_past_its_day_is_marked_in_the_line_and_in_the_stock() -> None:
    record = medicine_record(sheets(GIVEN, medicines=[BOUGHT | {"expiry": "2025-08-31"}]))
    assert given(record).loc[0, "after_expiry"] == "yes"
    assert record.stock.loc[0, ["expired", "given_after_expiry"]].tolist() == ["yes", 1]
    assert "expired batch" in set(record.open_points["kind"])
    assert not record.facts["complete"]


def test_strips_that_came_out_and_were_disposed_of_are_not_taken_off_twice() -> None:
    label = LABEL | {"product": "strips", "max_dose": None}
    placed = GIVEN | {"treatment": "amitraz strips", "product": "strips", "unit": "strips", "removed": "2025-10-15"}
    bought = BOUGHT | {"product": "strips", "unit": "strips"}
    gone = bought | {"event": "disposed", "date": "2025-11-01", "quantity": 20, "from_row": 3}
    assert medicine_record(sheets(placed, medicines=[bought, gone], labels=[label])).stock.loc[0, "balance"] == 80


def test_more_given_than_bought_is_a_point() -> None:
    record = medicine_record(sheets(GIVEN, medicines=[BOUGHT | {"quantity": 15}]))
    assert record.stock.loc[0, "balance"] == -5
    assert record.open_points["what"].str.contains("more given").any()


def test_only_treatments_with_a_product_are_in_the_record() -> None:
    caging = {"date": "2025-07-20", "apiary": "MEADOW", "colonies": "all", "treatment": "queen caging"}
    assert given(medicine_record(sheets(caging))).empty


@pytest.mark.parametrize("jurisdiction", list(REGULATIONS))
def test_every_field_the_regulation_asks_for_is_a_column(jurisdiction: str) -> None:
    regulation = REGULATIONS[jurisdiction]
    asked = {
        field.column for entry in ("acquisition", "administration", "disposal") for field in regulation.fields(entry)
    }
    assert asked <= set(COLUMNS)
    record = medicine_record(sheets(GIVEN, settings={"jurisdiction": jurisdiction}))
    assert record.facts["complete"], record.facts["incomplete_because"]


def test_in_the_eu_a_vets_prescription_names_the_vet() -> None:
    label = LABEL | {"authorised": "vet"}
    record = medicine_record(sheets(GIVEN, labels=[label], settings={"jurisdiction": "eu"}))
    assert "who prescribed it" in given(record).loc[0, "missing"]


def test_places_where_mites_were_not_notified_are_named_where_the_law_asks() -> None:
    silent = [{"apiary": "MEADOW", "hives": 10}]
    assert medicine_record(sheets(GIVEN, apiaries=silent)).open_points["kind"].tolist() == ["notice"]
    abroad = sheets(GIVEN, apiaries=silent, settings={"jurisdiction": "eu"})
    assert "notice" not in set(medicine_record(abroad).open_points["kind"])


def test_the_order_of_the_sheets_changes_nothing() -> None:
    lines = [GIVEN | {"date": f"2025-09-{day:02d}", "batch": "B1" if day < 9 else ""} for day in (3, 9, 15)]
    made = sheets(*lines)
    first, other = medicine_record(made), medicine_record(shuffled(made, 7))
    pd.testing.assert_frame_equal(first.lines, other.lines)
    pd.testing.assert_frame_equal(first.stock, other.stock)
    pd.testing.assert_frame_equal(first.open_points, other.open_points)


def test_the_record_depends_on_the_day_only_through_expiry() -> None:
    early, late = sheets(GIVEN), sheets(GIVEN, as_of=date(2030, 1, 1))
    pd.testing.assert_frame_equal(medicine_record(early).lines, medicine_record(late).lines)
    assert medicine_record(late).stock.loc[0, "expired"] == "yes"
