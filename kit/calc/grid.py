"""National grids of Great Britain and Ireland: references to places, and places to the squares they lie in."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

import pyproj

from kit.calc.travel import Place
from kit.errors import ValidityError

LETTERS = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
"""Five by five cells from the north-west, without I."""
HUNDRED_KM = 100_000.0


class Grid(NamedTuple):
    """A national grid: its code, how many letters name a square of 100 km, and its extent east and north [100 km]."""

    code: str
    letters: int
    east: int
    north: int


GREAT_BRITAIN = Grid("EPSG:27700", 2, 7, 13)
IRELAND = Grid("EPSG:29903", 1, 5, 5)
_IRISH_SEA = ((51.2, -90.0), (54.0, -5.95), (55.05, -5.31), (55.5, -5.95))
"""Up to a latitude, what lies west of a longitude is Ireland's; the line runs through the sea all the way."""
_REFERENCE = re.compile(r"([A-HJ-Z]{1,2})(\d{2}|\d{4}|\d{6}|\d{8}|\d{10})")
_SQUARE = re.compile(r"([A-HJ-Z]{1,2})(\d{2})?")


def place_of_grid(reference: str) -> Place:
    """The place of a national grid reference: two letters for Great Britain, one for Ireland, then even digits.

    Parameters
    ----------
    reference : str
        As `SP 123 456` or `J4583`, read as the middle of its square.

    Returns
    -------
    Place
        Degrees.

    Raises
    ------
    ValidityError
        When it is not such a reference.

    Examples
    --------
    >>> place = place_of_grid("TG 51409 13177")
    >>> round(place.latitude, 3), round(place.longitude, 3)
    (52.658, 1.716)
    """
    match = _REFERENCE.fullmatch(re.sub(r"[\s,]", "", reference.upper()))
    if match is None:
        raise ValidityError(f"grid_ref must be letters and an even number of digits, as SP 123 456: got {reference!r}")
    return _middle(*match.groups())


def grid_square(place: Place) -> str:
    """The 10 km square of the national grid that a place lies in.

    Parameters
    ----------
    place : Place
        Degrees.

    Returns
    -------
    str
        As `TG51` or `J37`; '' where neither grid reaches.

    Examples
    --------
    >>> grid_square(Place(52.658, 1.716)), grid_square(Place(54.597, -5.930)), grid_square(Place(48.1, 11.6))
    ('TG51', 'J37', '')
    """
    grid = IRELAND if _in_ireland(place) else GREAT_BRITAIN
    east, north = _transformer("EPSG:4326", grid.code).transform(place.longitude, place.latitude)
    if not (0 <= east < grid.east * HUNDRED_KM and 0 <= north < grid.north * HUNDRED_KM):
        return ""
    (column, in_east), (row, in_north) = divmod(east, HUNDRED_KM), divmod(north, HUNDRED_KM)
    return f"{_letters(grid, int(column), int(row))}{int(in_east // 1e4)}{int(in_north // 1e4)}"


def middle_of_square(name: str) -> Place:
    """The middle of a square of 10 or 100 km.

    Parameters
    ----------
    name : str
        As `TG51` or `TG`, `J37` or `J`.

    Returns
    -------
    Place
        Degrees.

    Raises
    ------
    ValidityError
        When no national grid has such a square.

    Examples
    --------
    >>> grid_square(middle_of_square("TG51"))
    'TG51'
    """
    match = _SQUARE.fullmatch(name)
    if match is None:
        raise ValidityError(f"a square must be letters, or letters and two digits, as SP or SP50: got {name!r}")
    return _middle(match[1], match[2] or "")


def _middle(letters: str, digits: str) -> Place:
    grid = GREAT_BRITAIN if len(letters) == GREAT_BRITAIN.letters else IRELAND
    half = len(digits) // 2
    size = HUNDRED_KM / 10**half
    east, north = (int(part or 0) * size + size / 2 for part in (digits[:half], digits[half:]))
    column, row = _cell(grid, letters)
    longitude, latitude = _transformer(grid.code, "EPSG:4326").transform(
        column * HUNDRED_KM + east, row * HUNDRED_KM + north
    )
    return Place(float(latitude), float(longitude))


def _in_ireland(place: Place) -> bool:
    border = next((west for up_to, west in _IRISH_SEA if place.latitude < up_to), None)
    return border is not None and place.longitude < border


def _letters(grid: Grid, column: int, row: int) -> str:
    """Letters of a square of 100 km by its place east and north of the grid's origin."""
    if grid is IRELAND:
        return LETTERS[(4 - row) * 5 + column]
    # The grid's origin is the corner of SV; the letters begin ten squares west of it and five south.
    column, row = column + 10, row + 5
    return LETTERS[(4 - row // 5) * 5 + column // 5] + LETTERS[(4 - row % 5) * 5 + column % 5]


@lru_cache(maxsize=2)
def _squares(grid: Grid) -> dict[str, tuple[int, int]]:
    return {_letters(grid, column, row): (column, row) for column in range(grid.east) for row in range(grid.north)}


def _cell(grid: Grid, letters: str) -> tuple[int, int]:
    found = _squares(grid).get(letters)
    if found is None:
        raise ValidityError(f"grid_ref must begin with a square of the national grid, as SP or J: got {letters!r}")
    return found


@lru_cache(maxsize=4)
def _transformer(source: str, target: str) -> pyproj.Transformer:
    return pyproj.Transformer.from_crs(source, target, always_xy=True)
