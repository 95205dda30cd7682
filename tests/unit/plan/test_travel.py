"""Ways between places: what is known of each decides, and a guess is marked as one."""

from __future__ import annotations

import numpy as np
import pytest

from kit.calc.grid import place_of_grid
from kit.calc.travel import Place, Stop, great_circle_km, roads
from kit.errors import ValidityError

BASE = Place(52.0, -1.0)
NORTH, EAST = Place(52.2, -1.0), Place(52.0, -0.7)


def test_the_users_own_minutes_stand_for_base_and_apiary() -> None:
    found = roads(BASE, [Stop(NORTH, 31.0), Stop(EAST, 18.0)])
    assert found.minutes[0].tolist() == [0.0, 31.0, 18.0]
    assert found.guessed == ()


def test_between_apiaries_the_detour_goes_at_the_speed_fitted_to_the_users_drives() -> None:
    found = roads(BASE, [Stop(NORTH, 30.0), Stop(EAST, 30.0)])
    km = [great_circle_km(BASE, place) * 1.3 for place in (NORTH, EAST)]
    assert found.km_per_h == pytest.approx(sum(km))  # both drives together take an hour
    assert found.minutes[1, 2] == pytest.approx(great_circle_km(NORTH, EAST) * 1.3 / sum(km) * 60)


def test_without_a_place_the_way_goes_by_the_base_and_is_marked() -> None:
    found = roads(BASE, [Stop(NORTH, 30.0), Stop(None, 18.0)])
    assert found.minutes[1, 2] == 48.0
    assert found.guessed == (1,)
    assert roads(None, [Stop(None, 30.0), Stop(None, 18.0)]).basis == "by way of the base (a guess)"


def test_nothing_known_is_called_assumed() -> None:
    found = roads(None, [Stop(None, None)])
    assert (found.basis, found.guessed) == ("assumed", (0,))


def test_ways_are_the_same_both_ways_and_none_to_oneself() -> None:
    found = roads(BASE, [Stop(NORTH, 30.0), Stop(EAST, None), Stop(None, 5.0)])
    assert np.array_equal(found.minutes, found.minutes.T)
    assert (np.diag(found.minutes) == 0).all()


@pytest.mark.parametrize("wrong", ["SP 123 45", "12345678", "I 12 34", "SP", "Bottom field"])
def test_what_is_no_grid_reference_is_said(wrong: str) -> None:
    with pytest.raises(ValidityError, match="grid_ref must be letters and an even number of digits"):
        place_of_grid(wrong)
