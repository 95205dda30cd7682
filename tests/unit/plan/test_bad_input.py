"""One apiary and records that are wrong, short or late: the plan says so in a sentence and plans what it can."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest

from kit.constants import plan as numbers
from kit.plan.make import make
from kit.records.load import load
from kit.records.records import Records
from kit.season.findings import Findings
from tests.unit.plan.operation import SHEETS, review_of

HEAD, ASH = SHEETS["apiaries"].splitlines()[:2]
LOG = "\n".join(line for line in SHEETS["log"].splitlines() if ",ASH," in line or line.startswith("date"))
ONE = SHEETS | {"apiaries": f"{HEAD}\n{ASH}\n", "log": f"{LOG}\n", "treatments": "date,apiary\n", "crops": "apiary\n"}


def records_of(folder: Path, as_of: date = date(2026, 3, 31), **sheets: str) -> Records:
    for name, text in (ONE | sheets).items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return load(folder, season=2025, as_of=as_of, today=as_of)


def plan_of(records: Records) -> Findings:
    return make(records, review_of(records), seed=1)


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Findings:
    """A single apiary, no battery in the gear, and a word in plan_may_use that is no treatment."""
    gear = "\n".join(line for line in SHEETS["gear"].splitlines() if ",battery," not in line) + "\n"
    asked = SHEETS["settings"] + "plan_may_use,amitraz strips; oxalic sublimation; smoke\n"
    return plan_of(records_of(tmp_path_factory.mktemp("one"), gear=gear, settings=asked))


def test_one_apiary_alone_is_planned_and_moving_it_is_no_mend(one: Findings) -> None:
    assert (one.facts["apiaries"], one.facts["apiaries_left_out"]) == (1, [])
    assert len(one.tables["visits"]) > 0
    assert not one.tables["mends"]["mend"].str.startswith("moving").any()


def test_a_word_that_is_no_treatment_is_named_with_the_words_to_write(one: Findings) -> None:
    (said,) = [said for said in one.facts["guesses"] if "plan_may_use" in said]
    assert said.startswith(
        "plan_may_use in settings holds smoke, which is no treatment the plan knows: the plan goes by"
    )
    assert "oxalic trickle" in said


def test_without_a_battery_the_doses_of_a_charge_are_said_to_be_assumed(one: Findings) -> None:
    said = "No battery is recorded: 40 doses a charge are assumed, as the trade has it."
    assert said in one.facts["guesses"]


def test_what_is_to_be_bought_is_ordered_in_time_for_its_first_use(one: Findings) -> None:
    shopping = one.tables["shopping"].set_index("treatment")
    treated = one.tables["visits"].query("deed == 'treat'").groupby("treatment")["date"].min()
    lead = timedelta(days=numbers.ORDER_LEAD_DAYS.value)
    assert len(shopping)
    for word in shopping.index:
        assert shopping.loc[word, "first_use"] == treated[word]
        assert shopping.loc[word, "order_by"] == treated[word] - lead


def test_no_working_day_at_all_leaves_everything_out_with_what_to_set(tmp_path: Path) -> None:
    records = records_of(tmp_path)
    found = plan_of(replace(records, settings=replace(records.settings, work_days=())))
    assert found.tables["visits"].empty
    left = found.tables["left_out"]
    assert left["why"].str.endswith("there is no working day").all()
    assert (left["remedy"] == "set work_days and work_hours_per_day in settings").all()


def test_a_day_to_treat_by_that_is_past_is_said_and_the_rest_planned(tmp_path: Path) -> None:
    found = plan_of(records_of(tmp_path, date(2026, 9, 20)))
    assert [late["why"] for late in found.facts["apiaries_late"]] == [
        "the records end on 20 September, and nothing was given by then"
    ]
    assert (found.tables["visits"]["date"] > pd.Timestamp(2026, 9, 20)).all()
    assert "winter" in set(found.tables["visits"]["window"])


def test_a_label_of_no_rounds_plans_none_and_says_so(tmp_path: Path) -> None:
    none = SHEETS["labels"].replace("per hive,4,no", "per hive,0,no")
    found = plan_of(records_of(tmp_path, labels=none))
    assert not found.tables["visits"]["treatment"].str.startswith("oxalic").any()
    assert {"3 rounds wanted, the label leaves 0"} <= {cut["what"] for cut in found.facts["label_cuts"]}


def test_a_product_not_authorised_here_gives_way_to_one_of_the_same_substance_that_is(tmp_path: Path) -> None:
    labels = SHEETS["labels"].replace(
        "oxalic powder,oxalic acid dihydrate,yes",
        "oxalic two,oxalic acid dihydrate,yes,1000,2.0,g product per hive,4,no,no,2025-06-01\n"
        "oxalic powder,oxalic acid dihydrate,no",
    )
    given = "\n".join(SHEETS["treatments"].splitlines()[:2]) + "\n"
    found = plan_of(records_of(tmp_path, labels=labels, treatments=given))
    oxalic = found.tables["visits"].query("treatment == 'oxalic sublimation'")
    assert set(oxalic["product"]) == {"oxalic two"}
    assert oxalic["dose_g"].max() <= 2.0
    assert "oxalic powder is not authorised: oxalic two instead" in [cut["what"] for cut in found.facts["label_cuts"]]
