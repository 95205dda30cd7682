r"""Sums told of overlapping groups, in one table or in several: how few contributors a combination of them is about.

Sums s = Ax of contributors' unknown parts x are told, A of zeros and ones. Whoever holds them knows every combination
y's = (A'y)'x. One that leaves few contributors with a coefficient other than zero tells of these few: the difference of
two reports, a region less a class of size, or three reports of which each two look harmless. The fewest are found by an
integer programme.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, sparse

from kit.errors import ValidityError

Floats = NDArray[np.float64]
Part = tuple[str, str]
"""A contributor, and which of its parts."""
MOST = 20.0
"""Largest coefficient looked at, with 1 for the smallest that counts; sums of groups need small whole ones."""
NODES = 20_000
"""Of the search; a fixed budget, so that the same sums give the same answer."""
SLACK = 1e-6


class _Shape(NamedTuple):
    """The unknowns that are always told together as one: `values` (sums × patterns), who has which pattern, and how
    many contributors have just the same."""

    values: Floats
    patterns: list[frozenset[int]]
    counts: list[int]


def fewest_behind(sums: Sequence[Collection[Part]], *, below: int) -> int | None:
    """The fewest contributors that any combination of told sums is about, where fewer than a limit.

    Parameters
    ----------
    sums : sequence of collection of (str, str)
        For each sum told, the parts it adds up: contributor, and which part of theirs.
    below : int
        Only fewer contributors than that are looked for [count].

    Returns
    -------
    int or None
        At least 1; None where every combination is about at least `below`, or about nothing [count].

    Raises
    ------
    ValidityError
        When `below` is less than 2.

    Notes
    -----
    Exact for combinations with coefficients up to 20 times the smallest. Where the search's budget ends first, the
    least number that it could not rule out. It is not about ranges that follow from parts being no less than zero:
    `kit.calc.suppression.attack` is.

    References
    ----------
    sdc_handbook
    fcsm22

    Examples
    --------
    >>> everyone = [(name, "hives") for name in "ABCDEFG"]
    >>> fewest_behind([everyone, everyone[1:]], below=5)
    1
    >>> fewest_behind([everyone, everyone[:2]], below=2) is None
    True
    """
    if below < 2:
        raise ValidityError(f"below must be at least 2: got {below}")
    shape = _shape(sums)
    small = [at for at, count in enumerate(shape.counts) if count < below]
    large = sorted({p for at, count in enumerate(shape.counts) if count >= below for p in shape.patterns[at]})
    if not small or not adds(list(shape.values.T), [shape.values[:, p] for p in large]):
        return None
    found = _search(shape, small, large, below)
    return found if found is not None and found < below else None


def adds(vectors: Sequence[Floats], known: Sequence[Floats]) -> bool:
    """Whether vectors say anything that those known do not.

    Parameters
    ----------
    vectors, known : sequence of ndarray, each of one length
        Coefficients [1].

    Returns
    -------
    bool
        True where no combination of the known gives one of the vectors.

    Examples
    --------
    >>> adds([np.array([1.0, 1.0])], [np.array([1.0, 0.0])]), adds([np.array([2.0, 0.0])], [np.array([1.0, 0.0])])
    (True, False)
    """
    return _rank([*known, *vectors]) > _rank(known)


def _rank(vectors: Sequence[Floats]) -> int:
    return int(np.linalg.matrix_rank(np.array(vectors))) if len(vectors) else 0


def _shape(sums: Sequence[Collection[Part]]) -> _Shape:
    told: dict[Part, list[int]] = {}
    for at, parts in enumerate(sums):
        for part in sorted(set(parts)):
            told.setdefault(part, []).append(at)
    columns = {column: n for n, column in enumerate(sorted({tuple(rows) for rows in told.values()}))}
    values = np.zeros((len(sums), len(columns)))
    for column, n in columns.items():
        values[list(column), n] = 1
    has: dict[str, set[int]] = {}
    for (who, _), rows in told.items():
        has.setdefault(who, set()).add(columns[tuple(rows)])
    counts: dict[frozenset[int], int] = {}
    for patterns in has.values():
        counts[frozenset(patterns)] = counts.get(frozenset(patterns), 0) + 1
    order = sorted(counts, key=sorted)
    return _Shape(values, order, [counts[one] for one in order])


def _search(shape: _Shape, small: Sequence[int], large: Sequence[int], below: int) -> int | None:
    """Unknowns in turn: the combination, whether each small group is in it, and which pattern surely is."""
    rows, width = shape.values.shape
    groups = len(small)
    n = rows + groups + width
    pairs = [(g, p) for g, at in enumerate(small) for p in sorted(shape.patterns[at])]
    limits = [
        *(_within(shape.values[:, p], rows + g, n, sign) for g, p in pairs for sign in (1.0, -1.0)),
        *(_chosen(shape.values[:, p], rows + groups + p, n) for p in range(width)),
    ]
    none = [(np.r_[shape.values[:, p], np.zeros(n - rows)], 0.0, 0.0) for p in large]
    one = (np.r_[np.zeros(rows + groups), np.ones(width)], 1.0, 1.0)
    enough = (np.r_[np.zeros(rows), [shape.counts[at] for at in small], np.zeros(width)], 1.0, below - 1.0)
    told = [*limits, *none, one, enough]
    found = optimize.milp(
        np.r_[np.zeros(rows), [float(shape.counts[at]) for at in small], np.zeros(width)],
        integrality=np.r_[np.zeros(rows), np.ones(groups + width)],
        bounds=optimize.Bounds(
            np.r_[np.full(rows, -MOST), np.zeros(n - rows)], np.r_[np.full(rows, MOST), np.ones(n - rows)]
        ),
        constraints=optimize.LinearConstraint(
            sparse.csr_array(np.array([row for row, _, _ in told])),
            [low for _, low, _ in told],
            [high for _, _, high in told],
        ),
        options={"node_limit": NODES},
    )
    if found.x is not None:
        return round(float(found.fun))
    return None if found.status == 2 else max(1, round(float(found.mip_dual_bound or 1)))


def _within(column: Floats, switch: int, n: int, sign: float) -> tuple[Floats, float, float]:
    """A pattern's coefficient is zero unless its group is in."""
    row = np.zeros(n)
    row[: column.size], row[switch] = sign * column, -MOST * column.size
    return row, -np.inf, 0.0


def _chosen(column: Floats, choice: int, n: int) -> tuple[Floats, float, float]:
    """The chosen pattern's coefficient is at least 1; of a combination and its negative one will do."""
    row = np.zeros(n)
    size = MOST * column.size + 1
    row[: column.size], row[choice] = column, -size
    return row, 1.0 - size, np.inf
