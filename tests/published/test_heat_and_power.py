"""Heat and power against handbooks, standards and independent libraries; the source stands beside each check."""

import math

import chemicals.heat_capacity
import chemicals.phase_change
import numpy as np
import pvlib
import pytest
from chemicals.elements import molecular_weight, nested_formula_parser
from scipy.integrate import solve_ivp

from kit.calc.battery import Battery, cold_divisor, peukert_hours
from kit.calc.charge import Inputs, input_spreads
from kit.calc.dose import crystals_from_product_g, oa_from_crystals_g
from kit.calc.doses import doses_from_inputs
from kit.calc.expulsion import Chamber, expel_s
from kit.calc.heat import dose_energy_kj, dose_heat, holding_duty_pct, warm_up_s
from kit.calc.inverter import Inverter, copper_ohm_per_km, heater_w, inverter_input_w
from kit.calc.sublimator import Sublimator
from kit.calc.supply import doses_per_charge
from kit.calc.volts import cell_volts
from kit.constants import chemistry, heat


def crc(cas: str, column: str) -> float:
    """CRC Handbook standard thermodynamic data, as carried by the `chemicals` package [J/mol or J/(mol K)]."""
    return float(chemicals.heat_capacity.CRC_standard_data.loc[cas, column])


ACID, WATER = "144-62-7", "7732-18-5"


def test_molar_masses_follow_from_atomic_weights() -> None:
    # chemicals package, atomic weights of IUPAC
    acid, crystals = (molecular_weight(nested_formula_parser(f)) for f in ("C2H2O4", "C2H6O6"))
    assert chemistry.OA_MOLAR_MASS_G_PER_MOL.value == pytest.approx(acid, abs=0.0006)
    assert chemistry.OAD_MOLAR_MASS_G_PER_MOL.value == pytest.approx(crystals, abs=0.0006)
    assert pytest.approx(acid / crystals, abs=5e-6) == chemistry.OA_PER_OAD.value


def test_sublimation_heat_is_the_difference_of_two_heats_of_formation() -> None:
    # CRC Handbook: gas -731.8, solid -829.9 kJ/mol; the trap is the melting point, which is the dihydrate's
    printed = (crc(ACID, "Hfg") - crc(ACID, "Hfs")) / 1000
    assert dose_heat().sublimation == pytest.approx(printed, abs=0.5)


def test_water_vaporises_with_the_heat_of_two_handbooks() -> None:
    # CRC Handbook, heats of formation and the table of enthalpies of vaporisation (43.98 kJ/mol at 25 °C)
    by_formation = (crc(WATER, "Hfg") - crc(WATER, "Hfl")) / 1000
    by_table = float(chemicals.phase_change.Hvap_data_CRC.loc[WATER, "Hvap298"]) / 1000
    assert dose_heat().vaporising_water == pytest.approx(2 * by_formation, abs=0.1)
    assert dose_heat().vaporising_water == pytest.approx(2 * by_table, abs=0.1)


def test_vapour_warms_with_no_less_than_its_heat_capacity_at_25() -> None:
    # CRC Handbook: acid vapour 86.2, water vapour 33.6 J/(mol K) at 25 °C; both rise with temperature
    at_25 = (crc(ACID, "Cpg") + 2 * crc(WATER, "Cpg")) * 132 / 1000
    assert at_25 < dose_heat().warming_vapour < 1.1 * at_25


def test_a_gram_of_crystals_takes_1_876_kj_term_by_term() -> None:
    # 3.26 + 26.34 (Apelblat 1986) + 2 x 44.00 + 97.9 (WebBook) + 21.0 = 236.5 kJ/mol over 126.065 g/mol
    for term, printed in zip(dose_heat(), (3.26, 26.34, 88.00, 97.9, 21.0), strict=True):
        assert term == pytest.approx(printed, abs=0.05)
    assert dose_energy_kj(1.0) == pytest.approx(1.876, abs=0.0005)


@pytest.mark.parametrize(("sublimation", "kj_per_g"), [(93.7, 1.84), (108.5, 1.96)])
def test_published_sublimation_heats_spread_it(sublimation: float, kj_per_g: float) -> None:
    # lowest and highest value of the WebBook's list
    terms = dose_heat()._replace(sublimation=sublimation)
    assert sum(terms) / 126.065 == pytest.approx(kj_per_g, abs=0.005)
    assert sublimation in (chemistry.SUBLIMATION_KJ_PER_MOL.low, chemistry.SUBLIMATION_KJ_PER_MOL.high)


@pytest.mark.parametrize(("dose_g", "kj", "wh"), [(2.0, 3.75, 1.04), (2.25, 4.22, 1.17), (2.5, 4.69, 1.30)])
def test_doses_take_the_printed_heat(dose_g: float, kj: float, wh: float) -> None:
    assert dose_energy_kj(dose_g) == pytest.approx(kj, abs=0.006)
    assert dose_energy_kj(dose_g) / 3.6 == pytest.approx(wh, abs=0.006)


@pytest.mark.parametrize("loss", [0.05, 0.2, 0.3, 0.5])
def test_warm_up_in_closed_form_agrees_with_an_ode_solver(loss: float) -> None:
    # scipy.integrate.solve_ivp on the same lump
    def hot(t: float, temp: np.ndarray) -> float:
        return float(temp[0]) - 230

    hot.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(
        lambda t, temp: (200 - loss * (temp - 7)) / 243, (0, 5000), [7.0], events=hot, rtol=1e-10, atol=1e-9
    )
    ours = warm_up_s(power_w=200, heat_capacity_j_per_k=243, loss_w_per_k=loss, start_c=7, hold_c=230)
    assert ours == pytest.approx(run.t_events[0][0], rel=1e-7)


@pytest.mark.parametrize("power_w", [90.0, 200.0])
def test_expulsion_agrees_with_an_ode_solver(power_w: float) -> None:
    # scipy.integrate.solve_ivp: chamber cools while crystals take their heat at 101 °C, then at 157 °C
    chamber = Chamber(power_w, 243.0, 0.3, 2.4, 230.0)
    temp, total, terms = 230.0, 0.0, dose_heat()
    for heat_j, acid_c in ((sum(terms[:3]), 101.0), (sum(terms[3:]), 157.0)):
        need = 1000 * heat_j * 2.25 / 126.065

        def law(t: float, y: np.ndarray, acid_c: float = acid_c) -> list[float]:
            flow = 2.4 * (y[0] - acid_c)
            return [(power_w - 0.3 * (y[0] - 7) - flow) / 243, flow]

        def out(t: float, y: np.ndarray, need: float = need) -> float:
            return float(y[1]) - need

        out.terminal = True  # type: ignore[attr-defined]
        run = solve_ivp(law, (0, 500), [temp, 0.0], events=out, rtol=1e-10, atol=1e-9)
        total += run.t_events[0][0]
        temp = run.y_events[0][0][0]
    assert float(expel_s(2.25, chamber, chamber_c=230.0, air_c=7.0)) == pytest.approx(total, rel=1e-6)


@pytest.mark.parametrize(("loss", "low", "high"), [(0.2, 238, 285), (0.3, 221, 265), (0.5, 184, 221)])
def test_warm_up_of_5_to_6_minutes_fits_many_pairs_of_loss_and_capacity(loss: float, low: float, high: float) -> None:
    # derived: 200 W to 230 °C from 7 °C; which is why warm-up alone does not find the loss
    for minutes, capacity in ((5, low), (6, high)):
        ours = warm_up_s(power_w=200, heat_capacity_j_per_k=capacity, loss_w_per_k=loss, start_c=7, hold_c=230)
        assert ours / 60 == pytest.approx(minutes, abs=0.02)


def test_contact_behind_a_dose_of_20_s_is_near_the_derived_one() -> None:
    # derived: about 2.3 W/K at 230 °C, 4.7 at 190; ours lets the chamber cool meanwhile
    assert Sublimator().chamber.contact_w_per_k == pytest.approx(heat.CONTACT_W_PER_K.value, rel=0.1)
    assert Sublimator(hold_c=190).chamber.contact_w_per_k == pytest.approx(heat.CONTACT_W_PER_K.high, rel=0.15)


PEUKERT = [
    (1.1, (62.3, 58.1, 54.2)),
    (1.2, (59.6, 51.9, 45.2)),
    (1.3, (57.1, 46.4, 37.7)),
]


@pytest.mark.parametrize(("exponent", "row"), PEUKERT)
def test_peukert_table(exponent: float, row: tuple[float, ...]) -> None:
    # 65 Ah at 20 h; derived by hand from Peukert 1897
    for current, ah in zip((5, 10, 20), row, strict=True):
        hours = peukert_hours(rated_ah=65, rated_h=20, current_a=current, exponent=exponent)
        assert hours * current == pytest.approx(ah, abs=0.05)


@pytest.mark.parametrize(("celsius", "divisor"), [(-3.9, 1.520), (0.0, 1.405), (7.0, 1.25), (25.0, 1.000)])
def test_cold_divisor_of_the_sizing_standard(celsius: float, divisor: float) -> None:
    # IEEE 485: 25 °F 1.520 and 77 °F 1.000 from memory of its table; 0 and 7 °C by its cubic
    assert cold_divisor(celsius) == pytest.approx(divisor, abs=0.012)


def test_cold_capacity_is_near_the_army_manual() -> None:
    # US Army manual: 75 % at 0 °C; IEEE's cubic gives 71 %
    assert 100 / cold_divisor(0) == pytest.approx(75, abs=5)


@pytest.mark.parametrize(("gravity", "volts"), [(1.280, 2.125), (1.265, 2.11), (1.100, 1.945)])
def test_cell_voltage_is_specific_gravity_plus_0_845(gravity: float, volts: float) -> None:
    # DOE-HDBK-1084
    assert cell_volts(gravity) == pytest.approx(volts, abs=0.0005)


@pytest.mark.parametrize("watts", [50.0, 100.0, 200.0, 400.0])
def test_inverter_curve_is_near_a_general_inverter_model(watts: float) -> None:
    # pvlib.inverter.sandia (King et al. 2007) with 8 W own use and a mild curvature; 500 W
    model = {
        "Paco": 500,
        "Pdco": 500 / 0.87 + 8,
        "Vdco": 12,
        "Pso": 8,
        "C0": -2e-5,
        "C1": 0,
        "C2": 0,
        "C3": 0,
        "Pnt": 1,
    }
    taken = np.linspace(9, 600, 6000)
    theirs = float(np.interp(watts, pvlib.inverter.sandia(12.0, taken, model), taken))
    assert watts / inverter_input_w(watts, Inverter()) == pytest.approx(watts / theirs, abs=0.02)


@pytest.mark.parametrize(("mm2", "ohm"), [(1.5, 13.3), (2.5, 7.98), (4, 4.95), (6, 3.30), (10, 1.91)])
def test_copper_resistance(mm2: float, ohm: float) -> None:
    # IEC 60228, class 5, plain copper at 20 °C
    assert copper_ohm_per_km(mm2) == pytest.approx(ohm, abs=0.005)


def test_copper_resistance_is_that_of_the_metal() -> None:
    # 1/58 ohm mm²/m, the International Annealed Copper Standard (memory); class 5 strands run a few per cent above it
    for mm2 in (1.5, 2.5, 4, 6, 10):
        assert 1.0 < copper_ohm_per_km(mm2) * mm2 / (1000 / 58) < 1.2


def test_a_heater_at_90_pct_of_its_volts_gives_81_pct_of_its_power() -> None:
    # square law of a resistance
    assert heater_w(100, volts=90, rated_v=100) == pytest.approx(81)


def test_forty_colonies_take_the_energy_reckoned_by_hand() -> None:
    # derived: forty at 3 min, 0.3 W/K, 2.25 g: 198 Wh at the socket, 244 Wh at the battery
    warm_h = warm_up_s(power_w=200, heat_capacity_j_per_k=243, loss_w_per_k=0.3, start_c=7, hold_c=230) / 3600
    held_w = 2 * holding_duty_pct(power_w=200, loss_w_per_k=0.3, air_c=7, hold_c=230)
    socket_wh = 200 * warm_h + 2 * held_w + 40 * dose_energy_kj(2.25) / 3.6
    assert socket_wh == pytest.approx(198, abs=2)
    assert socket_wh / 0.87 + 8 * (2 + warm_h) == pytest.approx(244, abs=2)


def test_some_forty_doses_lie_inside_the_range() -> None:
    # common practice, no source: 200 W on a 500 W inverter and a 65 Ah battery does some 40 doses of 2 to 2.5 g
    band = doses_per_charge(Battery(), Inverter(), Sublimator(), air_c=7, minutes_per_colony=3)
    assert band.p05 < 40 < band.p95
    assert band.limit == "discharge limit"


def test_doses_at_half_discharge_of_a_warm_new_battery_are_about_49() -> None:
    # derived by hand: 0.3 W/K, 3 min, 87 % + 8 W, exponent 1.15, no cold, no age
    band = doses_per_charge(Battery(health_pct=100), Inverter(), Sublimator(), air_c=21, minutes_per_colony=3)
    assert band.p50 == pytest.approx(49, abs=3)


def test_machine_in_good_order_keeps_the_times_of_the_trade() -> None:
    # common practice, no source: 5 to 6 minutes to heat, 15 to 25 s a dose of 2 to 2.5 g
    chamber = Sublimator().chamber
    warm = warm_up_s(
        power_w=200, heat_capacity_j_per_k=float(chamber.heat_capacity_j_per_k), loss_w_per_k=0.3, start_c=7, hold_c=230
    )
    assert 5 <= warm / 60 <= 6
    for dose_g in (2.0, 2.5):
        assert 15 <= float(expel_s(dose_g, chamber, chamber_c=230.0, air_c=7.0)) <= 25


def test_a_supply_too_weak_to_reach_the_hold_never_warms_up() -> None:
    assert math.isinf(warm_up_s(power_w=60, heat_capacity_j_per_k=243, loss_w_per_k=0.3, start_c=7, hold_c=230))


ONE_AT_A_TIME = [
    ({}, 49, 49),
    ({"loss_w_per_k": 0.1}, 90, 90),
    ({"loss_w_per_k": 0.5}, 34, 34),
    ({"minutes_per_colony": 2.0}, 65, 65),
    ({"minutes_per_colony": 5.0}, 34, 34),
    ({"battery_c": 7.0}, 37, 44),
    ({"health_pct": 75.0}, 34, 37),
    ({"exponent": 1.3}, 37, 37),
    ({"loss_w_per_k": 0.5, "minutes_per_colony": 5.0, "battery_c": 0.0, "health_pct": 75.0, "exponent": 1.3}, 0, 10),
]


@pytest.mark.parametrize(("changed", "low", "high"), ONE_AT_A_TIME)
def test_doses_one_input_at_a_time_are_those_reckoned_by_hand(
    changed: dict[str, float], low: float, high: float
) -> None:
    # derived by hand: 65 Ah new and warm, half discharge, 0.3 W/K, 3 min, 87 % + 8 W, exponent 1.15; within 4 %
    new = Battery(health_pct=100)
    spreads = input_spreads(new, Inverter(), Sublimator(), 21, 3)
    values = {name: np.array([spread.middle]) for name, spread in spreads.items()}
    values |= {name: np.array([value]) for name, value in changed.items()}
    doses = float(doses_from_inputs(Inputs(**values), new, Inverter(), Sublimator(), air_c=7).min())
    assert 0.96 * low <= doses <= 1.04 * high


@pytest.mark.parametrize(("product_g", "oad_g", "oa_g"), [(2.3, 2.04, 1.455)])
def test_an_authorised_powders_dose_in_crystals_and_acid(product_g: float, oad_g: float, oa_g: float) -> None:
    # summary of product characteristics (2015), 886 mg OAD per g; atomic weights
    crystals = crystals_from_product_g(product_g, strength_mg_per_g=chemistry.POWDER_STRENGTH_MG_PER_G.value)
    assert crystals == pytest.approx(oad_g, abs=0.005)
    assert oa_from_crystals_g(crystals) == pytest.approx(oa_g, abs=0.001)
