"""The compiled law against its twin, lanes against single years, and what is refused."""

import os
import subprocess
import sys
from dataclasses import astuple
from datetime import date, timedelta

import numpy as np
import pytest

from kit.calc import _kernel, _pack
from kit.calc.brood import BroodYear
from kit.calc.mites import (
    RATE_NAMES,
    Lanes,
    Rates,
    Treatment,
    broodless,
    default_year,
    invasion_per_day,
    simulate,
    simulate_many,
)
from kit.constants import bees
from kit.errors import ValidityError
from tests.unit.calc import mite_twin

APRIL = date(2025, 4, 1)


def varied(n: int = 60, days: int = 400) -> Lanes:
    """Lanes that use every feature: rows of years with events, wandering factors, treatments of each kind."""
    rng = np.random.default_rng(11)
    years = [default_year().shifted(shift) for shift in (-15, 0, 15)]
    years[1] = years[1].parted(date(2025, 6, 1), bees_pct=60, brood_pct=30, queenless_days=25)
    effects = rng.uniform(0, 0.6, (n, 4, 6))
    effects[:, :, 1], effects[:, :, 2] = rng.uniform(0, 5, (n, 4)), rng.choice([0.0, 1.0, 3.0], (n, 4))
    effects[:, :, 3:] *= 0.2
    first = rng.integers(0, days, (n, 4))
    when = np.stack([first, first + rng.integers(1, 40, (n, 4))], axis=-1)
    rates = np.array(astuple(Rates())) * rng.uniform(0.7, 1.3, (n, len(RATE_NAMES)))
    return Lanes(
        start=APRIL, days=days, mites=rng.uniform(0, 3000, n), years=years, year_at=rng.uniform(0, 2, n), rates=rates,
        adults_factor=rng.uniform(0.5, 1.5, (n, 5)), brood_factor=rng.uniform(0.5, 1.5, (n, 5)),
        growth=rng.uniform(0.5, 2, (n, 5)), reinvasion_per_day=rng.uniform(0, 20, (n, 5)), when=when, effects=effects,
        winter_bees=(date(2025, 8, 15), date(2025, 10, 10)),
    )  # fmt: skip


def test_the_kernel_is_its_twin_to_1e_9() -> None:
    packed = _pack.packed(varied(), np.arange(400))
    n = len(packed.mites)
    out, spoiled = np.empty((n, 400, _kernel.FULL)), np.empty(n)
    _kernel.run(packed, out, spoiled, 0, n)
    expected, expected_spoiled = mite_twin.run(packed)
    np.testing.assert_allclose(out, expected, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(spoiled, expected_spoiled, rtol=1e-9)


def test_every_place_of_the_state_has_its_column_in_the_twin() -> None:
    assert _kernel.FULL == 11
    assert (
        bees.WORKER_CAPPED_DAYS.value,
        bees.DRONE_CAPPED_DAYS.value,
    ) == (_kernel.WORKER_CAPPED, _kernel.DRONE_CAPPED)


@pytest.mark.parametrize("threads", [2, 3, 8])
def test_the_number_of_threads_changes_nothing(threads: int) -> None:
    lanes = varied(1000)
    one, many = simulate_many(lanes, at=[100, 300]), simulate_many(lanes, at=[100, 300], threads=threads)
    for name in ("on_bees", "in_brood", "adults", "fallen", "winter_bees_spoiled_pct"):
        np.testing.assert_array_equal(getattr(one, name), getattr(many, name))


def test_resistance_told_takes_its_share_of_the_kill() -> None:
    placed = date(2025, 8, 20)
    strips = [Treatment("amitraz strips", placed, resistant_pct=share) for share in (0, 50, 100)]
    left = [simulate(start=placed, days=60, mites=100, treatments=[one]).total[-1] for one in strips]
    untreated = simulate(start=placed, days=60, mites=100).total[-1]
    assert left[0] < left[1] < left[2] == untreated


def test_a_lane_is_the_single_year() -> None:
    rounds = [Treatment("oxalic sublimation", date(2025, 9, day)) for day in (1, 6)]
    single = simulate(start=APRIL, days=300, mites=50, treatments=rounds, reinvasion_per_day=2)
    lane = simulate_many(Lanes(start=APRIL, days=300, mites=[9.0, 50.0], reinvasion_per_day=[0.0, 2.0]).treated(rounds))
    np.testing.assert_array_equal(lane.total[1], single.total)
    np.testing.assert_allclose(lane.drop_per_day[1], single.board_drop_per_day, rtol=1e-9, atol=1e-9)
    np.testing.assert_array_equal(lane.infestation_pct[1], single.infestation_pct)


def test_days_asked_for_are_those_of_the_whole_run() -> None:
    lanes = varied(5)
    whole, some = simulate_many(lanes), simulate_many(lanes, at=[0, 7, 399])
    np.testing.assert_array_equal(some.total, whole.total[:, [0, 7, 399]])
    assert some.drop_per_day[:, 1] == pytest.approx(whole.drop_per_day[:, 1:8].mean(axis=1))


def test_a_year_half_way_between_two_rows_has_bees_half_way() -> None:
    years = [broodless(10_000), broodless(14_000)]
    lanes = Lanes(start=APRIL, days=3, mites=[10.0, 10.0, 10.0], years=years, year_at=[0.0, 0.5, 1.0])
    assert simulate_many(lanes).adults[:, 0].tolist() == [10_000, 12_000, 14_000]


def test_factors_wander_on_straight_lines_between_even_knots() -> None:
    lanes = Lanes(start=APRIL, days=11, mites=[10.0], years=[broodless(10_000)], adults_factor=[[1.0, 2.0, 1.0]])
    assert simulate_many(lanes).adults[0, [0, 2, 5, 10]] == pytest.approx([10_000, 14_000, 20_000, 10_000])


def test_mites_on_the_first_morning_add_up_to_those_given() -> None:
    year = simulate(start=date(2025, 6, 1), days=1, mites=500)
    born, arrived, lost, killed, left = year.flows[0]
    assert year.total[0] == pytest.approx(500 + born + arrived - lost - killed - left)


def test_a_board_holds_the_treatments_dead_for_weeks() -> None:
    # state advisers: about 80 % of the killed fall within a week, the tail runs to 3-4 weeks
    day = date(2025, 12, 10)
    still = Rates(death_winter=0, death_summer=0)
    year = simulate(
        start=day, days=40, mites=1000, treatments=[Treatment("oxalic sublimation", day, kill_pct=90)],
        year=broodless(), rates=still,
    )  # fmt: skip
    fallen = np.cumsum(year.board_drop_per_day) / 900
    assert fallen[7] == pytest.approx(0.8, abs=0.03)
    assert 0.92 < fallen[14] < 0.97  # a board at day 14 still holds that round's dead
    assert 0.96 < fallen[21] < 0.99 < fallen[32]
    assert int(np.argmax(year.board_drop_per_day)) in (1, 2, 3)


def test_winter_bees_spoiled_counts_the_cells_of_the_window() -> None:
    lanes = Lanes(start=APRIL, days=250, mites=[30.0, 300.0, 0.0], winter_bees=(date(2025, 8, 15), date(2025, 10, 10)))
    few, many, none = simulate_many(lanes, at=[249]).winter_bees_spoiled_pct
    single = simulate(start=APRIL, days=250, mites=30)
    raised = single.raised(date(2025, 8, 15), date(2025, 10, 10))
    assert few == pytest.approx(raised.spoiled_pct)
    capped_before = default_year().curves(date(2025, 8, 3), 56).worker_cells  # 12 days before they emerge
    assert raised.bees == pytest.approx(capped_before.sum())
    assert many > 5 * few and none == 0


def test_without_a_window_no_share_of_winter_bees_is_given() -> None:
    assert np.isnan(simulate_many(Lanes(start=APRIL, days=9, mites=[1.0])).winter_bees_spoiled_pct[0])


def test_caging_stops_the_brood_and_the_release_brings_it_back() -> None:
    year = simulate(
        start=date(2025, 7, 1), days=60, mites=100, treatments=[Treatment("queen caging", date(2025, 7, 1))]
    )
    assert year.capped_worker[24] == pytest.approx(0, abs=1e-6)
    assert year.capped_worker[50] > 5_000
    assert year.in_brood[24] == pytest.approx(0, abs=1e-6)


def test_lanes_cage_the_queen_as_a_single_year_does() -> None:
    caged = [Treatment("queen caging", date(2025, 7, 1)), Treatment("oxalic trickle", date(2025, 7, 26))]
    lanes = Lanes(start=APRIL, days=200, mites=[100.0]).treated(caged)
    single = simulate(start=APRIL, days=200, mites=100, treatments=caged)
    np.testing.assert_array_equal(simulate_many(lanes).total[0], single.total)


def test_a_place_where_nothing_can_be_written_still_runs_the_law() -> None:
    code = "import os; os.access = lambda *_: False; import kit.calc._kernel; print(os.environ['NUMBA_CACHE_DIR'])"
    env = {name: value for name, value in os.environ.items() if name != "NUMBA_CACHE_DIR"}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert "season-kit-numba-" in done.stdout


def test_pyrethroid_resistance_needs_a_test_to_go_away() -> None:
    placed = date(2025, 8, 20)
    left = [
        simulate(
            start=placed, days=60, mites=100, treatments=[Treatment("pyrethroid strips", placed, tested=tested)]
        ).total[-1]
        for tested in (False, True)
    ]
    assert left[0] > 10 * left[1]


REFUSED = [
    ({"mites": -1.0}, "mites must be finite and >= 0: got -1.0"),
    ({"mites": float("nan")}, "mites must be finite and >= 0: got nan"),
    ({"days": 0}, "days must be between 1 and 1098: got 0"),
    ({"reinvasion_per_day": -2.0}, "reinvasion_per_day must be finite and >= 0: got -2.0"),
    (
        {"treatments": [Treatment("thymol", APRIL - timedelta(days=1))]},
        "thymol on 2025-03-31 must not be before the start 2025-04-01",
    ),
]


@pytest.mark.parametrize(("change", "said"), REFUSED)
def test_what_cannot_be_is_refused_in_one_sentence(change: dict, said: str) -> None:
    with pytest.raises(ValidityError) as refusal:
        simulate(**({"start": APRIL, "days": 10, "mites": 10.0} | change))
    assert str(refusal.value) == said


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Treatment("magic", APRIL), "treatment word must be one of"),
        (lambda: Treatment("oxalic sublimation", APRIL, dose_g=50), "dose_g must be between 0 and 4: got 50"),
        (lambda: Treatment("oxalic sublimation", APRIL, dose_g=-1), "dose_g must be >= 0: got -1"),
        (lambda: Treatment("oxalic sublimation", APRIL, dose_g=float("nan")), "dose_g must be a finite number"),
        (lambda: Treatment("oxalic sublimation", APRIL, seal="tight"), "seal must be good, fair or poor"),
        (lambda: Treatment("thymol", APRIL, until=APRIL), "until must be after the day"),
        (lambda: Rates(fall_worker=1.2), "fall_worker must be between 0 and 1"),
        (lambda: Rates(daughters_drone=float("nan")), "daughters_drone must be a finite number"),
        (lambda: BroodYear(eggs=(1.0,) * 11), "eggs and adults must hold 12 months"),
        (lambda: broodless(0), "adults must be between 1 and 200000"),
        (lambda: default_year().without_laying(APRIL, APRIL), "end of the laying stop must be after"),
        (lambda: invasion_per_day(worker_cells=1, drone_cells=0, adults=0), "adults must be > 0"),
        (lambda: simulate_many(Lanes(start=APRIL, days=5, mites=[1.0]), at=[3, 2]), "at must hold days 0 to 4"),
        (lambda: simulate_many(Lanes(start=APRIL, days=5, mites=[1.0], year_at=1.0)), "year_at must be at most 0"),
        (lambda: simulate_many(Lanes(start=APRIL, days=5, mites=[1.0], growth=[1.0, 2.0])), "growth must have shape"),
    ],
)
def test_a_bad_number_is_refused_where_it_is_given(make, said: str) -> None:
    with pytest.raises(ValidityError, match=said):
        make()


def test_a_dose_beyond_the_sources_is_taken_only_when_asked_for() -> None:
    assert Treatment("oxalic sublimation", APRIL, dose_g=5, extrapolate=True).dose_g == 5


def test_the_day_of_a_year_is_found_or_refused() -> None:
    year = simulate(start=APRIL, days=10, mites=1)
    assert year.at(date(2025, 4, 4)) == 3
    with pytest.raises(ValidityError, match="must lie in the 10 days from 2025-04-01: got 2025-04-11"):
        year.at(date(2025, 4, 11))
