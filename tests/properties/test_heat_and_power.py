"""What must hold whatever the numbers: energy, direction, inverse pairs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from SALib.analyze import sobol as analyze
from SALib.sample import sobol as sample

from kit.calc.battery import Battery, cold_divisor, drain_ah_per_h, peukert_hours
from kit.calc.charge import Inputs, input_spreads
from kit.calc.dose import (
    crystals_from_oa_g,
    crystals_from_product_g,
    label_limit_g,
    oa_from_crystals_g,
    product_from_crystals_g,
)
from kit.calc.doses import charges_needed, doses_from_inputs, doses_per_charge, doses_sensitivity
from kit.calc.expulsion import Chamber, chamber_temperature_c, expel_s
from kit.calc.heat import dose_energy_kj, heat_capacity_j_per_k, warm_up_s
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.calc.volts import charge_left_pct, rest_volts
from kit.errors import ValidityError

GRAMS = st.floats(0.1, 6)
LOSS = st.floats(0.05, 0.6)


@given(power=st.floats(150, 400), capacity=st.floats(100, 500), loss=LOSS, air=st.floats(-10, 25))
def test_energy_is_conserved_in_the_lump(power: float, capacity: float, loss: float, air: float) -> None:
    time = warm_up_s(power_w=power, heat_capacity_j_per_k=capacity, loss_w_per_k=loss, start_c=air, hold_c=230)
    if not np.isfinite(time):
        return
    clock = np.linspace(0, time, 4001)
    curve = chamber_temperature_c(clock, Chamber(power, capacity, loss, 2.0, 230.0), start_c=air, air_c=air)
    lost = loss * np.trapezoid(curve - air, clock)
    assert power * time == pytest.approx(capacity * (230 - air) + lost, rel=1e-4)


@given(seconds=st.floats(100, 900), loss=st.floats(0.05, 0.8))
def test_heat_capacity_and_warm_up_are_inverse(seconds: float, loss: float) -> None:
    capacity = heat_capacity_j_per_k(warm_up_s=seconds, power_w=200, loss_w_per_k=loss, rise_k=223)
    again = warm_up_s(power_w=200, heat_capacity_j_per_k=capacity, loss_w_per_k=loss, start_c=7, hold_c=230)
    assert again == pytest.approx(seconds, rel=1e-9)


@given(seconds=st.floats(14, 60), dose=st.floats(1.5, 3), power=st.floats(150, 300))
def test_a_sublimator_expels_in_the_time_it_is_known_by(seconds: float, dose: float, power: float) -> None:
    machine = Sublimator(watts=power, expel_s=seconds, dose_g=dose)
    ours = float(expel_s(dose, machine.chamber, chamber_c=230.0, air_c=7.0))
    assert ours == pytest.approx(seconds, rel=1e-6) or machine.chamber.contact_w_per_k == 100.0


@given(dose=GRAMS, more=st.floats(1.01, 2), cooler=st.floats(1, 60), contact=st.floats(1, 5))
def test_more_crystals_a_cooler_chamber_or_less_contact_never_go_faster(
    dose: float, more: float, cooler: float, contact: float
) -> None:
    def seconds(dose_g: float, start: float, touch: float) -> float:
        return float(expel_s(dose_g, Chamber(200.0, 243.0, 0.3, touch, 230.0), chamber_c=start, air_c=7.0))

    usual = seconds(dose, 230.0, contact)
    assert seconds(dose * more, 230.0, contact) >= usual
    assert seconds(dose, 230.0 - cooler, contact) >= usual
    assert seconds(dose, 230.0, contact / more) >= usual


@given(dose=GRAMS, start=st.floats(-20, 40))
def test_energy_is_proportional_to_the_dose_and_falls_with_a_warmer_start(dose: float, start: float) -> None:
    assert dose_energy_kj(2 * dose, start_c=start) == pytest.approx(2 * dose_energy_kj(dose, start_c=start))
    assert dose_energy_kj(dose, start_c=start + 5) < dose_energy_kj(dose, start_c=start)


@settings(max_examples=25, deadline=None)
@given(
    air=st.floats(-8, 20),
    minutes=st.floats(2, 6),
    health=st.floats(60, 95),
    loss=st.floats(0.1, 0.45),
    kind=st.sampled_from(["starter", "deep cycle", "AGM", "lithium"]),
)
def test_more_loss_cold_age_or_time_never_give_more_doses(
    air: float, minutes: float, health: float, loss: float, kind: str
) -> None:
    def band(**changed: float) -> tuple[float, ...]:
        v = {"air": air, "minutes": minutes, "health": health, "loss": loss} | changed
        found = doses_per_charge(
            Battery(type=kind, health_pct=v["health"]),
            Inverter(),
            Sublimator(loss_w_per_k=v["loss"]),
            air_c=v["air"],
            minutes_per_colony=v["minutes"],
            draws=200,
        )
        return found[:3]

    usual = band()
    worse = [band(air=air - 6), band(minutes=minutes * 1.2), band(health=health - 10), band(loss=loss + 0.05)]
    assert all(w <= u for change in worse for w, u in zip(change, usual, strict=True))
    assert usual[0] <= usual[1] <= usual[2]


@given(current=st.floats(0.1, 60), exponent=st.floats(1, 1.4))
def test_peukert_takes_its_toll_above_the_rated_current_only(current: float, exponent: float) -> None:
    drain = float(drain_ah_per_h(current, rated_ah=65, rated_h=20, exponent=exponent))
    assert drain >= current * (1 - 1e-12)
    if current > 65 / 20:
        hours = peukert_hours(rated_ah=65, rated_h=20, current_a=current, exponent=exponent)
        assert 65 / drain == pytest.approx(hours, rel=1e-9)


@given(celsius=st.floats(-4, 49))
def test_a_colder_battery_holds_less(celsius: float) -> None:
    assert cold_divisor(celsius) > cold_divisor(celsius + 1) - 1e-12


@given(left=st.floats(0, 100))
def test_rest_volts_and_charge_left_are_inverse(left: float) -> None:
    assert charge_left_pct(float(rest_volts(left))) == pytest.approx(left, abs=1e-6)


@given(grams=GRAMS, strength=st.floats(100, 1000))
def test_grams_there_and_back(grams: float, strength: float) -> None:
    assert crystals_from_oa_g(oa_from_crystals_g(grams)) == pytest.approx(grams)
    there = product_from_crystals_g(grams, strength_mg_per_g=strength)
    assert crystals_from_product_g(there, strength_mg_per_g=strength) == pytest.approx(grams)


@given(limit=st.floats(0.5, 5), boxes=st.integers(1, 3), strength=st.floats(100, 1000))
def test_label_limits_in_product_are_never_above_the_same_number_in_crystals(
    limit: float, boxes: int, strength: float
) -> None:
    def grams(unit: str) -> float:
        return label_limit_g(limit, unit=unit, brood_boxes=boxes, strength_mg_per_g=strength)

    assert grams("g product per hive") <= grams("g OAD per hive") == limit
    assert grams("g OAD per brood box") == pytest.approx(boxes * limit)


def test_the_same_seed_gives_the_same_doses_and_another_one_nearly_the_same() -> None:
    def band(seed: int) -> tuple[float, ...]:
        found = doses_per_charge(Battery(), Inverter(), Sublimator(), air_c=7, minutes_per_colony=3, seed=seed)
        return found[:3]

    assert band(1) == band(1)
    assert band(1) == pytest.approx(band(2), rel=0.1)


def test_losses_over_time_move_the_doses_most_and_every_swing_has_two_ends() -> None:
    swings = doses_sensitivity(Battery(), Inverter(), Sublimator(), air_c=7, minutes_per_colony=3)
    assert swings[0].what == "loss_w_per_k"
    assert {s.what for s in swings[:3]} >= {"loss_w_per_k", "minutes_per_colony"}
    widths = [abs(s.doses_at_high - s.doses_at_low) for s in swings]
    assert widths == sorted(widths, reverse=True)


def test_a_charge_plan_that_would_strand_the_vehicle_is_refused() -> None:
    own = Battery(starts_vehicle=True)
    doses = doses_per_charge(own, Inverter(), Sublimator(), air_c=7, minutes_per_colony=3)
    with pytest.raises(ValidityError, match="start the engine"):
        charges_needed(40, doses, battery=own)
    assert charges_needed(2, doses, battery=own).safe == 1


def test_the_second_battery_is_asked_for_where_the_five_percent_case_needs_it() -> None:
    doses = doses_per_charge(Battery(), Inverter(), Sublimator(), air_c=7, minutes_per_colony=3)
    need = charges_needed(30, doses)
    assert (need.expected, need.take_spare) == (1, True)
    assert not charges_needed(10, doses).take_spare


def test_the_order_of_the_swings_agrees_with_total_indices_of_an_independent_library() -> None:
    # SALib, Sobol' total-order indices (Saltelli 2010) over the same ranges
    battery, inverter, machine = Battery(), Inverter(), Sublimator()
    spreads = input_spreads(battery, inverter, machine, 7, 3)
    problem = {
        "num_vars": len(spreads),
        "names": list(spreads),
        "bounds": [[s.low, s.high] for s in spreads.values()],
    }
    values = sample.sample(problem, 512, seed=1)
    doses = doses_from_inputs(Inputs(*values.T), battery, inverter, machine, air_c=7).min(axis=0)
    total = analyze.analyze(problem, doses, seed=1)["ST"]
    theirs = [name for _, name in sorted(zip(-total, spreads, strict=True))]
    ours = [s.what for s in doses_sensitivity(battery, inverter, machine, air_c=7, minutes_per_colony=3)]
    assert theirs[:2] == ours[:2] == ["loss_w_per_k", "minutes_per_colony"]
    assert theirs[-1] == ours[-1] == "internal_ohm"
