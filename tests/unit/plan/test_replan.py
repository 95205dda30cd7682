"""A plan made again in its season: what is done stays, what is left goes on from it, each change has its reason."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from kit.plan.carried import within_labels
from kit.plan.done import Series
from kit.plan.labels import label_for
from kit.plan.make import make
from kit.plan.wishes import Begun, Wanted
from kit.records.load import load
from kit.season.findings import Findings
from tests.unit.plan.operation import SHEETS, records_of, review_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Findings:
    records = records_of(tmp_path_factory.mktemp("before"))
    return make(records, review_of(records), seed=1)


def again(folder: Path, log: str, as_of: date, last: Findings | None) -> Findings:
    for name, text in (SHEETS | {"log": SHEETS["log"] + log}).items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    records = load(folder, season=2025, as_of=as_of, today=as_of)
    return make(records, review_of(records), seed=1, last=last)


def of(plan: Findings, apiary: str, window: str) -> pd.DataFrame:
    return plan.tables["visits"].query(f"apiary == '{apiary}' and window == '{window}'")


STRIPS = "2026-08-05,ASH,amitraz strips; strips in,14,14\n2026-09-10,CEDAR,amitraz strips; strips in,18,18\n"
OUT = "2026-10-23,CEDAR,strips out,18,18\n"
SERIES = "2026-10-25,CEDAR,oxalic sublimation 1,18,18\n"


@pytest.fixture(scope="module")
def after(before: Findings, tmp_path_factory: pytest.TempPathFactory) -> Findings:
    """ASH's strips are still in; CEDAR's came out on their day and its series began two days late, on 25 October."""
    assert of(before, "CEDAR", "autumn")["date"].iloc[0] == pd.Timestamp(2026, 10, 23)
    return again(tmp_path_factory.mktemp("after"), STRIPS + OUT + SERIES, date(2026, 10, 26), before)


def test_no_visit_lies_in_the_past_and_none_is_done_twice(after: Findings) -> None:
    assert (after.tables["visits"]["date"] > pd.Timestamp(2026, 10, 26)).all()
    assert of(after, "CEDAR", "main").empty
    assert of(after, "CEDAR", "autumn")["round"].tolist() == [2]
    assert of(after, "ASH", "main")["deed"].tolist() == ["take out"]


def test_gaps_are_counted_from_the_round_that_was_given(after: Findings) -> None:
    second = of(after, "CEDAR", "autumn")["date"].iloc[0]
    assert 5 <= (second - pd.Timestamp(2026, 10, 25)).days <= 7


def test_keys_of_visits_stay_so_that_a_calendar_moves_them(before: Findings, after: Findings) -> None:
    assert set(of(after, "CEDAR", "autumn")["visit_id"]) < set(of(before, "CEDAR", "autumn")["visit_id"])


def test_every_change_is_told_with_its_reason(before: Findings, after: Findings) -> None:
    changes = after.tables["changes"].set_index(["apiary", "treatment", "round", "change"])["why"].sort_index()
    assert changes["CEDAR", "oxalic sublimation", 1, "done"] == "2 days later"
    assert changes["ASH", "amitraz strips", 1, "done"] == "on its day"
    late = changes["ASH", "amitraz strips", 1, "moved"]
    assert late == "its gap is counted from the visit of 2026-08-05"
    missed = changes["BIRCH", "amitraz strips", 1]
    assert missed.str.contains("no line of the records|no longer wanted").any()
    told = after.facts["replanned"]
    assert told["from"] == before.facts["as_of"]
    whole = len(before.tables["visits"])
    assert told["done"] + told["stay"] + told["moved"] + told["dropped"] == whole


def test_what_has_begun_counts_as_begun_on_its_day(after: Findings) -> None:
    assert after.facts["apiaries_by_date"] >= 1
    assert after.apiary_facts["ASH"]["first_main_date"] == "2026-08-05"


def test_another_treatment_in_its_place_serves_the_window_and_is_said(before: Findings, tmp_path: Path) -> None:
    found = again(tmp_path, "2026-08-05,ASH,oxalic sublimation 1,14,14\n", date(2026, 8, 6), before)
    assert of(found, "ASH", "main").empty
    dropped = found.tables["changes"].query("apiary == 'ASH' and change == 'no longer planned'")["why"]
    assert dropped.str.contains("oxalic sublimation was given instead on 2026-08-05").any()


def test_a_plan_of_another_season_is_passed_over(before: Findings, tmp_path: Path) -> None:
    other = Findings({**before.facts, "season": 2024}, before.apiary_facts, before.tables)
    found = again(tmp_path, "", date(2026, 3, 31), other)
    assert found.facts["replanned"] is None
    assert found.tables["changes"].empty


def test_the_same_records_keep_every_visit_on_its_day(before: Findings, tmp_path: Path) -> None:
    found = again(tmp_path, "", date(2026, 3, 31), before)
    assert found.tables["changes"].empty
    assert found.facts["replanned"]["stay"] == len(before.tables["visits"])


def test_rounds_given_count_against_the_label_before_new_ones(tmp_path: Path) -> None:
    """The label of the sheet leaves four oxalic rounds a year: two given, two of the series, none for winter."""
    label = label_for(records_of(tmp_path).tables["labels"], "oxalic sublimation", "oxalic powder")
    days = (date(2026, 10, 10), date(2026, 10, 16))
    given = Series("CEDAR", "oxalic sublimation", "autumn", "oxalic powder", days, None)
    winter = Wanted("CEDAR", given.word, "winter", given.product, 1, (5, 7), "", "", label=label, allowed=1)
    series = Wanted(
        "CEDAR", given.word, "autumn", given.product, 4, (5, 7), "", "", label=label, allowed=4,
        begun=Begun(2, *days),
    )  # fmt: skip
    left, cuts = within_labels([winter, series], [given])
    assert left == [series]
    assert [(cut.window, cut.what) for cut in cuts] == [("winter", "1 rounds wanted, the label leaves 0")]
