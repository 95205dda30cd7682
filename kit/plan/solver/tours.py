"""The shortest round trip of a day from the base."""

from __future__ import annotations

import numpy as np

from kit.errors import ValidityError
from kit.plan.solver.kernel import shortest_small
from kit.plan.solver.problem import Floats, Ints

EXACT_STOPS = 12
"""Most stops of a day; a working day holds fewer, and up to here the shortest tour is found exactly and at once."""


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

    Raises
    ------
    ValidityError
        With more than `EXACT_STOPS` stops.

    Notes
    -----
    Dynamic programming over subsets (Held and Karp); up to `EXACT_STOPS` stops.

    Examples
    --------
    >>> shortest_tour(np.array([[0., 1., 4.], [1., 0., 2.], [4., 2., 0.]]), [1, 0])
    (7.0, (0, 1))
    """
    nodes = np.array(sorted(stops), dtype=np.int64)
    if len(nodes) == 0:
        return 0.0, ()
    if len(nodes) > EXACT_STOPS:
        raise ValidityError(f"stops of a day must be <= {EXACT_STOPS}: got {len(nodes)}")
    drive, order = shortest_small(travel_min, nodes)
    forward = [int(nodes[k]) for k in order]
    symmetric = bool(np.array_equal(travel_min, travel_min.T))
    return float(drive), tuple(forward[::-1] if symmetric and forward[-1] < forward[0] else forward)
