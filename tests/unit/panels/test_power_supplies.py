"""Straight leads, a generator and the mains in the power panel, and what a slow dose means there."""

from __future__ import annotations

from typing import Any

import pytest

from kit.panels import power
from kit.panels.own import FREE, Own
from kit.panels.panel import Words
from kit.report.show import Note


def shown(own: Own, **changed: Any) -> dict[str, Any]:
    values = dict(power.Mine(own).recorded(FREE)) | changed
    assert power.refused(values) == {}
    return {answer.place: answer.shown for answer in power.Mine(own).answers(values)}


def test_a_generator_at_nine_tenths_of_its_volts_heats_with_four_fifths_of_the_power(own: Own) -> None:
    """P = V²/R: 10 % low volts give 81 % of the power (a resistance's square law)."""
    said = shown(own, supply="generator", volts_pct=90)
    assert isinstance(said["words"], Words) and "162 W of its 200" in said["words"].sentences[0]
    assert any("exhaust" in mind for mind in said["words"].minds)
    assert isinstance(said["charge"], Note)


def test_volts_too_low_to_get_hot_say_so_and_draw_no_charge(own: Own) -> None:
    said = shown(own, supply="mains", volts_pct=50)
    assert "never gets hot" in said["words"].sentences[0]
    assert "never gets hot" in str(said["warm_up"].to_dict()["title"]["text"])


def test_on_straight_leads_thin_and_long_ones_cost_power_and_an_inverter_is_not_asked_for(own: Own) -> None:
    thick, thin = (shown(own, supply="leads", cable_mm2=size, cable_m=6) for size in (10, 1.5))
    assert not any(" W of its " in said for said in thick["words"].sentences[:1])
    assert any(" W of its " in said for said in thin["words"].sentences)
    assert power.UNUSED["leads"] >= {"inverter_w", "volts_pct"}


@pytest.mark.parametrize(("supply", "named"), [("inverter", False), ("generator", True)])
def test_low_supply_is_a_cause_of_a_slow_dose_only_where_it_reaches_the_heater(
    own: Own, supply: str, named: bool
) -> None:
    """Common practice, no source: an inverter holds its output until it cuts out, a weak generator slows both."""
    slow = shown(own, supply=supply, seen_s=34, seen_min=9)["slow"].sentences
    assert any(said.startswith("Supply low") for said in slow) == named
    assert "hot after 9 min" in slow[0] and any("14 s at each hive" in said for said in slow)


def test_a_generator_smaller_than_the_machine_is_refused(own: Own) -> None:
    values = dict(power.Mine(own).recorded(FREE)) | {"supply": "generator", "generator_w": 100}
    assert list(power.refused(values)) == ["generator_w"]


def test_a_warm_up_that_was_timed_stands_on_the_curve(own: Own) -> None:
    chart = shown(own, seen_min=9)["warm_up"].to_dict()
    marks = [row for rows in chart["datasets"].values() for row in rows if row.get("what") == "on the control"]
    assert [row["minute"] for row in marks] == [9]
