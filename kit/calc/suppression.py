r"""Small groups in published tables: what must be left out, what more so that subtraction does not give it back.

A table is cells x (counts, margins among them) with relations Ax = 0. Primary: cells that stand for too few, or in
which one contributor is nearly all. Complementary: the cheapest further cells to leave out so that from all that is
published each primary cell could still lie anywhere in an interval at least so wide. What an attacker can work out is
found by linear programming (`attack`): the least and the most each left-out cell can be.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import optimize

from kit.errors import ValidityError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
SLACK = 1e-7
UNBOUNDED = 3
"""How the solver says that there is no end."""


class Known(NamedTuple):
    """What can be worked out about each cell, both in the unit of the table; equal where it is published or pinned."""

    least: Floats
    most: Floats


def too_few(contributors: ArrayLike, *, minimum: int) -> Flags:
    """Cells that stand for somebody, but for fewer than the minimum (threshold rule).

    Parameters
    ----------
    contributors : array_like
        Members or colonies behind each cell [count].
    minimum : int
        Smallest group that may be published.

    Returns
    -------
    numpy.ndarray of bool
        In the shape of `contributors`.

    Raises
    ------
    ValidityError
        When the minimum is below 2.

    References
    ----------
    sdc_handbook
    fcsm22

    Examples
    --------
    >>> too_few([0, 3, 5, 9], minimum=5).tolist()
    [False, True, False, False]
    """
    if minimum < 2:
        raise ValidityError(f"minimum must be at least 2: got {minimum}")
    counted = np.asarray(contributors, dtype=float)
    return np.asarray((counted > 0) & (counted < minimum))


def one_dominates(contributions: Sequence[float], *, p_pct: float) -> bool:
    r"""Whether the second largest contributor could work out the largest within p per cent (p % rule).

    .. math:: X - x_1 - x_2 < p / 100 \cdot x_1

    Parameters
    ----------
    contributions : sequence of float
        Of each contributor to the cell, none below zero [1].
    p_pct : float
        How close is too close [%].

    Returns
    -------
    bool
        True where the sum may not be published; False for an empty or zero cell.

    Raises
    ------
    ValidityError
        When a contribution is negative.

    References
    ----------
    sdc_handbook
    fcsm22

    Examples
    --------
    >>> one_dominates([100, 5, 4], p_pct=10), one_dominates([100, 5, 60], p_pct=10)
    (True, True)
    >>> one_dominates([100, 60, 40, 30], p_pct=10)
    False
    """
    if any(x < 0 for x in contributions):
        raise ValidityError("contributions must be >= 0")
    largest = sorted(contributions, reverse=True)
    return bool(largest) and largest[0] > 0 and sum(largest[2:]) < p_pct / 100 * largest[0]


def hidden_parts(sizes: Sequence[float], *, minimum: int) -> tuple[int, ...]:
    """Which parts of a total to leave out so that no part below the minimum follows from the total and the rest.

    Parameters
    ----------
    sizes : sequence of float
        Colonies, or members, of each part [count].
    minimum : int
        Smallest part that may stand alone.

    Returns
    -------
    tuple of int
        Positions, in order; () when every part may stand. The hidden parts are at least two and together at least
        the minimum, or else all of them.

    Raises
    ------
    ValidityError
        When the minimum is below 2.

    Notes
    -----
    The smallest parts that are left join the hidden ones until they are enough.

    References
    ----------
    sdc_handbook

    Examples
    --------
    >>> hidden_parts([12, 3, 20, 7], minimum=5)
    (1, 3)
    >>> hidden_parts([12, 20], minimum=5)
    ()
    """
    hidden = set(np.flatnonzero(too_few(sizes, minimum=minimum)).tolist())
    if not hidden:
        return ()
    rest = sorted((i for i in range(len(sizes)) if i not in hidden and sizes[i] > 0), key=lambda i: (sizes[i], i))
    while rest and (len(hidden) < 2 or sum(sizes[i] for i in hidden) < minimum):
        hidden.add(rest.pop(0))
    return tuple(sorted(hidden))


def margins(rows: int, columns: int) -> Floats:
    """Relations of a table of `rows` × `columns` inner cells with its margins, in the order of the table read by rows.

    Parameters
    ----------
    rows, columns : int
        Inner rows and columns.

    Returns
    -------
    numpy.ndarray, shape (rows + columns + 2, (rows + 1) * (columns + 1))
        One for each inner sum that a margin holds, −1 at the margin [1].

    Examples
    --------
    >>> margins(1, 2)[0].tolist()
    [1.0, 1.0, -1.0, 0.0, 0.0, 0.0]
    """
    made = []
    cell = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    for line in [*cell, *cell.T]:
        relation = np.zeros(cell.size)
        relation[line[:-1]], relation[line[-1]] = 1, -1
        made.append(relation)
    return np.array(made)


def complementary(
    values: ArrayLike, primary: ArrayLike, relations: ArrayLike, *, minimum: int, fixed: ArrayLike | None = None
) -> Flags:
    """Cells to leave out, the primary ones among them, so that none of these is known better than the minimum.

    Parameters
    ----------
    values : array_like, shape (n,)
        Cells, margins among them, none below zero [count].
    primary : array_like of bool, shape (n,)
        Cells that must be left out.
    relations : array_like, shape (m, n)
        Each row times the cells is zero [1].
    minimum : int
        Least width of the interval that can be worked out for a primary cell.
    fixed : array_like of bool, shape (n,), optional
        Cells that must stay, such as totals told elsewhere.

    Returns
    -------
    numpy.ndarray of bool, shape (n,)
        What to leave out.

    Raises
    ------
    ValidityError
        When the table does not add up, or no choice protects it (too much is fixed, or too little is there).

    Notes
    -----
    For each primary cell in turn, largest first, the cheapest way to raise it by the minimum that keeps all sums: a
    linear programme whose cost of touching a cell grows with its logarithm. Cells touched are left out. Cheap, not
    always cheapest; `attack` proves the outcome.

    References
    ----------
    fcsm22
    sdc_handbook

    Examples
    --------
    >>> table = [9, 2, 11, 8, 7, 15, 17, 9, 26]
    >>> left_out = complementary(table, [v == 2 for v in table], margins(2, 2), minimum=3)
    >>> left_out.reshape(3, 3).astype(int).tolist()
    [[1, 1, 0], [1, 1, 0], [0, 0, 0]]
    """
    x, a = np.asarray(values, dtype=float), np.asarray(relations, dtype=float)
    hidden, stays = np.asarray(primary, dtype=bool).copy(), np.zeros(x.size, dtype=bool)
    if fixed is not None:
        stays = np.asarray(fixed, dtype=bool)
    if not np.allclose(a @ x, 0, atol=1e-6):
        raise ValidityError("the table does not add up to its margins")
    for cell in sorted(np.flatnonzero(hidden).tolist(), key=lambda i: -x[i]):
        known = attack(x, hidden, a, only=(cell,))
        if known.most[cell] - known.least[cell] < minimum - SLACK:
            hidden |= _raised(x, a, hidden, stays, (cell, float(minimum)))
    _refuse_pinned(x, hidden, a, primary=np.asarray(primary, dtype=bool), minimum=minimum)
    return hidden


def attack(values: ArrayLike, hidden: ArrayLike, relations: ArrayLike, *, only: Sequence[int] | None = None) -> Known:
    """The least and the most that each cell can be for somebody who knows all published cells and all relations.

    Parameters
    ----------
    values : array_like, shape (n,)
        True cells; those hidden are not looked at [count].
    hidden : array_like of bool, shape (n,)
        Cells left out.
    relations : array_like, shape (m, n)
        Each row times the cells is zero [1].
    only : sequence of int, optional
        Positions to work out; all hidden ones without it.

    Returns
    -------
    Known
        Published cells with their value twice; hidden ones from 0 up to infinity at most.

    Raises
    ------
    ValidityError
        When what is published contradicts itself.

    References
    ----------
    fcsm22
    """
    x, out, a = np.asarray(values, float), np.asarray(hidden, bool), np.asarray(relations, float)
    least, most = x.copy(), x.copy()
    places = np.flatnonzero(out)
    if not places.size:
        return Known(least, most)
    inside, given = a[:, places], -(a[:, ~out] @ x[~out])
    least[places], most[places] = 0.0, np.inf
    for cell in places if only is None else only:
        at = int(np.flatnonzero(places == cell)[0])
        least[cell], most[cell] = (_end(inside, given, at, sign) for sign in (1, -1))
    return Known(least, most)


def _end(inside: Floats, given: Floats, at: int, sign: int) -> float:
    goal = np.zeros(inside.shape[1])
    goal[at] = sign
    found = optimize.linprog(goal, A_eq=inside, b_eq=given, bounds=(0, None), method="highs")
    if found.status == UNBOUNDED:
        return float("inf")
    if not found.success or found.fun is None:
        raise ValidityError("what is published does not add up")
    return float(sign * found.fun)


def _raised(x: Floats, a: Floats, hidden: Flags, stays: Flags, push: tuple[int, float]) -> Flags:
    """Cells that the cheapest rise of one cell by an amount touches, all sums kept."""
    cell, amount = push
    n, free = x.size, ~stays | hidden
    cost = np.where(hidden, SLACK, np.log1p(x) + 1)
    most = np.concatenate([np.where(free, np.inf, 0.0), np.where(free, x, 0.0)])
    least = np.zeros(2 * n)
    least[cell] = most[cell] = amount
    most[n + cell] = 0.0
    moves = np.hstack([a, -a])
    bounds = list(zip(least.tolist(), most.tolist(), strict=True))
    found = optimize.linprog(np.tile(cost, 2), A_eq=moves, b_eq=np.zeros(len(a)), bounds=bounds, method="highs")
    if not found.success or found.x is None:
        return np.zeros(n, dtype=bool)
    return np.asarray(found.x[:n] + found.x[n:] > SLACK)


def _refuse_pinned(x: Floats, hidden: Flags, a: Floats, *, primary: Flags, minimum: int) -> None:
    known = attack(x, hidden, a, only=np.flatnonzero(primary).tolist())
    if np.any((known.most - known.least)[primary] < minimum - SLACK):
        raise ValidityError("no choice of cells protects this table; make its groups larger")
