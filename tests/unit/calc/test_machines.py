"""Machines compared, a machine's own numbers, and the stepped visit."""

import numpy as np
import pytest

from kit.calc.battery import Battery
from kit.calc.charge import Inputs, charge_use, input_spreads
from kit.calc.discharge import discharge
from kit.calc.fits import OwnTimes, fit_machine
from kit.calc.inverter import Cable, Inverter
from kit.calc.machines import (
    Machine,
    break_even_colonies,
    break_even_sensitivity,
    cools_between,
    costs,
    holds_heat,
)
from kit.calc.sublimator import Sublimator
from kit.calc.supply import Direct, Generator, InverterSupply, Mains, power_at_heater_w, slows_when_low
from kit.constants import effort
from kit.errors import ValidityError


def test_a_pan_that_cools_stops_paying_near_fifty_colonies() -> None:
    # common practice, no source: at about 50 hives
    even = break_even_colonies(holds_heat(), cools_between(), rounds=3, labour_per_hour=15, colonies_per_visit=12)
    trade = effort.PAN_BREAK_EVEN_COLONIES
    assert trade.low <= even <= trade.high
    swings = break_even_sensitivity(labour_per_hour=15, colonies_per_visit=12)
    assert min(s.colonies_at_low for s in swings) < 50 < max(s.colonies_at_low for s in swings)


def test_at_the_break_even_both_cost_the_same() -> None:
    even = break_even_colonies(holds_heat(), cools_between(), rounds=3, labour_per_hour=15, colonies_per_visit=12)
    year = [
        costs(m, colonies=even, rounds=3, colonies_per_visit=12, labour_per_hour=15, hours=6).money  # type: ignore[arg-type]
        for m in (holds_heat(), cools_between())
    ]
    assert year[0] == pytest.approx(year[1])


def test_a_dear_machine_that_saves_no_time_never_pays() -> None:
    slow, cheap = Machine("slow", 5, 10, 900), Machine("cheap", 3, 10, 100)
    assert break_even_colonies(slow, cheap, rounds=3, labour_per_hour=15, colonies_per_visit=12) == np.inf
    assert break_even_colonies(cheap, slow, rounds=3, labour_per_hour=15, colonies_per_visit=12) == 0


@pytest.mark.parametrize(("air_c", "minutes", "loss"), [(7, 3, 0.3), (0, 2, 0.15), (15, 5, 0.45)])
def test_stepping_agrees_with_the_closed_form_and_with_half_the_step(air_c: float, minutes: float, loss: float) -> None:
    machine = Sublimator(loss_w_per_k=loss)
    used = [
        100
        - discharge(
            *(Battery(), Inverter(), machine), air_c=air_c, minutes_per_colony=minutes, colonies=30, step_s=step
        ).charge_left_pct[-1]
        for step in (1.0, 0.5)
    ]
    assert used[0] == pytest.approx(used[1], rel=0.005)
    spreads = input_spreads(Battery(), Inverter(), machine, air_c, minutes)
    use = charge_use(
        Inputs(*(np.array([s.middle]) for s in spreads.values())), Battery(), Inverter(), machine, air_c=air_c
    )
    closed = 100 * (use.warm_up_ah + 30 * use.colony_ah) / use.full_ah
    assert used[1] == pytest.approx(float(closed[0]), rel=0.02)


def test_the_thermostat_holds_and_the_charge_only_falls() -> None:
    course = discharge(Battery(), Inverter(), Sublimator(), air_c=7, minutes_per_colony=3, colonies=10)
    hot = course.chamber_c[np.argmax(course.chamber_c >= 229) :]
    assert hot.min() > 215
    assert course.chamber_c.max() < 232
    assert (np.diff(course.charge_left_pct) < 0).all()


def test_own_times_find_the_contact_but_not_the_loss() -> None:
    # derived: warm-up of 5 to 6 minutes fits a loss of 0.2 with 238 to 285 J/K as well as 0.5 with 184 to 221
    fit = fit_machine(OwnTimes([5.5, 6, 5.5], [20, 21, 19]), watts=200, hold_c=230)
    assert fit.of("contact_w_per_k").found
    assert not fit.of("loss_w_per_k").found
    assert any("loss_w_per_k" in sentence and "thermostat" in sentence for sentence in fit.not_found)


def test_holding_duty_finds_the_loss() -> None:
    fit = fit_machine(OwnTimes([5.5, 6, 5.5], [20, 21, 19], [33, 35, 34]), watts=200, hold_c=230)
    assert fit.of("loss_w_per_k").found
    assert not any("loss_w_per_k" in sentence for sentence in fit.not_found)


def test_a_fit_holds_the_machine_that_made_the_times() -> None:
    truth = Sublimator(warm_up_s=330, expel_s=22, loss_w_per_k=0.3).chamber
    fit = fit_machine(OwnTimes([5.5] * 3, [22] * 3, [33.3] * 3, air_c=7), watts=200, hold_c=230)
    for name in ("heat_capacity_j_per_k", "loss_w_per_k", "contact_w_per_k"):
        band = fit.of(name).band
        assert band.p05 <= getattr(truth, name) <= band.p95, name


def test_nothing_timed_is_refused() -> None:
    with pytest.raises(ValidityError, match="at least one"):
        fit_machine(OwnTimes(), watts=200, hold_c=230)


def test_low_volts_reach_a_direct_pan_and_a_generator_but_not_an_inverter() -> None:
    pan = Sublimator(watts=150, rated_v=12, warm_up_s=200, loss_w_per_k=0.2)
    thin, thick = Direct(leads=Cable(2.5, 8)), Direct(leads=Cable(10, 2))
    assert power_at_heater_w(thin, pan) < power_at_heater_w(thick, pan) < 150
    assert power_at_heater_w(thick, pan, supply_v=11) < power_at_heater_w(thick, pan, supply_v=12)
    assert power_at_heater_w(InverterSupply(), Sublimator(), supply_v=11) == 200
    assert power_at_heater_w(Mains(), Sublimator()) == 200
    assert power_at_heater_w(Generator(400, 80), Sublimator()) == pytest.approx(128)
    assert [slows_when_low(s) for s in (thin, Generator(), Mains(), InverterSupply())] == [True, True, True, False]


def test_an_inverter_that_is_too_small_gives_nothing() -> None:
    assert power_at_heater_w(InverterSupply(inverter=Inverter(watts=150)), Sublimator()) == 0
