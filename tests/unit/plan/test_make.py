"""The plan of a small operation: every table, the rules of labels and days, and what is said if things go wrong."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from kit.plan.make import make
from kit.season.findings import Findings, read, save
from tests.unit.plan.operation import SHEETS, plan_of, records_of, review_of

TABLES = {
    "programmes": "apiary programme chosen basis treatments rounds interval_days chance_pct loss_pct_p50 minutes cost",
    "mends": "mend cost apiaries_saved late_days_saved colonies_saved hours_saved money_saved",
    "calendar": "date apiary event treatment round rounds not_before not_after uid note",
    "shopping": "product treatment needed in_hand to_buy unit leftover",
    "visits": "visit_id apiary date not_before not_after round rounds treatment colonies drive_min carry_min minutes "
    "supply doses_per_charge_p05 charges dose_g note",
    "kit": "visit_id apiary date item count note",
    "left_out": "apiary why remedy",
    "days": "date apiaries minutes minutes_free",
}
"""Columns that DEVELOPERS.md and the record sheets' page promise."""


@pytest.fixture(scope="module")
def plan() -> Findings:
    return plan_of()


def settings(**values: str) -> str:
    kept = [line for line in SHEETS["settings"].splitlines() if line.split(",")[0] not in values]
    return "\n".join([*kept, *(f"{name},{value}" for name, value in values.items())]) + "\n"


def label(**changed: str) -> str:
    head, oxalic, *_ = SHEETS["labels"].splitlines()
    row = dict(zip(head.split(","), oxalic.split(","), strict=True)) | changed
    return head + "\n" + ",".join(row.values()) + "\n"


def oxalic_rounds(table: pd.DataFrame) -> pd.Series:
    return table[table["treatment"].str.startswith("oxalic")].groupby("apiary").size()


@pytest.mark.parametrize("name", TABLES)
def test_every_table_holds_the_columns_promised(plan: Findings, name: str) -> None:
    assert set(TABLES[name].split()) <= set(plan.tables[name].columns)


def test_it_is_saved_and_read_back_whole(plan: Findings, tmp_path: Path) -> None:
    save(plan, tmp_path)
    again = read(tmp_path / "operation.json")
    assert again.facts == plan.facts
    assert again.apiary_facts == plan.apiary_facts


@pytest.fixture(scope="module")
def again(tmp_path_factory: pytest.TempPathFactory) -> tuple[Findings, list[tuple[int, int, str]]]:
    """The same plan made anew, and what was told on the way."""
    told: list[tuple[int, int, str]] = []
    records = records_of(tmp_path_factory.mktemp("again"))
    return make(records, review_of(records), seed=1, progress=lambda *args: told.append(args)), told


def test_the_same_records_and_seed_give_the_same_plan(
    plan: Findings, again: tuple[Findings, list[tuple[int, int, str]]]
) -> None:
    assert again[0].facts == plan.facts
    for name, table in plan.tables.items():
        pd.testing.assert_frame_equal(table, again[0].tables[name])


def test_progress_is_told_and_ends_whole(again: tuple[Findings, list[tuple[int, int, str]]]) -> None:
    assert again[1][-1][0] == again[1][-1][1]
    assert all(done <= total for done, total, _ in again[1])


def test_every_visit_is_on_a_working_day_that_holds_it(plan: Findings) -> None:
    visits, days = plan.tables["visits"], plan.tables["days"]
    assert (visits["date"].dt.day_of_week < 6).all()
    assert (days["minutes"] <= 360 + 1e-6).all()
    assert set(visits["date"]) == set(days["date"])


def test_rounds_keep_last_seasons_number_and_their_gaps_where_no_label_was_read() -> None:
    ash = plan_of(labels=None).tables["visits"].query("apiary == 'ASH' and window == 'main'")
    assert len(ash) == 3
    assert ash["date"].diff().dropna().dt.days.between(5, 7).all()
    assert (ash["date"] >= pd.Timestamp(2026, 8, 5)).all()  # supers off there


def test_supers_that_come_off_late_make_the_apiary_late_and_say_why(plan: Findings) -> None:
    assert plan.facts["apiaries_late"] == [
        {"apiary": "CEDAR", "date": "2026-09-10", "days_late": 10, "why": "supers off only on 10 September"}
    ]
    assert plan.apiary_facts["CEDAR"]["why_late"] == "supers off only on 10 September"
    assert (plan.facts["last_first_apiary"], plan.facts["apiaries_by_date"], plan.facts["apiaries"]) == ("CEDAR", 3, 4)


def test_an_apiary_without_treatments_gets_what_the_others_do(plan: Findings) -> None:
    damson = plan.tables["programmes"].query("apiary == 'DAMSON'")
    assert damson.query("did == 'yes'")["programme"].tolist() == ["as at your other apiaries"]
    assert {t["basis"] for t in plan.apiary_facts["DAMSON"]["treatments"]} == {"as last season elsewhere"}


def test_strips_are_taken_out_on_a_visit_of_their_own(plan: Findings) -> None:
    strips = plan.tables["visits"].query("apiary == 'BIRCH' and treatment == 'amitraz strips'")
    assert strips["deed"].tolist() == ["treat", "take out"]
    assert 42 <= strips["date"].diff().dt.days.iloc[1] <= 56  # 6 to 8 weeks
    assert plan.tables["calendar"].query("apiary == 'BIRCH'")["event"].tolist().count("strips out") == 1


def test_what_seals_a_hive_is_counted_and_protection_comes_along(plan: Findings) -> None:
    kit = plan.tables["kit"]
    sublimations = plan.tables["visits"].query("apiary == 'ASH' and treatment == 'oxalic sublimation'")
    first = kit[kit["visit_id"] == sublimations["visit_id"].iloc[0]]
    counts = dict(zip(first["item"], first["count"], strict=True))
    assert counts["trays"] == 14
    assert counts["entrance foams"] == 8  # two groups of four are closed at most
    assert counts["doses of oxalic powder"] == 15
    assert {"full-face mask", "mask filter P3 with E", "water for eyes, litres"} <= counts.keys()
    assert "was due 2026-07-01: renew it" in " ".join(first["note"])


def test_a_solid_floor_takes_no_trays(plan: Findings) -> None:
    assert "trays" not in set(plan.tables["kit"].query("apiary == 'CEDAR'")["item"])


def test_nothing_is_recorded_and_the_trade_is_followed_and_said_to_be() -> None:
    found = plan_of(log="date,apiary,did,standing\n2025-04-02,ASH,heads,14\n", treatments=None)
    assert set(found.tables["programmes"].query("chosen == 'yes'")["basis"]) == {"trade practice"}
    assert set(found.tables["programmes"].query("chosen == 'yes'")["grade"]) == {"common practice"}


# labels


def test_without_a_label_entry_no_second_oxalic_round_enters_the_calendar() -> None:
    found = plan_of(labels=None)
    assert found.facts["heading"] == "if your label or vet allows it"
    assert (oxalic_rounds(found.tables["calendar"]) == 1).all()
    assert oxalic_rounds(found.tables["visits"])["ASH"] == 4
    shopping = found.tables["shopping"].set_index("treatment")
    assert "if your label or vet allows it" in shopping.loc["oxalic sublimation", "note"]
    assert found.facts["label_missing"] == ["amitraz strips", "oxalic sublimation"]


def test_the_labels_number_of_rounds_is_never_passed() -> None:
    found = plan_of(labels=label(max_rounds_per_year="2"))
    assert oxalic_rounds(found.tables["visits"]).max() <= 2
    assert {
        "apiary": "ASH",
        "treatment": "oxalic sublimation",
        "what": "3 rounds wanted, the label leaves 2",
    } in found.facts["label_cuts"]


def test_the_labels_dose_is_never_passed() -> None:
    found = plan_of(labels=label(max_dose="1.0"))
    assert found.tables["visits"]["dose_g"].max() == pytest.approx(0.886)  # 1 g of product with 886 mg/g
    assert any("dose" in cut["what"] for cut in found.facts["label_cuts"])


def test_a_label_for_no_brood_alone_leaves_the_main_season_to_another_treatment() -> None:
    found = plan_of(labels=label(brood_free_only="yes"))
    main = found.tables["visits"].query("window == 'main'")
    assert not main["treatment"].str.startswith("oxalic").any()
    assert "the label wants no brood" in found.apiary_facts["ASH"]["left_out"]


def test_where_the_label_forbids_the_main_treatment_another_with_a_label_takes_its_place() -> None:
    both = label(brood_free_only="yes") + SHEETS["labels"].splitlines()[2] + "\n"
    found = plan_of(labels=both)
    main = found.tables["visits"].query("window == 'main' and apiary == 'ASH'")
    assert set(main["treatment"]) == {"amitraz strips"}


def test_what_is_no_medicine_is_marked_wherever_it_is_planned() -> None:
    found = plan_of(labels=label(authorised="no"))
    rows = found.tables["visits"].query("product == 'oxalic powder'")
    assert rows["note"].str.contains("not an authorised medicine").all()


# what is wrong or missing


def test_one_apiary_three_hours_away_is_left_out_with_the_reason_and_the_rest_planned() -> None:
    far = SHEETS["apiaries"].replace("all weather,15,", "all weather,180,")
    found = plan_of(apiaries=far)
    assert set(found.tables["left_out"]["apiary"]) == {"DAMSON"}
    assert "360 minutes of driving" in found.tables["left_out"]["why"].iloc[0]
    assert {"ASH", "BIRCH", "CEDAR"} <= set(found.tables["visits"]["apiary"])
    assert found.apiary_facts["DAMSON"]["first_date"] is None


def test_days_too_short_for_any_visit_leave_everything_out() -> None:
    found = plan_of(settings=settings(work_hours_per_day="0.5"))
    assert found.tables["visits"].empty
    assert set(found.facts["apiaries_left_out"]) == {"ASH", "BIRCH", "CEDAR", "DAMSON"}
    assert found.facts["last_first_round"] is None


def test_no_places_at_all_are_planned_by_the_base_and_marked() -> None:
    bare = "apiary,drive_min,hives\nASH,20,14\nBIRCH,22,10\nCEDAR,35,18\nDAMSON,,6\n"
    found = plan_of(apiaries=bare)
    assert found.facts["drive_basis"] == "by way of the base (a guess)"
    assert any("go by the base" in said for said in found.facts["guesses"])
    assert len(found.tables["visits"]) > 0


def test_a_grid_reference_that_cannot_be_read_is_said_and_goes_by_the_base() -> None:
    wrong = "apiary,grid_ref,drive_min\nASH,SP 12 345,20\nBIRCH,SP 35 20,22\nCEDAR,,35\nDAMSON,,10\n"
    said = " ".join(plan_of(apiaries=wrong).facts["guesses"])
    assert "ASH: grid_ref must be letters and an even number of digits" in said


def test_an_apiary_without_hives_is_not_dropped_in_silence() -> None:
    log = SHEETS["log"] + "2026-03-20,DAMSON,heads,0,\n"
    found = plan_of(log=log)
    assert "no hives stand there" in found.apiary_facts["DAMSON"]["left_out"]
    assert "DAMSON" in set(found.tables["left_out"]["apiary"])


def test_a_big_apiary_is_split_over_days() -> None:
    log = SHEETS["log"] + "2026-03-20,ASH,heads,90,\n"
    found = plan_of(log=log)
    ash = found.tables["visits"].query("apiary == 'ASH' and window == 'winter'")
    assert ash["parts"].iloc[0] > 1
    assert ash["colonies"].sum() == 90


def test_no_visit_lies_before_the_records_end(plan: Findings) -> None:
    assert plan.facts["as_of"] == "2026-03-31"
    assert (plan.tables["visits"]["date"] > pd.Timestamp(2026, 3, 31)).all()


@pytest.mark.parametrize("sheet", ["settings", "log"])
def test_next_to_nothing_recorded_still_gives_every_table_and_says_what_was_guessed(sheet: str) -> None:
    bare: dict[str, str | None] = dict.fromkeys(SHEETS)
    bare |= {"settings": "setting,value\n", "log": "date,apiary,did,standing,done\n"}
    bare |= {"log": "date,apiary,did,standing\n2025-09-20,X,heads,9\n"} if sheet == "log" else {}
    found = plan_of(**bare)
    assert set(TABLES) <= set(found.tables)
    assert found.facts["apiaries"] == (1 if sheet == "log" else 0)
    assert any("No drive recorded for X" in said for said in found.facts["guesses"]) == (sheet == "log")


def test_runners_up_say_what_they_would_have_given_and_asked_for(plan: Findings) -> None:
    ash = plan.tables["programmes"].query("apiary == 'ASH'").set_index("programme")
    chosen = ash[ash["chosen"] == "yes"].iloc[0]
    did = ash.loc["what you did"]
    assert chosen["given_up"] == ""
    assert f"{did['minutes'] - chosen['minutes']:+.0f} min" in did["given_up"]
    assert f"{did['chance_pct'] - chosen['chance_pct']:+.0f} points of chance" in did["given_up"]
