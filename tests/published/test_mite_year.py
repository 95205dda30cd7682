"""The mite year against published tables, the government leaflet and trials; the source stands beside each check.

Growth, shares and drop factors come out of the law; none of them goes in.
"""

from dataclasses import astuple
from datetime import date, timedelta

import numpy as np
import pytest

from kit.calc import draws
from kit.calc.brood import BroodYear
from kit.calc.lanes import Lanes
from kit.calc.many_years import simulate_many
from kit.calc.mites import MiteYear, Rates, Treatment, broodless, invasion_per_day, simulate
from kit.calc.rounds import best_interval, efficacy_pct, efficacy_range_pct
from kit.calc.treatments import effect, effect_rows

YEAR = simulate(start=date(2025, 3, 1), days=420, mites=20)
WINTER = date(2025, 12, 15)


def days_of(year: MiteYear, first: date, days: int) -> slice:
    return slice(year.at(first), year.at(first) + days)


def efficacy(treatments: list[Treatment], *, start: date, last: date, year: BroodYear | None = None) -> float:
    days = (last - start).days + 15
    left, without = (
        simulate(start=start, days=days, mites=100, treatments=given, year=year).total[-1] for given in (treatments, ())
    )
    return float(100 * (1 - left / without))


# Boot et al. 1995, Apidologie 26:109


def test_462_drone_cells_trap_95_pct_of_the_mites_of_a_kilogram_of_bees() -> None:
    hazard = invasion_per_day(worker_cells=0, drone_cells=462, adults=8 * 1000)
    assert 100 * (1 - np.exp(-hazard)) == pytest.approx(95, abs=0.5)


def test_a_drone_cell_draws_11_6_times_as_many_mites_as_a_worker_cell() -> None:
    drone = invasion_per_day(worker_cells=0, drone_cells=1, adults=20_000)
    worker = invasion_per_day(worker_cells=1, drone_cells=0, adults=20_000)
    assert drone / worker == pytest.approx(11.6, abs=0.05)


def test_mites_stay_3_7_days_on_20_000_bees_that_cap_1_200_worker_cells_a_day() -> None:
    hazard = invasion_per_day(worker_cells=1200, drone_cells=0, adults=20_000)
    assert hazard == pytest.approx(0.269, abs=0.0015)  # printed with 0.56, here 0.559
    assert 1 / hazard == pytest.approx(3.7, abs=0.05)


# Where mites are, how they grow and die


def test_half_to_nine_tenths_of_the_mites_are_in_brood_all_season_and_65_to_80_pct_at_its_height() -> None:
    # several papers, as gathered on the science page
    share = YEAR.in_brood / YEAR.total
    season, height = days_of(YEAR, date(2025, 4, 10), 160), days_of(YEAR, date(2025, 5, 1), 61)
    assert share[season].min() >= 0.5 and share[season].max() <= 0.9
    assert share[height].min() >= 0.65 and share[height].max() <= 0.80


@pytest.mark.parametrize("first", [date(2025, 12, 1), date(2026, 6, 1)])
def test_without_brood_0_2_to_0_4_pct_of_the_mites_fall_a_day(first: date) -> None:
    # Martin 1998, Ecol. Modelling 109:267 (second-hand)
    year = simulate(start=first, days=30, mites=1000, year=broodless())
    assert 0.2 <= 100 * year.board_drop_per_day[-1] / year.total[-1] <= 0.4


def test_a_broodless_winter_costs_about_39_8_pct_of_the_mites() -> None:
    # Korpela et al. 1992, J. Apic. Res. 31:159: 39.8 % over a winter of five to six months
    year = simulate(start=date(2025, 10, 15), days=168, mites=1000, year=broodless())
    assert 100 - year.total[-1] / 10 == pytest.approx(39.8, abs=2)


@pytest.mark.parametrize("month", [5, 6, 7, 8])
def test_mites_double_in_20_to_33_days_in_season(month: int) -> None:
    # Al Toufailia & Ratnieks 2016; Martin 1998 gives r about 0.021 a day, that is 33 days
    window = days_of(YEAR, date(2025, month, 1), 29)
    growth = np.log(YEAR.total[window][-1] / YEAR.total[window][0]) / 28
    assert 20 <= np.log(2) / growth <= 33


@pytest.mark.parametrize(("left", "days"), [(200, 65), (100, 100)])
def test_mites_left_by_a_treatment_are_1_000_again_in_the_leaflets_days(left: int, days: int) -> None:
    # Managing Varroa (second-hand): 80 % kill of 1,000 lasts 65 days, 90 % 100 days; "about", so within a quarter
    year = simulate(start=date(2025, 5, 1), days=200, mites=left)
    assert int(np.argmax(year.total >= 1000)) == pytest.approx(days, rel=0.25)


def test_few_mites_double_5_to_6_times_in_a_year_in_southern_england() -> None:
    # Al Toufailia & Ratnieks 2016; 6.4 from a January low to the autumn top is at the edge
    year = simulate(start=date(2025, 1, 1), days=365, mites=2)
    assert 5 <= np.log2(year.total.max() / 2) <= 6.5


def test_mites_brought_in_from_july_leave_the_november_loads_of_two_apiaries() -> None:
    # Frey & Rosenkranz 2014: cleared at the end of July, invaded by 72-248 or 266-1,171 mites in 3.5 months, untreated:
    # 340 and 2,082 mites in November; their means of invasion are not in the abstract, so ranges against means
    low, high, crowded = (
        simulate(start=date(2011, 7, 28), days=107, mites=20, reinvasion_per_day=mites / 107).total[-1]
        for mites in (72, 248, 1171)
    )
    assert low < 340 < high
    assert crowded == pytest.approx(2082, rel=0.25)


FACTORS = {1: 400, 2: 400, 3: 100, 4: 100, 5: 30, 6: 30, 7: 30, 8: 30, 9: 100, 10: 100, 11: 400, 12: 400}


@pytest.mark.parametrize(("month", "printed"), FACTORS.items())
def test_the_leaflets_drop_factors_come_out_within_a_factor_of_two(month: int, printed: int) -> None:
    # Managing Varroa: daily drop x 400 / 100 / 30 (second-hand)
    window = days_of(YEAR, date(2025 if month >= 3 else 2026, month, 1), 28)
    factor = YEAR.total[window].mean() / YEAR.board_drop_per_day[window].mean()
    assert printed / 2 <= factor <= printed * 2


def test_50_mites_in_march_neither_explode_nor_stall_by_the_years_end() -> None:
    # a bee farmer's untreated colony: thousands of mites by autumn, not more than bees can carry (common practice)
    year = simulate(start=date(2025, 3, 1), days=306, mites=50)
    assert 1_000 < year.total[-1] < 20_000
    assert year.infestation_pct.max() < 60


@pytest.mark.parametrize("growth", [3.0, 10.0])
def test_no_growth_however_great_carries_more_than_a_few_mites_a_bee(growth: float) -> None:
    # Martin 1995: more than one foundress in a cell lowers the yield of each
    wild = simulate_many(Lanes(start=date(2025, 3, 1), days=1000, mites=[1000.0], growth=growth))
    assert np.isfinite(wild.total).all() and wild.total.max() < 1e6


# Treatments


@pytest.mark.parametrize(("grams", "low", "high"), [(0.56, 80.5, 81.5), (1.125, 96.5, 97.5), (2.25, 93, 98)])
def test_one_sublimation_without_brood_kills_as_printed(grams: float, low: float, high: float) -> None:
    # Al Toufailia et al. 2015, J. Apic. Res. 54:108: 81, 97, 93-95 and 97.6 %
    one = efficacy_pct(start=WINTER, rounds=1, interval_days=0, dose_g=grams, brood=broodless())
    assert low <= one <= high


@pytest.mark.parametrize(
    ("word", "printed"), [("oxalic trickle", (20, 57, (93, 95.5))), ("oxalic spray", (25, 86, (93, 95)))]
)
def test_trickle_and_spray_without_brood_kill_as_printed(word: str, printed: tuple) -> None:
    # Al Toufailia et al. 2015 (memory)
    kills = [
        efficacy([Treatment(word, WINTER, dose_g=g)], start=WINTER, last=WINTER, year=broodless())
        for g in (0.56, 1.125, 2.25)
    ]
    assert kills[:2] == pytest.approx(printed[:2], abs=0.6)
    assert printed[2][0] <= kills[2] <= printed[2][1]


def test_one_trickle_without_brood_kills_above_95_pct() -> None:
    # Gregorc & Planinc 2001, Apidologie 32:333: 99.4 %
    kill = efficacy([Treatment("oxalic trickle", WINTER)], start=WINTER, last=WINTER, year=broodless())
    assert 95 < kill <= 99.9


def test_three_trickles_with_brood_reach_39_to_52_pct_within_the_range() -> None:
    # Gregorc & Planinc 2001: three times with brood 39-52 %
    start, n = date(2025, 6, 15), 400
    rounds = [Treatment("oxalic trickle", start + timedelta(days=7 * k)) for k in range(3)]
    rng = draws.stream(1)
    plain = Lanes(start=start, days=29, mites=np.full(n, 100.0), rates=draws.rates(n, rng))
    when, effects = effect_rows(
        rounds, start, plain.years[0].curves(start, 29).adults, draws.actions(["oxalic trickle"], n, rng)
    )
    treated = Lanes(start=start, days=29, mites=plain.mites, rates=plain.rates, when=when, effects=effects)
    left, without = (simulate_many(lanes, at=[28]).total[:, 0] for lanes in (treated, plain))
    low, high = np.quantile(100 * (1 - left / without), [0.05, 0.95])
    assert low < 52 and high > 39


@pytest.mark.parametrize("word", ["oxalic trickle", "oxalic sublimation"])
def test_caging_25_days_then_oxalic_acid_kills_85_to_92_pct(word: str) -> None:
    # Buchler et al. 2020, J. Apic. Res. 59:764: 88-90 %
    caged, freed = date(2025, 7, 10), date(2025, 8, 4)
    both = [Treatment("queen caging", caged, until=freed), Treatment(word, freed)]
    assert 85 <= efficacy(both, start=caged, last=freed) <= 92


def test_a_month_of_drone_brood_removal_takes_about_46_pct() -> None:
    # Al Toufailia 2016: -46 %
    first = date(2025, 5, 15)
    removal = Treatment("drone brood removal", first)
    assert efficacy([removal], start=first, last=first + timedelta(days=16)) == pytest.approx(46, abs=4)


SLOW = [
    ("formic acid", 49, 93),  # range of trials
    ("thymol", 70, 95),  # range of trials
    ("amitraz strips", 90, 95),  # J. Apic. Sci. 57:107, 2013
]


@pytest.mark.parametrize(("word", "low", "high"), SLOW)
def test_a_slow_treatment_in_august_kills_within_its_trials(word: str, low: float, high: float) -> None:
    placed = date(2025, 8, 15)
    treatment = Treatment(word, placed)
    assert low <= efficacy([treatment], start=placed, last=treatment.end) <= high


def test_pyrethroid_strips_kill_above_95_pct_only_where_mites_were_tested() -> None:
    # Thompson et al. 2002: >95 % where susceptible, resistance since 2001
    placed = date(2025, 8, 15)
    tested, assumed = (Treatment("pyrethroid strips", placed, tested=yes) for yes in (True, False))
    assert efficacy([tested], start=placed, last=tested.end) > 95
    assert efficacy([assumed], start=placed, last=assumed.end) < 70


# Rounds with brood

TOY = BroodYear(eggs=(1200 / 0.85,) * 12, adults=(20_000,) * 12, drone_share=0.0)
STILL = Rates(
    invade_worker_g=0.269 * 2500 / 1200, daughters_worker_summer=0, daughters_worker_winter=0, fall_worker=0,
    death_summer=0, death_winter=0,
)  # fmt: skip


def plain_case(interval: int, active: float, fade: float) -> float:
    """Three rounds of 95 % in full brood with h = 0.269, no reproduction: percent killed."""
    when = np.array([[[k * interval, k * interval + 1] for k in range(3)]])
    effects = np.array([[[0.95, active, fade, 0, 0, 0]] * 3])
    lanes = Lanes(
        start=date(2025, 6, 1), days=2 * interval + 15, mites=[100.0], years=[TOY], rates=np.array([astuple(STILL)]),
        when=when, effects=effects,
    )  # fmt: skip
    return float(100 - simulate_many(lanes).total[0, -1])


@pytest.mark.parametrize(("days", "low", "high"), [(0, 53, 65), (1, 65, 76), (2, 75, 88), (3, 84, 94)])
@pytest.mark.parametrize("interval", [4, 5, 6, 7, 8])
def test_three_rounds_in_full_brood_keep_the_plain_limits(days: int, low: float, high: float, interval: int) -> None:
    # the science page's derived cases, residue at full strength for so many days; half a point for their rounding
    assert low - 0.5 <= plain_case(interval, days, 0) <= high + 0.5


@pytest.mark.parametrize("interval", [4, 5, 6, 7, 8])
def test_the_fading_residue_lies_between_none_and_two_full_days(interval: int) -> None:
    default = effect(Treatment("oxalic sublimation", date(2025, 6, 1)), 20_000)
    fading = plain_case(interval, float(default.active_days), float(default.fade_days))
    assert plain_case(interval, 0, 0) < fading < plain_case(interval, 2, 0)


def test_five_to_six_days_apart_is_near_the_best_as_brood_tails_off() -> None:
    # common practice, no source: three rounds over 15 days, 5-6 days apart
    start = date(2025, 9, 20)
    best = best_interval(start=start, rounds=3, dose_g=2.25)
    usual = [efficacy_pct(start=start, rounds=3, interval_days=gap, dose_g=2.25) for gap in (5, 6)]
    assert max(usual) >= best.efficacy_pct - 3


def test_repeated_sublimation_with_brood_is_a_range_and_never_one_number() -> None:
    # trials contradict each other; the middle of practice lies inside
    low, middle, high = efficacy_range_pct(start=date(2025, 8, 10), rounds=3, interval_days=5, dose_g=2.25)
    assert low < middle < high and high - low > 10
