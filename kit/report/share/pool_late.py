"""Losses by lateness and access: a table with margins, from which no group of too few members follows.

A cell is left out when too few members stand in it or one of them dominates it. Further ones go until no left-out cell
can be worked out, and until the sum of what is left out of a line, which subtraction gives, is itself no such group.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from typing import NamedTuple

import numpy as np
import pandas as pd

from kit.calc.losses import loss_rate
from kit.calc.suppression import Flags, Floats, complementary, margins
from kit.errors import ValidityError
from kit.report.share.form import ACCESS, ALL
from kit.report.share.groups import may_be_told
from kit.report.share.member import Late, Member

CLASSES = (("in time", -60.0, 0.0), ("1 to 2 weeks late", 1.0, 2.0), ("3 weeks late and more", 3.0, 60.0))
"""By whole weeks after the week to treat by."""
IN_TIME, LATE = CLASSES[0][0], "late"
"""Where the late classes apart are too small, all late ones stand together."""
COLUMNS = ["late", "access", "members", "apiaries", "wintered", "lost", "loss_pct", "loss_pct_low", "loss_pct_high"]
COUNTS = ["apiaries", "wintered", "lost"]


class Share(NamedTuple):
    """What one member has in a cell."""

    apiaries: int
    wintered: int
    lost: int


Cell = Mapping[int, Share]
"""Member to their share; members without one are not in it."""
Cells = Mapping[tuple[str, str], Cell]
"""By lateness and access."""


def lateness(members: Sequence[Member], *, minimum: int) -> tuple[pd.DataFrame, list[str]]:
    """The table, and sentences on what was left out of it.

    Without counts, rates alone, where the losses of all and those told here differ by too few members.
    """
    known = {at: member.late for at, member in enumerate(members) if member.late}
    used = [word for word in ACCESS if any(one.access == word for late in known.values() for one in late)]
    apart = [name for name, _, _ in CLASSES]
    tried = [
        told
        for rows, across in product((apart, [IN_TIME, LATE]), ([*used, ALL], [ALL]))
        if (told := _protected(known, rows, across, minimum))
    ]
    if tried:
        cells, hidden = next((told for told in tried if _compares(*told)), tried[0])
        return _table(cells, hidden, counted=not _few_apart(members, minimum)), _said(int(hidden.sum()), minimum)
    said = "Losses by lateness are left out; " + ("too few members in each group." if known else "nobody told them.")
    return pd.DataFrame(columns=COLUMNS), [said]


def class_of(weeks: float) -> str:
    """The class that so many weeks late belong to."""
    return next(name for name, low, high in CLASSES if low <= weeks <= high)


def covers(told: str, late: str) -> bool:
    """Whether a row's word for lateness covers a class.

    Examples
    --------
    >>> covers("late", "1 to 2 weeks late"), covers("late", "in time"), covers("all", "in time")
    (True, False, True)
    """
    return told in (ALL, late) or (told == LATE and late != IN_TIME)


def _protected(
    known: Mapping[int, Sequence[Late]], rows: Sequence[str], across: Sequence[str], minimum: int
) -> tuple[Cells, Flags] | None:
    """The cells of a table by these rows, and which are left out; None where nothing but the whole may be told."""
    cells = {(late, access): _cell(known, late, access) for late in (*rows, ALL) for access in across}
    hidden = _hidden(list(cells.values()), (len(rows), len(across) - 1), minimum)
    return None if hidden is None or hidden[:-1].all() else (cells, hidden)


def _compares(cells: Cells, hidden: Flags) -> bool:
    """Whether late ones can be set against those in time, over all grounds."""
    told = {
        late
        for ((late, access), cell), out in zip(cells.items(), hidden, strict=True)
        if access == ALL and cell and not out
    }
    return IN_TIME in told and len(told - {ALL}) > 1


def _cell(known: Mapping[int, Sequence[Late]], late: str, access: str) -> Cell:
    cell = {}
    for member, of_member in known.items():
        here = [one for one in of_member if access in (ALL, one.access) and covers(late, class_of(one.weeks_late))]
        if here:
            cell[member] = Share(len(here), sum(one.wintered for one in here), sum(one.lost for one in here))
    return cell


def _hidden(cells: Sequence[Cell], shape: tuple[int, int], minimum: int) -> Flags | None:
    """Cells to leave out, read by rows; None where nothing may be told, or no choice protects."""
    if not _may_stand(cells[-1], minimum):
        return None
    relations = margins(*shape) if shape[1] else np.array([[1.0] * shape[0] + [-1.0]])
    fixed = np.arange(len(cells)) == len(cells) - 1
    hidden = np.array([bool(cell) and not _may_stand(cell, minimum) for cell in cells])
    try:
        while hidden.any():
            for value, least in ((1, minimum), (2, 1)):
                numbers = [sum(share[value] for share in cell.values()) for cell in cells]
                hidden = complementary(numbers, hidden, relations, minimum=least, fixed=fixed)
            more = _given_by_lines(cells, hidden, relations, minimum)
            if more is None:
                break
            hidden[more] = True
    except ValidityError:
        return None
    return None if hidden[-1] else hidden


def _given_by_lines(cells: Sequence[Cell], hidden: Flags, relations: Floats, minimum: int) -> int | None:
    """A further cell to leave out of a line whose left-out cells, taken together, are too few members'."""
    for line in relations:
        inside = np.flatnonzero(line > 0).tolist()
        total = int(np.flatnonzero(line < 0)[0])
        out = [at for at in inside if hidden[at]]
        if out and not hidden[total] and not _may_stand(_union([cells[at] for at in out]), minimum):
            left = [at for at in inside if not hidden[at] and cells[at]]
            return min([*left, total], key=lambda at: (at == len(cells) - 1, len(cells[at]), at))
    return None


def _union(cells: Sequence[Cell]) -> Cell:
    found: dict[int, Share] = {}
    for cell in cells:
        for member, share in cell.items():
            found[member] = Share(*(a + b for a, b in zip(found.get(member, Share(0, 0, 0)), share, strict=True)))
    return found


def _may_stand(cell: Cell, minimum: int) -> bool:
    return may_be_told([share.wintered for share in cell.values()], minimum=minimum)


def _few_apart(members: Sequence[Member], minimum: int) -> bool:
    """Whether the losses told elsewhere, less those told here, are those of a few members."""
    apart = sum((m.wintered or 0) != sum(late.wintered for late in m.late) for m in members)
    return 0 < apart < minimum


def _table(cells: Cells, hidden: Flags, *, counted: bool) -> pd.DataFrame:
    rows = [[*at, *_numbers(cell)] for (at, cell), out in zip(cells.items(), hidden, strict=True) if cell and not out]
    table = pd.DataFrame(rows, columns=COLUMNS)
    return table if counted else table.assign(**dict.fromkeys(COUNTS, float("nan")))


def _numbers(cell: Cell) -> list[float]:
    shares = list(cell.values())
    rate = loss_rate([share.wintered for share in shares], [share.lost for share in shares])
    apiaries = sum(share.apiaries for share in shares)
    return [len(shares), apiaries, rate.wintered, rate.lost, rate.loss_pct, *rate.interval_pct]


def _said(hidden: int, minimum: int) -> list[str]:
    if not hidden:
        return []
    return [
        f"Groups by lateness and access left out, with fewer than {minimum} members or given away by others, {hidden}."
    ]
