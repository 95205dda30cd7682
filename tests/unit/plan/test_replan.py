"""A plan made again in its season: what is done stays, what is left goes on from it, each change has its reason."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from kit.plan.make import make
from kit.records.load import load
from kit.season.findings import Findings
from tests.unit.plan.operation import SHEETS, plan_of, review_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def before() -> Findings:
    return plan_of()


def again(folder: Path, log: str, as_of: date, last: Findings | None, **sheets: str) -> Findings:
    for name, text in (SHEETS | {"log": SHEETS["log"] + log} | sheets).items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    records = load(folder, season=2025, as_of=as_of, today=as_of)
    return make(records, review_of(records), seed=1, last=last)


def of(plan: Findings, apiary: str, window: str) -> pd.DataFrame:
    return plan.tables["visits"].query(f"apiary == '{apiary}' and window == '{window}'")


STRIPS = "2026-08-05,ASH,amitraz strips; strips in,14,14\n2026-08-17,BIRCH,amitraz strips; strips in,10,10\n"
OUT = "2026-09-28,BIRCH,strips out,10,10\n"
SERIES = "2026-10-25,BIRCH,oxalic sublimation 1,10,10\n"


@pytest.fixture(scope="module")
def after(before: Findings, tmp_path_factory: pytest.TempPathFactory) -> Findings:
    """ASH's strips are still in; BIRCH's came out on their day and its series began two days late, on 25 October."""
    assert of(before, "BIRCH", "autumn")["date"].iloc[0] == pd.Timestamp(2026, 10, 23)
    return again(tmp_path_factory.mktemp("after"), STRIPS + OUT + SERIES, date(2026, 10, 26), before)


def test_no_visit_lies_in_the_past_and_none_is_done_twice(before: Findings, after: Findings) -> None:
    assert (after.tables["visits"]["date"] > pd.Timestamp(2026, 10, 26)).all()
    assert of(after, "BIRCH", "main").empty
    planned = of(before, "BIRCH", "autumn")["round"].tolist()
    assert planned[:2] == [1, 2]
    assert of(after, "BIRCH", "autumn")["round"].tolist() == planned[1:]
    assert of(after, "ASH", "main")["deed"].tolist() == ["take out"]


def test_gaps_are_counted_from_the_round_that_was_given(after: Findings) -> None:
    second = of(after, "BIRCH", "autumn")["date"].iloc[0]
    assert 5 <= (second - pd.Timestamp(2026, 10, 25)).days <= 7


def test_keys_of_visits_stay_so_that_a_calendar_moves_them(before: Findings, after: Findings) -> None:
    assert set(of(after, "BIRCH", "autumn")["visit_id"]) < set(of(before, "BIRCH", "autumn")["visit_id"])


def test_every_change_is_told_with_its_reason(before: Findings, after: Findings) -> None:
    changes = after.tables["changes"].set_index(["apiary", "treatment", "round", "change"])["why"].sort_index()
    assert changes["BIRCH", "oxalic sublimation", 1, "done"] == "2 days later"
    assert changes["ASH", "amitraz strips", 1, "done"] == "on its day"
    late = changes["ASH", "amitraz strips", 1, "moved"]
    days = (of(after, "ASH", "main")["date"].iloc[0] - pd.Timestamp(2026, 9, 30)).days  # eight weeks after 5 August
    assert (
        late == f"no line of the records says that it was done on its day; {days} days late, it was due by 2026-09-30"
    )
    assert changes["BIRCH", "oxalic sublimation", 2, "moved"] == "its gap is counted from the visit of 2026-10-25"
    assert "had to begin by 2026-10-15" in changes["DAMSON", "amitraz strips", 1, "no longer planned"].iloc[0]
    missed = changes["CEDAR", "amitraz strips", 1, "no longer planned"].unique().tolist()
    assert len(missed) == 1
    assert missed[0].startswith("no line of the records says that it was done, and the programme planned before")
    assert "is replaced by 3 autumn rounds; winter round" in missed[0]
    told = after.facts["replanned"]
    assert told["from"] == before.facts["as_of"]
    whole = len(before.tables["visits"])
    assert told["done"] + told["stay"] + told["moved"] + told["dropped"] == whole
    assert told["new"] == len(after.tables["visits"]) - told["stay"] - told["moved"]


def test_in_october_what_came_too_late_gives_way_to_a_longer_series_where_it_was_missed(
    before: Findings, after: Findings
) -> None:
    dropped = after.tables["changes"].query("change == 'no longer planned'")
    assert set(zip(dropped["apiary"], dropped["treatment"], strict=True)) == {
        ("CEDAR", "amitraz strips"),
        ("DAMSON", "amitraz strips"),
    }
    for apiary in ("ASH", "CEDAR", "BIRCH", "DAMSON"):
        assert of(after, apiary, "winter")["date"].tolist() == of(before, apiary, "winter")["date"].tolist()
        was, now = (max(of(plan, apiary, "autumn")["rounds"], default=0) for plan in (before, after))
        assert now > was if apiary == "CEDAR" else not now < was


def test_a_visit_that_is_late_says_so_on_its_sheet(after: Findings) -> None:
    assert "days late: due by 2026-09-30" in of(after, "ASH", "main")["note"].iloc[0]


def test_what_is_done_counts_for_the_chance(before: Findings, after: Findings) -> None:
    """Strips given in time at ASH, none at DAMSON: what is left of the same programme promises far less there."""
    chance = [one.tables["programmes"].query("chosen == 'yes'").set_index("apiary")["chance_pct"] for one in
              (before, after)]  # fmt: skip
    assert chance[1]["ASH"] >= chance[0]["ASH"] - 5
    assert chance[1]["DAMSON"] < chance[0]["DAMSON"] - 20


def test_each_dropped_visit_names_its_own_reason(before: Findings, tmp_path: Path) -> None:
    """Hives gone at DAMSON; at BIRCH a new label of two rounds a year, which a series begun uses up before winter."""
    log = STRIPS.splitlines()[1] + "\n" + OUT + SERIES + "2026-08-01,DAMSON,heads,0,\n"
    found = again(
        tmp_path, log, date(2026, 10, 26), before,
        labels=SHEETS["labels"].replace("per hive,4,no", "per hive,2,no"),
    )  # fmt: skip
    dropped = found.tables["changes"].query("change == 'no longer planned'")
    assert set(dropped.query("apiary == 'DAMSON'")["why"]) == {"no hives stand there by the records"}
    birch = dropped.query("apiary == 'BIRCH' and treatment == 'oxalic sublimation'")["why"]
    longer = bool(of(before, "BIRCH", "autumn")["round"].max() > 2)
    assert birch.tolist() == [
        *["the label in force: 2 rounds wanted, the label leaves 1"] * longer,
        "the label in force: 1 rounds wanted, the label leaves 0",
    ]
    given = of(found, "BIRCH", "autumn").shape[0] + of(found, "BIRCH", "winter").shape[0] + 1
    assert given <= 2


def test_what_has_begun_counts_as_begun_on_its_day(after: Findings) -> None:
    assert after.facts["apiaries_by_date"] >= 1
    assert after.apiary_facts["ASH"]["first_main_date"] == "2026-08-05"


def test_another_treatment_in_its_place_serves_the_window_and_is_said(before: Findings, tmp_path: Path) -> None:
    found = again(tmp_path, "2026-08-05,ASH,oxalic sublimation 1,14,14\n", date(2026, 8, 6), before)
    assert of(found, "ASH", "main").empty
    dropped = found.tables["changes"].query("apiary == 'ASH' and change == 'no longer planned'")["why"]
    assert dropped.str.contains("oxalic sublimation was given instead on 2026-08-05").any()
    chosen = found.tables["programmes"].query("apiary == 'ASH' and chosen == 'yes'")["programme"].iloc[0]
    assert "oxalic sublimation" in chosen
    assert "amitraz" not in chosen


def test_a_plan_of_another_season_is_passed_over(before: Findings, tmp_path: Path) -> None:
    other = Findings({**before.facts, "season": 2024}, before.apiary_facts, before.tables)
    found = again(tmp_path, "", date(2026, 3, 31), other)
    assert found.facts["replanned"] is None
    assert found.tables["changes"].empty


def test_the_same_records_keep_every_visit_on_its_day(before: Findings, tmp_path: Path) -> None:
    found = again(tmp_path, "", date(2026, 3, 31), before)
    assert found.tables["changes"].empty
    assert found.facts["replanned"]["stay"] == len(before.tables["visits"])
