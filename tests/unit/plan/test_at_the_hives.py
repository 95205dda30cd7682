"""Power, time line, grams and machines of the planned visits: each against what can be worked out by hand."""

from __future__ import annotations

import pandas as pd
import pytest

from kit.calc.battery import Battery
from kit.calc.charge_left import Demand, charge_left_after_pct
from kit.calc.doses import doses_per_charge
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.constants import effort
from kit.plan.visit.power import groups
from kit.plan.visit.weighing import season_weighing
from kit.season.findings import Findings
from tests.unit.plan.operation import SHEETS, plan_of


@pytest.fixture(scope="module")
def plan() -> Findings:
    return plan_of()


def test_charge_left_agrees_with_the_doses_of_a_charge() -> None:
    """At the middle number of doses a half-discharge battery has its half left: two ways to the same energy."""
    objects = Battery(), Inverter(), Sublimator()
    doses = doses_per_charge(*objects, air_c=7.0, minutes_per_colony=3.0).p50
    left = charge_left_after_pct(*objects, Demand(doses, 1, 7.0, 3.0))
    assert left.p50 == pytest.approx(50.0, abs=1.5)


def test_more_hives_and_more_stops_never_leave_more() -> None:
    objects = Battery(), Inverter(), Sublimator()
    fewer = charge_left_after_pct(*objects, Demand(10, 1, 7.0, 3.0))
    for more in (Demand(12, 1, 7.0, 3.0), Demand(10, 2, 7.0, 3.0), Demand(10, 1, 7.0, 4.0)):
        assert all(a <= b for a, b in zip(charge_left_after_pct(*objects, more), fewer, strict=True))


def test_bars_last_the_planned_minutes_and_keep_the_seal_on(plan: Findings) -> None:
    bars, visits = plan.tables["bars"], plan.tables["visits"].set_index("visit_id")
    work = bars[~bars["what"].isin(["drive", "drive home"])].groupby("visit_id")
    length = work["end_min"].max() - work["start_min"].min()
    assert (length - visits["minutes"].reindex(length.index)).abs().max() < 0.05
    waits = bars[bars["what"] == "wait"]
    assert (waits["end_min"] - waits["start_min"]).min() == pytest.approx(effort.SEALED_MIN.value)


def test_hands_are_never_in_two_places(plan: Findings) -> None:
    by_hand = plan.tables["bars"].query("hands > 0").sort_values(["visit_id", "hands", "start_min"])
    assert len(by_hand) > by_hand["visit_id"].nunique() > 1
    for _, own in by_hand.groupby(["visit_id", "hands"]):
        assert (own["start_min"].iloc[1:].to_numpy() >= own["end_min"].iloc[:-1].to_numpy() - 1e-6).all()


def test_only_the_days_last_stop_drives_home(plan: Findings) -> None:
    bars, days = plan.tables["bars"], plan.tables["visits"]
    last = days.sort_values("order").groupby("date")["visit_id"].last()
    assert set(bars[bars["what"] == "drive home"]["visit_id"]) <= set(last)


def test_a_small_battery_asks_for_a_second_one_in_the_poor_case() -> None:
    small = SHEETS["gear"].replace("B1,battery,deep cycle,12,65", "B1,battery,deep cycle,12,42")
    at = plan_of(gear=small).tables["at_hives"]
    two = at[at["take"].str.contains("poor")]
    assert len(two)
    assert (two["charge_left_pct_p05"] < 50).all(), "more than half would go out of one battery"
    assert two["take"].str.contains("only 1 recorded").all()
    assert (two["batteries"] >= 2).all()


def test_kit_and_sheet_agree_on_batteries_for_a_days_only_stop(plan: Findings) -> None:
    at, kit = plan.tables["at_hives"], plan.tables["kit"]
    days = plan.tables["visits"].groupby("date").size()
    alone = at[at["date"].map(days).eq(1) & at["battery"].ne("")]
    taken = kit[kit["item"] == "battery, charged"].set_index("visit_id")["count"]
    assert len(alone)
    assert (alone["visit_id"].map(taken) == alone["batteries"]).all()


def test_the_supply_is_said_with_its_ground(plan: Findings) -> None:
    said = plan.tables["at_hives"].drop_duplicates("apiary").set_index("apiary")["supply_why"]
    assert said["BIRCH"] == "battery: from autumn on the ground is reckoned soft; on dry ground vehicle"
    assert said["ASH"].startswith("battery: the vehicle reaches the hives")


def test_a_vehicle_that_would_be_stranded_is_refused_with_the_reason() -> None:
    by_vehicle = SHEETS["apiaries"].replace("14,mesh,battery,battery", "14,mesh,vehicle,vehicle")
    plan = plan_of(apiaries=by_vehicle)
    at = plan.tables["at_hives"]
    ash = at[at["apiary"] == "ASH"]
    assert ash["refused"].str.contains("14 hives from the vehicle's own battery").all()
    assert ash["refused"].str.contains("start the engine again").all()
    assert at[at["apiary"] != "ASH"]["refused"].eq("").all()
    power = plan.tables["kit"].query("apiary == 'ASH' and item == 'power: vehicle'")
    assert power["note"].str.contains("engine running").all()


def test_grams_go_through_strength_and_stay_within_the_label(plan: Findings) -> None:
    weighing = plan.tables["weighing"].dropna(subset=["each_g"])
    assert (weighing["each_g"] <= weighing["limit_g"] + 1e-9).all()
    assert weighing["weigh_g"].to_numpy() == pytest.approx(weighing["doses"] * weighing["each_g"])
    crystals = weighing["visit_id"].map(plan.tables["visits"].set_index("visit_id")["dose_g"])
    assert (weighing["each_g"] * 0.886).to_numpy() == pytest.approx(crystals.to_numpy())  # 886 mg/g, sheet `labels`


def test_a_spoon_that_may_pass_the_label_is_told_to_be_weighed(plan: Findings) -> None:
    weighing = plan.tables["weighing"].dropna(subset=["each_g"])
    full = weighing[weighing["spoon_g_p95"] > weighing["limit_g"]]
    assert len(full)
    assert full["advice"].str.startswith("weigh each dose").all()


def test_weighing_and_shopping_give_the_same_grams(plan: Findings) -> None:
    bought = plan.tables["shopping"].set_index("product")["needed"]
    season = plan.tables["season_weighing"].drop_duplicates("product").set_index("product")["needed_g"]
    both = season.index.intersection(bought.index)
    assert len(both)
    for product in both:
        assert season[product] == pytest.approx(bought[product])


def test_the_season_uses_what_goes_out_of_date_first_and_buys_the_rest() -> None:
    """Worked by hand: 60 g on 1 October and 60 g on 1 December; 50 g good to November, 40 g good to next year."""
    days = pd.to_datetime(["2026-10-01", "2026-12-01"])
    weighing = pd.DataFrame({"product": "P", "of": "product", "date": days, "weigh_g": [60.0, 60.0]})
    stock = pd.DataFrame(
        {
            "product": "P",
            "batch": ["late", "soon", "old"],
            "unit": "g",
            "balance": [40.0, 50.0, 30.0],
            "expiry": pd.to_datetime(["2027-12-31", "2026-11-15", "2026-09-30"]),
        }
    )
    found = season_weighing(weighing, stock).set_index("batch")
    assert found["taken_g"].to_dict() == {"late": 40.0, "soon": 50.0, "old": 0.0, "to buy": 30.0}
    assert found["left_g"].to_dict() == {"late": 0.0, "soon": 0.0, "old": 30.0, "to buy": 0.0}
    assert "out of date" in found.loc["old", "note"]


def test_groups_hold_every_hive() -> None:
    for hives in range(1, 25):
        assert sum(int(n) for n in groups(hives, 4).replace(" and ", ", ").split(", ")) == hives


def test_the_machine_that_holds_its_heat_is_faster_and_pays_from_some_number(plan: Findings) -> None:
    machines = plan.tables["machines"].set_index("machine")
    holds, cools = machines.loc["holds its heat"], machines.loc["cools between hives"]
    assert holds["minutes_a_colony"] < cools["minutes_a_colony"]
    assert holds["colonies_a_day"] > cools["colonies_a_day"]
    assert holds["pays_from_colonies"] > 0


def test_at_the_number_from_which_it_pays_both_cost_the_same(plan: Findings) -> None:
    """Cost of hours and outlay a year, worked from the table's own columns: equal at the break-even."""
    machines = plan.tables["machines"].set_index("machine")
    colonies = sum(plan.tables["visits"].query("treatment == 'oxalic sublimation'").groupby("apiary")["colonies"].max())
    labour = (machines["cost_a_year"].diff().iloc[1], machines["person_hours"].diff().iloc[1])
    yearly = (effort.HEATED_OUTLAY.value - effort.PAN_OUTLAY.value) / effort.MACHINE_LIFE_YEARS.value
    saved_a_colony = (labour[0] + yearly) / colonies
    assert machines["pays_from_colonies"].max() == pytest.approx(yearly / saved_a_colony, rel=1e-6)


def test_the_break_even_lies_between_the_ends_of_every_input(plan: Findings) -> None:
    middle = plan.tables["machines"]["pays_from_colonies"].max()
    ends = plan.tables["machine_swings"][["pays_from_at_low", "pays_from_at_high"]]
    assert ((ends.min(axis=1) <= middle) & (middle <= ends.max(axis=1))).all()


def test_without_sublimation_the_tables_are_empty_with_their_columns() -> None:
    log = "date,apiary,did,standing,done\n2025-08-20,BIRCH,amitraz strips; strips in,10,10\n"
    plan = plan_of(log=log, treatments=None, labels=None)
    for name in ("at_hives", "bars", "weighing", "season_weighing", "machines", "machine_swings"):
        assert plan.tables[name].empty
        assert len(plan.tables[name].columns) > 5
