"""The ten sentences are right for none, one, many, unknown and contradictory records."""

import re

import pytest

from kit.report.words import season_sentences
from kit.report.words.phrases import ANCHORS
from kit.season.findings import Findings
from tests.unit.words.facts import KILL, LATE, PLAN, season


def said(number: int, **changes: object) -> str:
    return season_sentences(season(**changes), None)[number - 1].text


WINTER = {
    "wintered": 100, "came_out": 85, "lost": 15, "lost_pct": 15.0, "lost_pct_low": 9.1, "lost_pct_high": 23.6,
    "winter_over": True, "lost_by_cause": [{"cause": "mites", "lost": 9}, {"cause": "unknown", "lost": 6}],
}  # fmt: skip


def test_there_are_ten_with_known_anchors_even_when_nothing_was_written() -> None:
    sentences = season_sentences(season(), None)
    assert len(sentences) == 10
    assert all(s.why in ANCHORS for s in sentences)
    assert not any(re.search(r"\bNone\b|\bnan\b|  |\.\.", s.text) for s in sentences), sentences


def test_losses_say_in_out_lost_by_cause_and_interval() -> None:
    assert said(1, **WINTER) == (
        "100 hives went into winter and 85 came out: 15 lost (15 %, likely 9 to 24 %), "
        "9 to mites and 6 of unknown cause."
    )


def test_no_loss_is_said_with_its_interval_and_one_hive_in_the_singular() -> None:
    none = {
        **WINTER,
        "wintered": 1,
        "came_out": 1,
        "lost": 0,
        "lost_pct": 0.0,
        "lost_pct_low": 0.0,
        "lost_by_cause": [],
    }
    assert said(1, **none).startswith("1 hive went into winter and 1 came out: none lost (0 %, likely 0 to 24 %)")


def test_a_winter_not_over_claims_no_loss() -> None:
    assert "not recorded yet" in said(1, wintered=40)


def test_heads_that_do_not_add_up_are_shown_beside_the_numbers() -> None:
    text = said(1, **WINTER, heads_conflicts=[{"apiary": "B", "what": "12 in autumn, 14 in spring, none bought"}])
    assert "do not add up: B: 12 in autumn, 14 in spring" in text


def test_unrecorded_heads_name_the_line_to_write() -> None:
    assert "not recorded" in said(1) and "1 October" in said(1)
    assert said(1, hives=31).startswith("31 hives standing by the last records;")


def test_the_late_apiary_is_named_against_the_rest_with_what_cannot_be_told() -> None:
    text = said(
        2, late=[LATE], on_time=["B"], late_wintered=20, late_lost=8, rest_wintered=80, rest_lost=7,
        late_extra_colonies_p05=0.6, late_extra_colonies_p50=2.2, late_extra_colonies_p95=5.1,
        late_told_apart=False, late_told_apart_why="one apiary was late and it alone is wet",
    )  # fmt: skip
    assert "Rushy Bottom (26 days)" in text
    assert "8 of 20 (40 %), the rest 7 of 80 (9 %)" in text
    assert "about 2.2 colonies (likely 0.6 to 5.1)" in text
    assert "cannot tell lateness from crop and ground: one apiary was late" in text


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, "cannot be said"),
        ({"on_time": ["A", "B"]}, "Nothing was late: all 2 apiaries"),
        ({"late": [{**LATE, "treated_on": None, "days_late": 200}], "on_time": ["B"]}, "(no treatment recorded)"),
    ],
)
def test_lateness_for_unknown_none_and_untreated(changes: dict[str, object], expected: str) -> None:
    assert expected in said(2, **changes)


def test_why_late_is_ranked_or_asked_for() -> None:
    reasons = [{"why": "ground", "apiaries": 1, "days": 26}, {"why": "supers", "apiaries": ["C", "D"], "days": 9}]
    assert said(3, late=[LATE], why_late=reasons) == (
        "Why late, by days lost: ground (26 days, 1 apiary) and supers (9 days, 2 apiaries)."
    )
    assert "not recorded" in said(3, late=[LATE])
    assert said(3) == "Why late: nothing to explain."


def test_what_worked_is_never_claimed_without_a_count() -> None:
    strips = {"treatment": "amitraz strips", "apiaries": 3, "hives": 40, "counted_apiaries": [], "basis": "", **KILL}
    assert "What worked is not known" in said(4, treatments=[strips])
    counted = {**strips, "counted_apiaries": ["B"]}
    assert said(4, treatments=[counted]) == (
        "What worked: amitraz strips killed about 72 % (likely 61 to 80) of the mites, looked at in B."
    )
    assert "no treatment is recorded" in said(4)


def test_the_weak_one_comes_with_likely_cause_and_one_thing_to_do() -> None:
    row = {
        "apiary": "C", "treatment": "oxalic sublimation", "start": "2025-11-01", "counted": True, "cause": "poor seal",
        "evidence": "seal poor in 2 of 3 rounds", "check": "foam the floor and tape the entrance", **KILL,
    }  # fmt: skip
    text = said(5, weak=[row])
    assert "oxalic sublimation at C from 1 Nov killed about 72 %" in text and "likely cause: poor seal" in text
    assert "Do: foam the floor" in text


def test_a_slow_machine_is_named_even_when_no_kill_is_weak() -> None:
    slow = {"apiary": "D", "cause": "worn element", "evidence": "41 s a dose", "check": "measure its ohms cold"}
    told = said(5, slow_vapour=[slow])
    assert "Vapour was slow at D; likely cause: worn element (41 s a dose). Do: measure its ohms cold." in told


def test_first_now_says_where_and_what_waiting_costs() -> None:
    go = {
        "apiary": "E", "due": "winter round", "from": "2025-12-01", "to": "2026-01-05", "reason": "load above limit",
        "load_p05": 180.0, "load_p50": 304.0, "load_p95": 521.0, "wait_cost_p05": 4.0, "wait_cost_p50": 11.0,
        "wait_cost_p95": 30.0, "next_count": "three trays at the round",
    }  # fmt: skip
    text = said(6, first=go, as_of="2025-11-20")
    assert "Go first to E: winter round, from 1 Dec to 5 Jan: load above limit." in text
    assert "about 300 mites a hive (likely 180 to 520)" in text and "waiting a week costs about GBP 11" in text


def test_open_points_name_strips_first() -> None:
    text = said(
        7, strips_in=[{"apiary": "F", "treatment": "amitraz strips", "since": "2025-08-20"}],
        open_by_kind={"strips in": 1, "record gap": 3},
    )  # fmt: skip
    assert text == "Still open: strips not taken out: amitraz strips at F since 20 Aug; 3 gaps in the medicine record."


def test_effort_counts_what_was_recorded_only() -> None:
    assert said(8) == "Trips and hours: not recorded."
    text = said(
        8, trips=61, hours=212.4, drive_hours=77.0, wasted_trips=3, wasted_why=[{"why": "ground", "trips": 3}],
        doses=280, acid_g=571.2, doses_unweighed=12,
    )  # fmt: skip
    assert text == (
        "61 trips, 210 hours, 77 of them driving; 3 trips wasted (ground 3); 280 oxalic doses, 571 g of crystals and "
        "12 doses of unrecorded weight."
    )


def test_next_year_counts_apiaries_by_the_date_that_matters_and_prices_mends() -> None:
    mend = {
        "mend": "one more battery",
        "cost": 140.0,
        "colonies_saved": 1.3,
        "late_days_saved": 9.0,
        "hours_saved": 0.0,
    }
    plan = Findings({**PLAN, "mends": [mend], "heading": "if your label or vet allows it"})
    text = season_sentences(season(), plan)[8].text
    assert "(if your label or vet allows it): 1 of 2 apiaries begin the main treatment by 15 Aug" in text
    assert "15 Aug, the last (B) on 20 Aug" in text
    assert "one more battery (GBP 140) saves 1.3 colonies and 9 late days" in text


def test_after_the_day_to_treat_by_the_sentence_tells_what_was_and_what_is_still_planned() -> None:
    plan = Findings({**PLAN, "as_of": "2026-11-25", "mends": [], "breaks_first": None, "visits": 10, "days_out": 4})
    text = season_sentences(season(), plan)[8].text
    assert "by these records 1 of 2 apiaries began the main treatment by 15 Aug" in text
    assert "still planned: 10 visits on 4 days" in text and "Next year" not in text
    none = Findings({**plan.facts, "visits": 0, "days_out": 0})
    assert "nothing is planned any more" in season_sentences(season(), none)[8].text


def test_what_breaks_first_says_who_is_late_or_left_out_and_mends_say_against_what() -> None:
    breaks = {"what": "batteries in their poor case", "apiaries_late": 0, "apiaries_left_out": 2, "late_days": 0}
    mend = {"mend": "one more battery", "cost": 140, "colonies_saved": 2, "late_days_saved": 0, "hours_saved": 0}
    plan = Findings({**PLAN, "breaks_first": breaks, "mends": [mend], "mends_against": breaks["what"]})
    text = season_sentences(season(), plan)[8].text
    assert "What breaks first: batteries in their poor case (2 apiaries left out)." in text
    assert "Cheapest mends against batteries in their poor case: one more battery (GBP 140) saves 2 colonies." in text


def test_certainty_asks_for_the_one_measurement_and_counts_rows_set_aside() -> None:
    best = {
        "what": "trays under three hives",
        "apiary": "G",
        "when": "with the first round",
        "why": "it decides a round",
    }
    unsure = {"counts": 12, "certainty": "rough", "certainty_why": "most hives were never counted", "problems": 4}
    text = said(10, **unsure, best_measurement=best)
    assert "What would help most: trays under three hives at G, with the first round" in text
    assert "4 rows set aside" in text
