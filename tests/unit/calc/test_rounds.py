"""Series of rounds and drawn parameters."""

from datetime import date

import numpy as np
import pytest

from kit.calc import draws
from kit.calc.mites import RATE_NAMES, broodless
from kit.calc.rounds import best_interval, efficacy_pct, efficacy_range_pct, grid, least_rounds
from kit.calc.treatments import SOURCED
from kit.errors import ValidityError

AUGUST = date(2025, 8, 10)


def test_no_number_of_rounds_looked_through_may_be_enough_and_that_is_said() -> None:
    answer = least_rounds(start=date(2025, 6, 15), target_pct=95, dose_g=2.25, most=4)
    assert answer.rounds is None and answer.efficacy_pct < 95 and answer.in_brood_pct > 65


def test_one_round_is_enough_without_brood() -> None:
    answer = least_rounds(start=date(2025, 12, 20), target_pct=95, dose_g=2.25, brood=broodless())
    assert answer.rounds == 1 and answer.interval_days == 0 and answer.in_brood_pct == 0


def test_the_best_interval_is_best_and_names_those_as_good() -> None:
    best = best_interval(start=AUGUST, rounds=3, dose_g=2.25)
    for gap in range(3, 9):
        value = efficacy_pct(start=AUGUST, rounds=3, interval_days=gap, dose_g=2.25)
        assert value <= best.efficacy_pct
        assert (value >= best.efficacy_pct - 2) == (gap in best.as_good)


def test_the_grid_holds_the_ranges_of_its_series() -> None:
    found = grid(start=AUGUST, dose_g=2.25, rounds=(1, 3), intervals_days=(5, 7))
    band = efficacy_range_pct(start=AUGUST, rounds=3, interval_days=7, dose_g=2.25)
    assert (found.p05[1, 1], found.p50[1, 1], found.p95[1, 1]) == band
    assert found.p50[0, 0] == found.p50[0, 1]


def test_the_same_question_has_the_same_range() -> None:
    first, second = (efficacy_range_pct(start=AUGUST, rounds=2, interval_days=6, dose_g=2) for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rounds": 0}, "rounds must be between 1 and 12: got 0"),
        ({"rounds": 1}, "interval_days must be 0 with one round: got 5"),
        ({"interval_days": 0}, "interval_days must be between 1 and 60: got 0"),
        ({"dose_g": 50}, "dose_g must be between 0 and 4: got 50"),
        ({"seal": "open"}, "seal must be good, fair or poor: got 'open'"),
    ],
)
def test_a_series_that_cannot_be_is_refused(change: dict, said: str) -> None:
    with pytest.raises(ValidityError, match=said):
        efficacy_pct(**({"start": AUGUST, "rounds": 3, "interval_days": 5, "dose_g": 2.25} | change))


def test_draws_stay_in_their_ranges_with_their_value_in_the_middle() -> None:
    drawn = draws.rates(4000, draws.stream(3, "Mill", "A1"))
    assert drawn.shape == (4000, len(RATE_NAMES))
    for column, constant in zip(drawn.T, draws.RATES.values(), strict=True):
        assert constant.low <= column.min() and column.max() <= constant.high
        assert np.median(column) == pytest.approx(constant.value, rel=0.05)


def test_numbers_of_one_source_move_together_and_others_do_not() -> None:
    drawn = dict(zip(RATE_NAMES, draws.rates(4000, draws.stream(3)).T, strict=True))
    ranks = {name: column.argsort().argsort() for name, column in drawn.items()}
    assert np.corrcoef(ranks["invade_worker_g"], ranks["invade_drone_g"])[0, 1] > 0.5
    assert np.corrcoef(ranks["daughters_worker_summer"], ranks["fall_worker"])[0, 1] > 0.5
    assert abs(np.corrcoef(ranks["invade_worker_g"], ranks["death_winter"])[0, 1]) < 0.06


def test_a_colonys_draws_are_its_own_whatever_the_order() -> None:
    first = draws.rates(5, draws.stream(7, "Mill", "A1"))
    draws.rates(5, draws.stream(7, "Mill", "A2"))
    np.testing.assert_array_equal(first, draws.rates(5, draws.stream(7, "Mill", "A1")))
    assert not np.array_equal(first, draws.rates(5, draws.stream(7, "Mill", "A2")))
    assert not np.array_equal(first, draws.rates(5, draws.stream(8, "Mill", "A1")))


def test_what_was_done_is_not_drawn() -> None:
    action = draws.action("oxalic sublimation", 50, draws.stream(1))
    assert action.usual_g == SOURCED["oxalic sublimation"]["usual_g"].value
    assert np.shape(action.most) == (50,)


def test_an_unknown_word_and_a_negative_seed_are_refused() -> None:
    with pytest.raises(ValidityError, match="treatment word must be one of"):
        draws.action("magic", 5, draws.stream(1))
    with pytest.raises(ValidityError, match="seed must be >= 0: got -1"):
        draws.stream(-1)
