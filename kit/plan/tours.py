"""The shortest round trip of a day from the base: exact for up to `EXACT_STOPS` stops, 2-opt and or-opt beyond."""

from __future__ import annotations

import numpy as np

from kit.plan.kernel import shortest_small, tidy
from kit.plan.problem import Floats, Ints

EXACT_STOPS = 12
"""Above this a day's tour is improved, not proven; a working day holds fewer stops."""


def shortest_tour(travel_min: Floats, stops: Ints | list[int] | tuple[int, ...]) -> tuple[float, tuple[int, ...]]:
    """The shortest round trip base - stops - base and its minutes.

    Parameters
    ----------
    travel_min : array, shape (n + 1, n + 1)
        Driving [min]; node 0 is the base, node i + 1 is apiary i.
    stops : sequence of int
        Apiary indices, each once.

    Returns
    -------
    tuple
        Driving [min] and the apiary indices in the order of driving; of two directions the one that
        starts at the smaller index.

    Notes
    -----
    Dynamic programming over subsets (Held and Karp): exact up to `EXACT_STOPS` stops.

    Examples
    --------
    >>> shortest_tour(np.array([[0., 1., 4.], [1., 0., 2.], [4., 2., 0.]]), [1, 0])
    (7.0, (0, 1))
    """
    nodes = np.array(sorted(stops), dtype=np.int64)
    if len(nodes) == 0:
        return 0.0, ()
    if len(nodes) > EXACT_STOPS:
        drive = tidy(travel_min, nodes, len(nodes))
        return float(drive), tuple(int(i) for i in nodes)
    drive, order = shortest_small(travel_min, nodes)
    forward = [int(nodes[k]) for k in order]
    symmetric = bool(np.array_equal(travel_min, travel_min.T))
    return float(drive), tuple(forward[::-1] if symmetric and forward[-1] < forward[0] else forward)
