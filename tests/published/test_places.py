"""Places and distances against reference libraries and a published worked example."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest

from kit.calc.grid import grid_square, middle_of_square, place_of_grid
from kit.calc.travel import Place, great_circle_km
from kit.errors import ValidityError


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


LANDMARKS = {
    # name: latitude, longitude, reference; both as maps and gazetteers print them, from memory
    "Ben Nevis": (56.7969, -5.0036, "NN 166 712"),
    "Snowdon": (53.0685, -4.0763, "SH 609 543"),
    "Scafell Pike": (54.4542, -3.2116, "NY 215 072"),
    "Land's End": (50.0657, -5.7148, "SW 342 250"),
    "Dunnet Head": (58.6713, -3.3756, "ND 203 767"),
    "Mull of Galloway": (54.6350, -4.8575, "NX 157 304"),
    "Slieve Donard": (54.1804, -5.9206, "J 358 277"),
    "Carrauntoohil": (51.9990, -9.7424, "V 803 844"),
    "Malin Head": (55.3809, -7.3736, "C 398 594"),
}


@pytest.mark.parametrize("name", LANDMARKS)
def test_landmarks_lie_where_their_printed_references_say(name: str) -> None:
    latitude, longitude, reference = LANDMARKS[name]
    place = Place(latitude, longitude)
    assert great_circle_km(place, place_of_grid(reference)) < 0.6
    letters, east, north = reference.split()
    assert grid_square(place) == letters + east[0] + north[0]


CAPES = {
    "Burr Point": (54.494, -5.435, "J"), "Fair Head": (55.223, -6.148, "D"), "Rathlin": (55.30, -6.19, "D"),
    "Carnsore Point": (52.174, -6.363, "T"), "Mull of Kintyre": (55.310, -5.795, "NR"),
    "Corsewall Point": (55.007, -5.159, "NW"), "Mull of Oa": (55.590, -6.330, "NR"),
    "Calf of Man": (54.05, -4.82, "SC"),
    "Ramsey Island": (51.865, -5.345, "SM"), "St Mary's": (49.918, -6.30, "SV"), "Holyhead": (53.31, -4.69, "SH"),
}  # fmt: skip
"""Capes that look at one another over the sea between the two grids: common geography, from memory."""


@pytest.mark.parametrize("name", CAPES)
def test_each_side_of_the_irish_sea_has_its_own_grid(name: str) -> None:
    latitude, longitude, letters = CAPES[name]
    assert grid_square(Place(latitude, longitude)).rstrip("0123456789") == letters


GRIDS = {"EPSG:27700": (4, 7, 13), "EPSG:29903": (3, 5, 5)}
"""Code to the length of a square's name, and the extent east and north [100 km]."""


@pytest.mark.parametrize("code", GRIDS)
def test_every_square_is_the_one_that_holds_the_point_by_pyproj(code: str) -> None:
    """Points over the whole of each grid through `pyproj` alone: their digits are those of its metres."""
    rng = np.random.default_rng(10)
    to_degrees = pyproj.Transformer.from_crs(code, "EPSG:4326", always_xy=True)
    to_metres = pyproj.Transformer.from_crs("EPSG:4326", code, always_xy=True)
    length, columns, rows = GRIDS[code]
    met = 0
    for east, north in rng.uniform((0, 0), (columns * 1e5, rows * 1e5), (400, 2)):
        longitude, latitude = to_degrees.transform(east, north)
        name = grid_square(Place(latitude, longitude))
        back = to_metres.transform(longitude, latitude)
        if len(name) != length or max(abs(back[0] - east), abs(back[1] - north)) > 1:
            continue  # the other grid's side of the sea, or so far out that there and back differ
        met += 1
        assert name[-2:] == f"{int(east % 1e5 // 1e4)}{int(north % 1e5 // 1e4)}"
        middle = middle_of_square(name)
        back = to_metres.transform(middle.longitude, middle.latitude)
        assert max(abs(back[0] - east), abs(back[1] - north)) <= 5001
    assert met > 200


def test_every_letter_pair_of_the_national_grid_is_read_and_no_other() -> None:
    """The agency's index of squares: 91 of 100 km in seven columns and thirteen rows, 25 in Ireland."""
    pairs = {a + b for a in "ABCDEFGHJKLMNOPQRSTUVWXYZ" for b in ("", *"ABCDEFGHJKLMNOPQRSTUVWXYZ")}
    known = set()
    for name in pairs:
        try:
            middle_of_square(name)
        except ValidityError:
            continue
        known.add(name)
    assert sum(len(name) == 2 for name in known) == 91 and sum(len(name) == 1 for name in known) == 25
    assert {"SV", "TG", "SP", "HP", "NA", "JM", "OV"} <= known and not {"ZZ", "AA", "TC"} & known


def test_where_neither_grid_reaches_there_is_no_square() -> None:
    assert [grid_square(Place(*at)) for at in ((48.1, 11.6), (49.2, -2.1), (62.0, -6.8), (-37.8, 145.0))] == [""] * 4
