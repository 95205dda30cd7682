"""What breaks first and what mends it: each thing changed moves the plan the way it must."""

from __future__ import annotations

import pandas as pd

from kit.plan.mends import cheapest, worth_it
from tests.unit.plan.operation import SHEETS, plan_of

CROWDED_HIVES = {"ASH": 34, "BIRCH": 33, "CEDAR": 35, "DAMSON": 32}
CROWDED = "".join(f"2026-03-20,{apiary},heads,{hives},\n" for apiary, hives in CROWDED_HIVES.items())


def test_a_week_earlier_saves_seven_late_days_where_supers_hold_the_treatment_back() -> None:
    mends = plan_of().tables["mends"].set_index("mend")
    assert mends.loc["supers off a week earlier", "late_days_saved"] == 7
    assert mends.loc["one more battery", "late_days_saved"] == 0


def test_a_helper_is_priced_with_mask_fit_test_and_insurance_and_saves_hours() -> None:
    mends = plan_of().tables["mends"].set_index("mend")
    assert mends.loc["a helper", "cost"] == 330  # mask and fit test 230, insurance 100, both assumed
    assert mends.loc["a helper", "hours_saved"] > 0


def test_batteries_mend_what_too_few_charges_break() -> None:
    small = SHEETS["gear"].replace("deep cycle,12,65", "starter,12,20").replace("B1", "B1")
    everywhere = SHEETS["apiaries"].replace("mesh,vehicle,battery", "mesh,battery,battery")
    plan = plan_of(log=SHEETS["log"] + CROWDED, gear=small, apiaries=everywhere)
    mends = plan.tables["mends"].set_index("mend")
    assert mends.loc["one more battery", "colonies_saved"] > 0
    assert mends.loc["one more battery", "cost"] == 90  # what the last one cost
    assert "one more battery" in [row["mend"] for row in plan.facts["mends"]]


def test_the_cheapest_come_first_and_every_one_saves_something() -> None:
    picked = plan_of(log=SHEETS["log"] + CROWDED).facts["mends"]
    assert [row["cost"] for row in picked] == sorted(row["cost"] for row in picked)
    assert len(picked) <= 3
    assert all(max(row["late_days_saved"], row["colonies_saved"], row["hours_saved"]) > 0 for row in picked)


def test_minutes_that_two_searches_differ_by_are_no_mend() -> None:
    saves = {"cost": 0.0, "apiaries_saved": 0, "late_days_saved": 0, "colonies_saved": 0.0, "money_saved": 3.0}
    each = [{"mend": f"{hours} h", "hours_saved": hours, "worth_it": "yes", **saves} for hours in (0.1, 0.5, 4.1)]
    assert [row["mend"] for row in cheapest(pd.DataFrame(each))] == ["0.5 h", "4.1 h"]


def test_money_that_two_searches_differ_by_is_not_worth_it() -> None:
    """Half an hour, at 24 an hour."""
    assert [worth_it(money, 0.4) for money in (-5.0, 0.0, 2.0, 11.9, 12.0, 78.0)] == ["no"] * 4 + ["yes"] * 2


def test_what_breaks_first_is_worse_than_the_plan_as_it_stands() -> None:
    facts = plan_of().facts
    assert facts["breaks_first"]["late_cost"] > facts["late_cost"]


def test_an_apiary_moved_and_a_generator_are_solved_and_priced_as_the_others() -> None:
    mends = plan_of().tables["mends"].set_index("mend")
    names = [name for name in mends.index if name.startswith(("moving the hives of CEDAR", "a generator"))]
    assert len(names) == 2
    assert mends.loc[names, "money_saved"].notna().all()
    assert (mends["hours_saved"] == mends["hours_saved"].round(1)).all()  # no dust of two searches
    assert (mends["colonies_saved"] == mends["colonies_saved"].round(2)).all()


def test_where_nothing_is_late_mends_are_tried_against_what_breaks_first() -> None:
    crops = SHEETS["crops"].replace("2025-09-10", "2025-08-04")
    soon = SHEETS["settings"].replace("08-31", "08-18")
    plan = plan_of(crops=crops, settings=soon)
    assert plan.facts["apiaries_late"] == []
    assert plan.facts["mends_against"] == plan.facts["breaks_first"]["what"]
