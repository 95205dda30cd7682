"""An apiary's five sentences are right for none, one, many, unknown and contradictory records."""

import re

from kit.report.words import apiary_sentences
from kit.season.findings import Findings
from tests.unit.words.facts import KILL, PLAN_APIARY, apiary


def said(number: int, **changes: object) -> str:
    return apiary_sentences(apiary(**changes), None, "A")[number - 1].text


def test_there_are_five_even_when_nothing_was_written() -> None:
    sentences = apiary_sentences(apiary(), None, "A")
    assert len(sentences) == 5
    assert not any(re.search(r"\bNone\b|\bnan\b|  |\.\.", s.text) for s in sentences), sentences
    assert (
        sentences[0].text
        == "autumn and spring heads are not recorded."[0].upper() + "utumn and spring heads are not recorded."
    )


def test_heads_with_losses_none_lost_and_contradiction() -> None:
    heads = {"wintered": 12, "came_out": 10, "lost": 2, "lost_pct": 16.7, "lost_pct_low": 4.7, "lost_pct_high": 44.8}
    text = said(1, **heads, lost_by_cause=[{"cause": "queen", "lost": 2}], heads_missing=None)
    assert text == "12 hives went into winter, 10 came out; 2 lost (17 %, likely 5 to 45 %), 2 to a failed queen."
    assert "none lost" in said(1, **{**heads, "came_out": 12, "lost": 0}, heads_missing=None)
    assert "do not add up: 12 then 14" in said(1, heads_conflicts=["12 then 14"])


def test_timing_says_late_with_its_reason_in_time_or_unknown() -> None:
    strips = {"treatment": "amitraz strips", "treated_on": "2025-09-10"}
    assert said(2, **strips, days_late=26, why_late="ground").startswith(
        "Amitraz strips began on 10 Sep, 26 days after 15 Aug (ground)."
    )
    assert "in time for 15 Aug (5 days ahead)" in said(2, **strips, days_late=-5)
    assert "in time for 15 Aug (on the day)" in said(2, **strips, days_late=0)
    assert said(2).startswith("No main treatment is recorded")


def test_treatment_says_kill_basis_and_cause() -> None:
    row = {
        "treatment": "oxalic sublimation", "start": "2025-11-01", "rounds": 3, "basis": "counts before and after",
        "cause": "poor seal", "evidence": "2 of 3 rounds", "check": "foam the floor", **KILL,
    }  # fmt: skip
    assert said(3, treatments=[row]) == (
        "Oxalic sublimation in 3 rounds from 1 Nov killed about 72 % (likely 61 to 80) of the mites; counts before and "
        "after; weak, likely cause: poor seal (2 of 3 rounds): foam the floor."
    )


def test_where_it_stands_names_its_basis() -> None:
    text = said(4, load_p05=40.0, load_p50=90.0, load_p95=210.0, load_basis="carried from a board on 2 Dec")
    assert text == "On 31 Mar about 90 mites a hive (likely 40 to 210), carried from a board on 2 Dec."


def test_next_year_gives_the_first_date_and_kit_or_why_not() -> None:
    plan = Findings({}, {"A": PLAN_APIARY})
    assert apiary_sentences(apiary(), plan, "A")[4].text == (
        "Next year: amitraz strips first on 3 Aug 2026; take 24 strips and 3 trays."
    )
    none = Findings({}, {"A": {**PLAN_APIARY, "first_date": None, "left_out": "no working day is left"}})
    assert apiary_sentences(apiary(), none, "A")[4].text == "Next year: no working day is left."
