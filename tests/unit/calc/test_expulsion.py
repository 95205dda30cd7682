"""Too cold, too hot, and a chamber that cannot keep up."""

import math

import pytest

from kit.calc.expulsion import Chamber, expel_s, temperature_warnings, working_temperature_c

CHAMBER = Chamber(200.0, 243.0, 0.3, 2.4, 230.0)


@pytest.mark.parametrize(
    ("chamber_c", "dose_g", "word"), [(140, 2.3, "Too cold"), (170, 2.3, "residue"), (280, 2.3, "carbon monoxide")]
)
def test_a_chamber_out_of_its_range_is_warned_of(chamber_c: float, dose_g: float, word: str) -> None:
    # 157 °C sublimes, 190 °C breaks down: handbook chemistry, second-hand
    assert any(word in sentence for sentence in temperature_warnings(chamber_c, dose_g))


def test_a_hot_chamber_with_crystals_in_it_is_in_order_and_an_empty_one_is_warned_of() -> None:
    assert temperature_warnings(230, 2.3) == ()
    assert "nozzle" in temperature_warnings(230, 0)[0]


def test_a_heater_too_weak_for_the_pace_lets_the_chamber_sink() -> None:
    weak = CHAMBER._replace(power_w=90.0)
    assert float(working_temperature_c(2.25, CHAMBER, seconds_between_doses=90, air_c=7)) == 230
    assert float(working_temperature_c(2.25, weak, seconds_between_doses=90, air_c=7)) < 190


def test_a_chamber_that_never_gets_hot_never_finishes() -> None:
    cold = Chamber(20.0, 243.0, 0.3, 2.4, 230.0)
    assert math.isinf(float(expel_s(2.25, cold, chamber_c=120.0, air_c=7.0)))


def test_a_chamber_on_its_way_up_finishes_later_than_a_hot_one() -> None:
    late = float(expel_s(2.25, CHAMBER, chamber_c=150.0, air_c=7.0))
    assert float(expel_s(2.25, CHAMBER, chamber_c=230.0, air_c=7.0)) < late < 300
