"""Minutes between places without a road network: great circle, detour, and a speed fitted to the user's own drives."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise, permutations
from typing import NamedTuple

import numpy as np
import pyproj
from numpy.typing import NDArray

from kit.constants import effort, plan
from kit.errors import ValidityError

Floats = NDArray[np.float64]


class Place(NamedTuple):
    """Degrees north and east."""

    latitude: float
    longitude: float


class Stop(NamedTuple):
    """An apiary on the road: its place when known, and the user's own minutes from the base, one way, when known."""

    place: Place | None
    drive_min: float | None


class Roads(NamedTuple):
    """Driving between base (node 0) and stops (node i + 1).

    Parameters
    ----------
    minutes : array, shape (n + 1, n + 1)
        Driving [min].
    km_per_h : float
        Speed along the detour [km/h].
    basis : str
        "your drive minutes and coordinates", "by way of the base (a guess)", "both" or "assumed".
    guessed : tuple of int
        Stops whose ways to other stops, or from the base, are a guess.
    """

    minutes: Floats
    km_per_h: float
    basis: str
    guessed: tuple[int, ...]


def great_circle_km(a: Place, b: Place) -> float:
    r"""Distance over a sphere of the earth's mean radius (haversine).

    .. math:: d = 2R\arcsin\sqrt{\sin^2(\Delta\phi/2) + \cos\phi_a\cos\phi_b\sin^2(\Delta\lambda/2)}

    Parameters
    ----------
    a, b : Place
        Degrees [deg].

    Returns
    -------
    float
        Within 0.6 % of the ellipsoid's [km].

    Examples
    --------
    >>> round(great_circle_km(Place(52.0, -1.0), Place(53.0, -1.0)), 1)
    111.2
    """
    north_a, north_b = math.radians(a.latitude), math.radians(b.latitude)
    east = math.radians(b.longitude - a.longitude)
    half = math.sin((north_b - north_a) / 2) ** 2 + math.cos(north_a) * math.cos(north_b) * math.sin(east / 2) ** 2
    return 2 * plan.EARTH_KM.value * math.asin(math.sqrt(min(half, 1.0)))


_GRID = re.compile(r"^([A-HJ-Z]{1,2})\s*(\d{2}|\d{4}|\d{6}|\d{8}|\d{10})$")


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
    match = _GRID.match(re.sub(r"[\s,]", "", reference.upper()))
    if match is None:
        raise ValidityError(f"grid_ref must be letters and an even number of digits, as SP 123 456: got {reference!r}")
    letters, digits = match.groups()
    half = len(digits) // 2
    size = 10.0 ** (5 - half)
    east, north = (int(part) * size + size / 2 for part in (digits[:half], digits[half:]))
    corner = _square(letters)
    longitude, latitude = _to_degrees("EPSG:27700" if len(letters) == 2 else "EPSG:29903").transform(
        corner[0] + east, corner[1] + north
    )
    return Place(float(latitude), float(longitude))


def _square(letters: str) -> tuple[float, float]:
    """South-west corner of a 100 km square [m]: each letter a cell of five by five, without I, from the north-west."""
    cells = [divmod("ABCDEFGHJKLMNOPQRSTUVWXYZ".index(letter), 5) for letter in letters]
    if len(cells) == 1:
        row, column = cells[0]
        return column * 1e5, (4 - row) * 1e5
    (row_a, column_a), (row_b, column_b) = cells
    return (column_a * 5 + column_b) * 1e5 - 1e6, ((4 - row_a) * 5 + 4 - row_b) * 1e5 - 5e5


@lru_cache(maxsize=2)
def _to_degrees(grid: str) -> pyproj.Transformer:
    return pyproj.Transformer.from_crs(grid, "EPSG:4326", always_xy=True)


def roads(base: Place | None, stops: Sequence[Stop]) -> Roads:
    """Driving minutes between all places, from what is known of each.

    Parameters
    ----------
    base : Place or None
        Where a day begins and ends; None when not recorded.
    stops : sequence of Stop
        The apiaries.

    Returns
    -------
    Roads
        The user's own minutes stand for base and apiary; between apiaries the great circle × detour at the fitted
        speed, and by way of the base where a place is missing.
    """
    speed = _fitted_km_per_h(base, stops)
    from_base = [_from_base(base, stop, speed) for stop in stops]
    known = [minutes for minutes in from_base if minutes is not None]
    usual = float(np.median(known)) if known else plan.DRIVE_MIN.value
    filled = [usual if minutes is None else minutes for minutes in from_base]
    minutes = np.zeros((len(stops) + 1, len(stops) + 1))
    minutes[0, 1:] = minutes[1:, 0] = filled
    for i, a in enumerate(stops):
        for j, b in enumerate(stops[:i]):
            by_base = filled[i] + filled[j]
            direct = by_base if a.place is None or b.place is None else _road_min(a.place, b.place, speed)
            minutes[i + 1, j + 1] = minutes[j + 1, i + 1] = direct
    guessed = tuple(i for i, stop in enumerate(stops) if stop.place is None or from_base[i] is None)
    return Roads(minutes, speed, _basis(len(stops), stops, bool(known)), guessed)


def _road_min(a: Place, b: Place, km_per_h: float) -> float:
    return great_circle_km(a, b) * effort.DRIVE_DETOUR.value / km_per_h * 60


def _fitted_km_per_h(base: Place | None, stops: Sequence[Stop]) -> float:
    """Kilometres of all known drives over their hours, so that a long drive counts for more than a short one."""
    if base is None:
        return plan.ROAD_KM_PER_H.value
    driven = [(great_circle_km(base, s.place), s.drive_min) for s in stops if s.place and s.drive_min]
    km = sum(distance for distance, _ in driven) * effort.DRIVE_DETOUR.value
    return km / sum(minutes for _, minutes in driven) * 60 if km > 0 else plan.ROAD_KM_PER_H.value


def _from_base(base: Place | None, stop: Stop, km_per_h: float) -> float | None:
    if stop.drive_min is not None:
        return stop.drive_min
    return _road_min(base, stop.place, km_per_h) if base is not None and stop.place is not None else None


def _basis(n: int, stops: Sequence[Stop], any_known: bool) -> str:
    placed = sum(stop.place is not None for stop in stops)
    if not any_known:
        return "assumed"
    if placed == n:
        return "your drive minutes and coordinates"
    return "by way of the base (a guess)" if placed < 2 else "both"


def best_tour(minutes: Floats, stops: Sequence[int]) -> tuple[tuple[int, ...], float]:
    """The shortest round from the base (node 0) through some stops and home.

    Parameters
    ----------
    minutes : array, shape (n, n)
        Driving between nodes [min].
    stops : sequence of int
        Nodes to call at; up to seven are tried in every order, more in the order of the nearest next.

    Returns
    -------
    tuple
        Order of the stops, and the whole round [min].

    Examples
    --------
    >>> best_tour(np.array([[0, 10, 20], [10, 0, 5], [20, 5, 0]]), [2, 1])
    ((1, 2), 35.0)
    """
    if len(stops) > EVERY_ORDER_UP_TO:
        order = _nearest_next(minutes, stops)
        return order, tour_min(minutes, order)
    tours = ((tour_min(minutes, order), order) for order in permutations(sorted(stops)))
    length, order = min(tours)
    return order, length


def tour_min(minutes: Floats, order: Sequence[int]) -> float:
    """Driving from the base through stops in an order and home.

    Parameters
    ----------
    minutes : array, shape (n, n)
        Driving between nodes, the base first [min].
    order : sequence of int
        Nodes to call at.

    Returns
    -------
    float
        0 without stops [min].
    """
    nodes = [0, *order, 0]
    return float(sum(minutes[a, b] for a, b in pairwise(nodes)))


EVERY_ORDER_UP_TO = 7


def _nearest_next(minutes: Floats, stops: Sequence[int]) -> tuple[int, ...]:
    left, at, order = sorted(stops), 0, []
    while left:
        at = min(left, key=lambda node: (float(minutes[at, node]), node))
        left.remove(at)
        order.append(at)
    return tuple(order)
