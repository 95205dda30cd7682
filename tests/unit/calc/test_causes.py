"""Likely causes of slow vapour and short charges: what the trade would say, and no more than the data give."""

import pytest

from kit.calc.battery import Battery
from kit.calc.causes import (
    COOLING,
    DAMP,
    ELEMENT,
    LEADS,
    OVERFULL,
    SCALE,
    SCATTER,
    SUPPLY_LOW,
    Timing,
    rank_causes,
    telling_check,
)
from kit.calc.inverter import Inverter
from kit.calc.short_charge import PART_CHARGED, SLOW_WORK, USUAL, WORN, DayOnBattery, rank_short_charge
from kit.calc.sublimator import Sublimator
from kit.errors import ValidityError

MACHINE = Sublimator(warm_up_s=360, expel_s=20, dose_g=2.25)
GOOD = [Timing(20, 6), Timing(21, 6), Timing(19, 5.5)]


def shares(timings: list[Timing], *, behind_inverter: bool = True, **more: bool) -> dict[str, float]:
    ranked = rank_causes(timings, MACHINE, behind_inverter=behind_inverter, **more)
    return {cause.cause: cause.share_pct for cause in ranked}


def test_good_times_are_scatter() -> None:
    found = shares(GOOD)
    assert next(iter(found)) == SCATTER
    assert found[SCATTER] > 60


def test_behind_an_inverter_supply_and_leads_are_ruled_out() -> None:
    # common practice: an inverter holds its output until it cuts out
    found = shares([Timing(40, 9)] * 3, direct_leads=True)
    assert not {SUPPLY_LOW, LEADS} & set(found)
    assert {ELEMENT, SCALE, OVERFULL, DAMP} <= set(found)


def test_slow_to_warm_and_slow_to_expel_behind_an_inverter_is_the_element() -> None:
    assert next(iter(shares([Timing(34, 8)] * 3))) == ELEMENT


def test_slow_to_expel_with_a_good_warm_up_is_not_the_element() -> None:
    found = shares([Timing(36, 6)] * 3)
    assert found[ELEMENT] < 10
    assert {cause for cause, share in found.items() if share > 15} <= {SCALE, OVERFULL, DAMP}


def test_slow_on_the_generator_and_good_elsewhere_is_the_supply() -> None:
    elsewhere = [Timing(20, 6, here=False)] * 3
    found = shares([*elsewhere, *[Timing(36, 11)] * 3], behind_inverter=False)
    assert next(iter(found)) == SUPPLY_LOW


def test_slow_on_the_generator_alone_cannot_tell_supply_from_element() -> None:
    found = shares([Timing(36, 11)] * 3, behind_inverter=False)
    assert {*list(found)[:2]} == {SUPPLY_LOW, ELEMENT}
    assert max(found.values()) < 75
    check = telling_check(SUPPLY_LOW, ELEMENT, MACHINE, warm_up_known=True)
    assert "another supply" in check


def test_without_warm_up_the_check_is_to_time_it() -> None:
    check = telling_check(SCALE, ELEMENT, MACHINE, warm_up_known=False)
    assert "warm-up" in check
    assert ELEMENT in check


def test_seconds_alone_do_not_name_one_cause() -> None:
    assert max(shares([Timing(32, None)]).values()) < 60


def test_no_times_give_the_priors_back() -> None:
    found = shares([])
    assert found[SCATTER] == pytest.approx(40)
    assert found[ELEMENT] == pytest.approx(found[OVERFULL])


def test_shares_add_up_and_only_a_cooling_machine_cools() -> None:
    found = shares([Timing(30, 6)])
    assert sum(found.values()) == pytest.approx(100)
    assert COOLING not in found
    pan = Sublimator(cool_down_min=2)
    assert COOLING in {c.cause for c in rank_causes([Timing(30, 6)], pan, behind_inverter=False)}


def test_a_time_of_zero_is_refused() -> None:
    with pytest.raises(ValidityError, match="expel_s"):
        Timing(0, None)


DAY = DayOnBattery(Battery(), Inverter(), Sublimator(), air_c=9, minutes_per_colony=3, volts_before=12.6)


def first(day: DayOnBattery, doses: float, *, pace_known: bool = True) -> str:
    return rank_short_charge(day, doses=doses, pace_known=pace_known)[0].cause


def test_few_doses_from_a_full_battery_at_a_known_pace_mean_a_worn_one() -> None:
    assert first(DAY, 8) == WORN


def test_a_charge_that_held_what_it_should_is_no_fault() -> None:
    assert first(DAY, 60) == USUAL


def test_a_low_start_explains_a_charge_that_fits_it() -> None:
    assert first(DAY._replace(volts_before=12.1), 25) == PART_CHARGED


def test_slow_work_is_a_cause_only_where_the_pace_is_not_recorded() -> None:
    known = {c.cause for c in rank_short_charge(DAY, doses=8, pace_known=True)}
    unknown = {c.cause for c in rank_short_charge(DAY, doses=8, pace_known=False)}
    assert SLOW_WORK in unknown - known
