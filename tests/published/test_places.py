"""Places and distances against reference libraries and a published worked example."""

from __future__ import annotations

import pyproj
import pytest

from kit.calc.travel import Place, great_circle_km, place_of_grid


@pytest.mark.parametrize(
    ("a", "b"),
    [
        (Place(52.0, -1.0), Place(52.1, -0.8)),
        (Place(50.1, -5.5), Place(58.6, -3.1)),
        (Place(54.6, -5.9), Place(54.5, -6.4)),
        (Place(48.1, 11.6), Place(48.1, 11.6)),
    ],
)
def test_great_circles_lie_within_six_thousandths_of_the_geodesic(a: Place, b: Place) -> None:
    """`pyproj.Geod` on WGS84; a sphere of the mean radius is off by up to the flattening's share, about 0.5 %."""
    _, _, metres = pyproj.Geod(ellps="WGS84").inv(a.longitude, a.latitude, b.longitude, b.latitude)
    assert great_circle_km(a, b) == pytest.approx(metres / 1000, rel=6e-3)


def test_the_national_mapping_agencys_worked_example() -> None:
    """Caister water tower, TG 51409 13177: 52 deg 39' 28.72" N, 1 deg 42' 57.79" E on WGS84.

    From the agency's guide to coordinate systems in Great Britain (from memory); its plain transformation is good to
    about 5 m, which is 0.0001 degrees.
    """
    place = place_of_grid("TG 51409 13177")
    assert place.latitude == pytest.approx(52 + 39 / 60 + 28.72 / 3600, abs=1e-4)
    assert place.longitude == pytest.approx(1 + 42 / 60 + 57.79 / 3600, abs=1e-4)


def test_squares_of_both_grids_lie_where_their_towns_do() -> None:
    """Common knowledge: Oxford is in SP 51 06, Belfast in J 33 74; read as the middle of a kilometre square."""
    oxford, belfast = place_of_grid("SP5106"), place_of_grid("J 33 74")
    assert great_circle_km(oxford, Place(51.752, -1.258)) < 2
    assert great_circle_km(belfast, Place(54.597, -5.930)) < 2
