"""Minutes between places without a road network: great circle, detour, and a speed fitted to the user's own drives."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise, permutations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.constants import effort, plan

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
