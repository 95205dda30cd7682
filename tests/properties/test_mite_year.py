"""What must hold of the mite year for any parameters, colony, treatments and year."""

from dataclasses import astuple, replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.calc import _kernel, _pack, draws
from kit.calc.brood import BroodYear, default_year
from kit.calc.lanes import Lanes
from kit.calc.many_years import simulate_many
from kit.calc.mites import Rates, simulate
from kit.calc.rounds import efficacy_pct
from kit.calc.treatments import SOURCED, Treatment, effect
from kit.constants.treatment_words import LAYING_STOPS
from tests.unit.calc import mite_twin

STEADY = settings(deadline=None, max_examples=50, derandomize=True)  # the first call compiles; each run is the same

START = date(2025, 3, 1)
DAYS = 300

days_in = st.integers(0, DAYS - 1).map(lambda n: START + timedelta(days=n))
slow_words = sorted(set(SOURCED) - LAYING_STOPS)


@st.composite
def treatments(draw: st.DrawFn) -> list[Treatment]:
    found = []
    for _ in range(draw(st.integers(0, 4))):
        word, day = draw(st.sampled_from(sorted(SOURCED))), draw(days_in)
        dose = draw(st.none() | st.floats(0, 4))
        seal, air = draw(st.sampled_from(["good", "fair", "poor"])), draw(st.none() | st.floats(-10, 35))
        found.append(Treatment(word, day, dose_g=dose, seal=seal, air_c=air))
    return found


@st.composite
def years(draw: st.DrawFn) -> BroodYear:
    year = default_year().scaled(draw(st.floats(0.1, 2))).shifted(draw(st.floats(-40, 40)))
    if draw(st.booleans()):
        gone = {"bees_pct": draw(st.floats(0, 90)), "brood_pct": draw(st.floats(0, 100))}
        year = year.parted(draw(days_in), **gone, queenless_days=draw(st.integers(0, 40)))
    return year


@st.composite
def rates(draw: st.DrawFn) -> Rates:
    row = draws.rates(1, draws.stream(draw(st.integers(0, 10_000))))[0]
    return Rates(*row.tolist())


@st.composite
def seasons(draw: st.DrawFn) -> dict[str, object]:
    return {
        "start": START, "days": DAYS, "mites": draw(st.floats(0, 5_000)), "treatments": draw(treatments()),
        "year": draw(years()), "reinvasion_per_day": draw(st.floats(0, 20)), "rates": draw(rates()),
    }  # fmt: skip


@STEADY
@given(asked=seasons())
def test_mites_are_conserved(asked) -> None:
    season = simulate(**asked)
    born, arrived, lost, killed, left = season.flows.T
    there = asked["mites"] + born + arrived - lost - killed - left
    np.testing.assert_allclose(season.total, there, rtol=1e-9, atol=1e-9 * (1 + born.max() + arrived.max()))


@STEADY
@given(asked=seasons())
def test_nothing_is_negative_or_endless(asked) -> None:
    season = simulate(**asked)
    for values in (season.on_bees, season.in_brood, season.adults, season.infested_cells_pct, season.flows):
        assert np.isfinite(values).all() and (values >= 0).all()
    assert (season.board_drop_per_day >= -1e-9).all()
    assert (season.capped_worker >= -1e-6).all() and (season.capped_drone >= -1e-6).all()


@STEADY
@given(asked=seasons())
def test_what_fell_on_the_board_is_no_more_than_what_died(asked) -> None:
    season = simulate(**asked)
    dead = season.flows[:, 2] + season.flows[:, 3]
    assert (np.cumsum(season.board_drop_per_day) <= dead * (1 + 1e-9) + 1e-9).all()


@STEADY
@given(given_treatments=treatments(), year=years(), r=rates())
def test_no_mites_stay_no_mites(given_treatments, year, r) -> None:
    season = simulate(start=START, days=DAYS, mites=0, treatments=given_treatments, year=year, rates=r)
    assert (season.total == 0).all() and (season.board_drop_per_day == 0).all()


@STEADY
@given(given_treatments=treatments(), year=years(), r=rates())
def test_half_the_mites_are_half_of_everything_far_from_crowding(given_treatments, year, r) -> None:
    few, half = (
        simulate(start=START, days=DAYS, mites=m, treatments=given_treatments, year=year, rates=r)
        for m in (1e-6, 0.5e-6)
    )
    np.testing.assert_allclose(2 * half.total, few.total, rtol=1e-6, atol=1e-18)


@STEADY
@given(day=days_in, year=years(), r=rates(), mites=st.floats(1, 3_000), word=st.sampled_from(slow_words))
def test_a_treatment_never_leaves_more_mites(day, year, r, mites, word) -> None:
    alone, treated = (
        simulate(start=START, days=DAYS, mites=mites, treatments=ts, year=year, rates=replace(r, crowding_worker=0))
        for ts in ((), [Treatment(word, day)])
    )
    assert (treated.total <= alone.total * (1 + 1e-9) + 1e-9).all()


@STEADY
@given(low=st.floats(0, 4), more=st.floats(0, 4), adults=st.floats(1_000, 60_000), word=st.sampled_from(slow_words))
def test_more_dose_never_kills_less(low, more, adults, word) -> None:
    day = START
    less, greater = (effect(Treatment(word, day, dose_g=g, extrapolate=True), adults).kill for g in (low, low + more))
    assert less <= greater + 1e-12


@STEADY
@given(dose=st.floats(0, 4), adults=st.floats(1_000, 60_000))
def test_a_better_seal_never_kills_less(dose, adults) -> None:
    kills = [
        effect(Treatment("oxalic sublimation", START, dose_g=dose, seal=seal), adults).kill
        for seal in ("poor", "fair", "good")
    ]
    assert kills[0] <= kills[1] <= kills[2]


@STEADY
@given(day=days_in, rounds=st.integers(1, 6), gap=st.integers(1, 14), dose=st.floats(0.1, 4), year=years())
def test_one_round_more_at_the_end_never_leaves_more_mites(day, rounds, gap, dose, year) -> None:
    series = [Treatment("oxalic sublimation", day + timedelta(days=k * gap), dose_g=dose) for k in range(rounds + 1)]
    last = (series[-1].day - day).days + 15
    fewer, more = (
        simulate(start=day, days=last, mites=10, treatments=ts, year=year).total[-1] for ts in (series[:-1], series)
    )
    assert more <= fewer * (1 + 1e-9)


@STEADY
@given(dose=st.floats(0.2, 3), day=days_in)
def test_a_series_kills_between_nothing_and_everything(dose, day) -> None:
    assert 0 <= efficacy_pct(start=day, rounds=3, interval_days=5, dose_g=dose) <= 100


@settings(STEADY, max_examples=20)
@given(mites=st.floats(0, 3000), year=years(), r=rates(), guests=st.floats(0, 20), growth=st.floats(0, 3))
def test_the_kernel_is_its_twin(mites, year, r, guests, growth) -> None:
    lanes = Lanes(
        start=START, days=120, mites=[mites], years=[year, default_year()], year_at=0.25, reinvasion_per_day=guests,
        growth=growth, rates=np.array([astuple(r)]),
    ).treated([Treatment("oxalic sublimation", START + timedelta(days=d)) for d in (30, 36)])  # fmt: skip
    packed = _pack.packed(lanes, np.arange(120))
    out, spoiled = np.empty((1, 120, _kernel.FULL)), np.empty(1)
    _kernel.run(packed, out, spoiled, 0, 1)
    expected, _ = mite_twin.run(packed)
    np.testing.assert_allclose(out, expected, rtol=1e-9, atol=1e-9)


@STEADY
@given(seed=st.integers(0, 2**31), n=st.integers(2, 40))
def test_lanes_do_not_touch_each_other(seed, n) -> None:
    rng = np.random.default_rng(seed)
    mites, growth = rng.uniform(0, 1000, n), rng.uniform(0, 2, n)
    together = simulate_many(Lanes(start=START, days=90, mites=mites, growth=growth), at=[89]).total[:, 0]
    alone = simulate_many(Lanes(start=START, days=90, mites=mites[-1:], growth=growth[-1:]), at=[89]).total[0, 0]
    assert together[-1] == alone


def test_the_area_under_the_residue_is_its_integral() -> None:
    area = _kernel._area.py_func
    for active, fade in ((3.0, 3.0), (2.0, 0.5), (4.0, 1.0)):
        fine = np.mean(np.clip((active - np.linspace(0, active, 200_001)) / fade, 0, 1)) * active
        assert area(active, fade) == pytest.approx(fine, rel=1e-4)
