"""What a page tells in fewer columns than the CSV file: what belongs together stands together, and nothing is lost."""

from __future__ import annotations

import pandas as pd

from kit.plan.programme.options import DID
from kit.report import tables
from kit.report.shaped import shaped
from kit.report.show import Note
from kit.report.words.programme import WHAT_YOU_DID
from kit.season.findings import Findings

DAY = pd.Timestamp("2026-12-18")


def test_a_visit_stands_in_one_line_with_the_days_it_may_move_between(plan: Findings) -> None:
    row = plan.tables["visits"].iloc[[0]].assign(
        not_before=pd.Timestamp("2026-12-12"), not_after=pd.Timestamp("2027-01-07"), in_time_pct=93.4,
        spare_days="2026-12-19; 2026-12-21", deed="treat", part=1, window="winter",
    )  # fmt: skip
    told = shaped("visits", row).iloc[0]
    assert told["what"] == "oxalic sublimation, 1 of 2"
    assert (told["may_move"], told["spare_days"]) == ("12\xa0Dec to 7\xa0Jan", "19\xa0Dec and 21\xa0Dec")
    assert shaped("visits", row.assign(deed="take out")).iloc[0]["what"] == "take out oxalic sublimation"


def test_what_goes_along_stands_once_for_each_visit_with_every_item(plan: Findings) -> None:
    kit = pd.DataFrame(
        {"visit_id": ["V1", "V2", "V1"], "apiary": "A", "date": DAY, "item": ["trays", "gloves", "mask"],
         "count": [8, 1, 1], "note": ["", "", "fit test was due 2026-02-10"]}
    )  # fmt: skip
    told = shaped("kit", kit)["to take"].tolist()
    assert told == ["8 trays\nmask (fit test was due 10 Feb 2026)", "gloves"]


def test_the_other_dates_are_those_that_are_no_visits(plan: Findings) -> None:
    assert isinstance(tables.show(plan, "calendar"), Note)
    dates = plan.tables["calendar"].iloc[[0, 1]].assign(event=["supers off", "treat"])
    assert len(shaped("calendar", dates)) == 1


def test_a_mend_says_only_what_it_saves(plan: Findings) -> None:
    assert shaped("mends", plan.tables["mends"])["saves"].tolist() == ["0.6 colonies, 5 late days and 3 hours"]
    nothing = plan.tables["mends"].assign(late_days_saved=0.0, colonies_saved=0.0, hours_saved=0.0)
    assert shaped("mends", nothing)["saves"].tolist() == ["nothing"]


def test_a_second_cause_does_not_say_the_evidence_again_but_how_likely_it_is() -> None:
    said = ["39 s a dose (odds 87 of 100)", "39 s a dose (odds 13 of 100)", "seal poor (odds 60 of 100)"]
    for ranks in ([1, 2, 1], ["1", "2", "1"]):  # as worked out, and as read back from a file
        told = shaped("causes", pd.DataFrame({"rank": ranks, "evidence": said}))["evidence"].tolist()
        assert told == [said[0], "the same (odds 13 of 100)", said[2]]


def test_a_next_count_that_is_what_is_due_is_said_once() -> None:
    count = "trays under three hives for a week from 2026-03-31"
    table = pd.DataFrame({"due": ["trays under three hives", "take strips out"], "next_count": [count, count]})
    assert shaped("today", table)["next_count"].tolist() == ["", count]


def gear(*verdicts: str) -> Findings:
    rows = [("B1", v, "resting volts", 12.7, "V", 12.5, 12.65, 12.85) for v in verdicts]
    names = ["item", "verdict", "check", "recorded", "unit", "expected_p05", "expected_p50", "expected_p95"]
    return Findings({}, {}, {"gear": pd.DataFrame(rows, columns=names)})


def test_faults_of_the_gear_stand_open_and_what_is_in_order_is_one_tap_away() -> None:
    html = tables.show(gear("in order", "low", "not run down"), "gear")._repr_html_()
    opened, folded = html.split("<details", 1)
    assert ">low<" in opened and ">in order<" not in opened
    assert "The other 2" in folded and ">12.7 V<" in folded


def test_gear_without_a_fault_says_so_before_it_is_opened() -> None:
    html = tables.show(gear("in order", "not run down"), "gear")._repr_html_()
    assert html.startswith("<details") and "2 rows, nothing wrong" in html


def test_the_programme_of_last_season_is_known_by_the_plan_s_name_for_it() -> None:
    assert WHAT_YOU_DID == DID
