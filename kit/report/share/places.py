"""Where, no finer than it may be told: corners of squares of 0.1 or 1 degree."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

import pandas as pd

from kit.calc.grid import place_of_grid
from kit.calc.travel import Place
from kit.errors import ValidityError

if TYPE_CHECKING:
    from kit.records.records import Records

FEW_HIVES = 10
"""Below so many hives of one operation in a square of 0.1 degree, only the square of 1 degree is told."""
FINE, COARSE = 1, 0
"""Decimals of the corner."""
UNKNOWN = ""
SQUARE = re.compile(r"-?[0-9]{1,2}(\.[0-9])? -?[0-9]{1,3}(\.[0-9])?")


def square(place: Place | None, decimals: int) -> str:
    """South-west corner of the square a place lies in, as `52.1 -1.3`; '' when not recorded.

    Examples
    --------
    >>> square(Place(52.168, -1.23), FINE), square(Place(52.168, -1.23), COARSE)
    ('52.1 -1.3', '52 -2')
    """
    if place is None:
        return UNKNOWN
    return f"{_floor(place.latitude, decimals)} {_floor(place.longitude, decimals)}"


def coarser(fine: str) -> str:
    """The square of 1 degree that a square lies in.

    Examples
    --------
    >>> coarser("52.1 -1.3"), coarser("52 -2"), coarser("")
    ('52 -2', '52 -2', '')
    """
    if not fine:
        return UNKNOWN
    latitude, longitude = (float(part) for part in fine.split())
    return f"{math.floor(latitude)} {math.floor(longitude)}"


def places_of(records: Records) -> dict[str, Place | None]:
    """The place of each apiary by its coordinates or grid reference, None when not recorded or not to be read."""
    rows = records.tables["apiaries"].to_dict("records")
    return {str(row["apiary"]): _place({str(name): value for name, value in row.items()}) for row in rows}


def squares(places: Mapping[str, Place | None], hives: Mapping[str, int]) -> dict[str, str]:
    """The square that may be told of each apiary: fine where enough of the hives stand in it, coarse otherwise."""
    fine = {apiary: square(places.get(apiary), FINE) for apiary in hives}
    standing: dict[str, int] = {}
    for apiary, cell in fine.items():
        standing[cell] = standing.get(cell, 0) + hives[apiary]
    return {apiary: cell if standing[cell] >= FEW_HIVES else coarser(cell) for apiary, cell in fine.items()}


def region(places: Mapping[str, Place | None], hives: Mapping[str, int]) -> str:
    """The square of 1 degree in which most of the hives stand; '' when nothing is recorded."""
    standing: dict[str, int] = {}
    for apiary, number in hives.items():
        if cell := square(places.get(apiary), COARSE):
            standing[cell] = standing.get(cell, 0) + number
    return max(sorted(standing), key=lambda cell: standing[cell]) if standing else UNKNOWN


def _floor(degrees: float, decimals: int) -> str:
    # Rounded before it is cut: 52.1 itself is a hair below 52.1 in binary.
    scale: int = 10**decimals
    return f"{math.floor(round(degrees * scale, 6)) / scale:.{decimals}f}"


def _place(row: Mapping[str, object]) -> Place | None:
    latitude, longitude = row.get("latitude"), row.get("longitude")
    if isinstance(latitude, float) and isinstance(longitude, float) and not (pd.isna(latitude) or pd.isna(longitude)):
        return Place(latitude, longitude)
    try:
        return place_of_grid(str(row["grid_ref"])) if row.get("grid_ref") else None
    except ValidityError:
        return None
