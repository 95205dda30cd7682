"""Where, no finer than it may be told: squares of 0.1 or 1 degree by their corner, or of 10 or 100 km by their name."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

import pandas as pd

from kit.calc.grid import grid_square, middle_of_square, place_of_grid
from kit.calc.travel import Place
from kit.errors import ValidityError
from kit.report.share.form import GRID, NOWHERE, REGION

if TYPE_CHECKING:
    from kit.records.records import Records

FEW_HIVES = 10
"""Below so many hives of one operation in a square of 0.1 degree or 10 km, only the coarse one is told."""
UNKNOWN = ""
DEGREES = r"-?[0-9]{1,2}(\.[0-9])? -?[0-9]{1,3}(\.[0-9])?"
KILOMETRES = r"(H[L-Z]|J[LMQRVW]|[NS][A-HJ-Z]|[OT][ABFGLMQRVW]|[A-HJ-Z])([0-9]{2})?"
SQUARE = re.compile(f"{DEGREES}|{KILOMETRES}")


def fine(place: Place | None, squares: str) -> str:
    """The square of 0.1 degree or 10 km that a place lies in; '' when not recorded, or not to be told.

    Where the national grids do not reach, degrees stand in.

    Examples
    --------
    >>> fine(Place(52.168, -1.23), "degree"), fine(Place(52.168, -1.23), "grid"), fine(Place(48.1, 11.6), "grid")
    ('52.1 -1.3', 'SP55', '48.1 11.6')
    """
    if place is None or squares == NOWHERE:
        return UNKNOWN
    name = grid_square(place) if squares == GRID else ""
    return name or f"{_floor(place.latitude)} {_floor(place.longitude)}"


def coarse(square: str) -> str:
    """The square of 1 degree or 100 km that a square lies in.

    Examples
    --------
    >>> coarse("52.1 -1.3"), coarse("52 -2"), coarse("SP55"), coarse("J"), coarse("")
    ('52 -2', '52 -2', 'SP', 'J', '')
    """
    if not square or square[0].isalpha():
        return square.rstrip("0123456789")
    latitude, longitude = (float(part) for part in square.split())
    return f"{math.floor(latitude)} {math.floor(longitude)}"


def square_words(square: str) -> str:
    """A square in words: of degrees by its south-west corner, of a national grid by its name.

    Examples
    --------
    >>> square_words("52 -2"), square_words("-3.4 0.1"), square_words("SP55")
    ('from 52° N 2° W', 'from 3.4° S 0.1° E', 'SP55')
    """
    if not square or square[0].isalpha():
        return square
    latitude, longitude = square.split()
    north = f"{latitude.lstrip('-')}° {'S' if latitude.startswith('-') else 'N'}"
    return f"from {north} {longitude.lstrip('-')}° {'W' if longitude.startswith('-') else 'E'}"


def region_of(square: str) -> str:
    """The square of 1 degree that members are pooled by; of a grid square that in which its middle lies.

    Examples
    --------
    >>> region_of("52.1 -1.3"), region_of("SP"), region_of("")
    ('52 -2', '52 -2', '')
    """
    if square and square[0].isalpha():
        middle = middle_of_square(coarse(square))
        return f"{math.floor(middle.latitude)} {math.floor(middle.longitude)}"
    return coarse(square)


def places_of(records: Records) -> dict[str, Place | None]:
    """The place of each apiary by its coordinates or grid reference, None when not recorded or not to be read."""
    rows = records.tables["apiaries"].to_dict("records")
    return {str(row["apiary"]): _place({str(name): value for name, value in row.items()}) for row in rows}


def squares(places: Mapping[str, Place | None], hives: Mapping[str, int], by: str) -> dict[str, str]:
    """The square that may be told of each apiary: fine where enough of the hives stand in it, coarse otherwise.

    By regions none is told of an apiary: the pack tells the operation's alone.
    """
    if by == REGION:
        return dict.fromkeys(hives, UNKNOWN)
    cells = {apiary: fine(places.get(apiary), by) for apiary in hives}
    standing = _standing(cells, hives)
    return {apiary: cell if standing[cell] >= FEW_HIVES else coarse(cell) for apiary, cell in cells.items()}


def region(places: Mapping[str, Place | None], hives: Mapping[str, int], by: str) -> str:
    """The coarse square in which most of the hives stand; '' when nothing is recorded."""
    cells = {apiary: coarse(fine(places.get(apiary), by)) for apiary in hives}
    standing = _standing(cells, hives)
    standing.pop(UNKNOWN, None)
    return max(sorted(standing), key=lambda cell: standing[cell]) if standing else UNKNOWN


def _standing(cells: Mapping[str, str], hives: Mapping[str, int]) -> dict[str, int]:
    """Hives in each square."""
    found: dict[str, int] = {}
    for apiary, cell in cells.items():
        found[cell] = found.get(cell, 0) + hives[apiary]
    return found


def _floor(degrees: float) -> str:
    # Rounded before it is cut: 52.1 itself is a hair below 52.1 in binary.
    return f"{math.floor(round(degrees * 10, 6)) / 10:.1f}"


def _place(row: Mapping[str, object]) -> Place | None:
    latitude, longitude = row.get("latitude"), row.get("longitude")
    if isinstance(latitude, float) and isinstance(longitude, float) and not (pd.isna(latitude) or pd.isna(longitude)):
        return Place(latitude, longitude)
    try:
        return place_of_grid(str(row["grid_ref"])) if row.get("grid_ref") else None
    except ValidityError:
        return None
