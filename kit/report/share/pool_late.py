"""Losses by lateness and access: a table with margins, from which no group of too few members follows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.losses import loss_rate
from kit.calc.suppression import complementary, margins
from kit.errors import ValidityError
from kit.report.share.form import ACCESS, ALL
from kit.report.share.groups import may_be_told
from kit.report.share.member import Late, Member

CLASSES = (("in time", -60.0, 0.0), ("1 to 2 weeks late", 1.0, 2.0), ("3 weeks late and more", 3.0, 60.0))
"""By whole weeks after the week to treat by."""
COLUMNS = ["late", "access", "members", "apiaries", "wintered", "lost", "loss_pct", "loss_pct_low", "loss_pct_high"]


class Cell(NamedTuple):
    """Of each member with apiaries in the cell: how many, hives wintered, lost."""

    apiaries: list[int]
    wintered: list[int]
    lost: list[int]


def lateness(members: Sequence[Member], *, minimum: int) -> tuple[pd.DataFrame, list[str]]:
    """The table, and sentences on what was left out of it."""
    known = [member.late for member in members if member.late]
    used = [word for word in ACCESS if any(one.access == word for late in known for one in late)]
    rows = [*(name for name, _, _ in CLASSES), ALL]
    for across in ([*used, ALL], [ALL]):
        cells = {(late, access): _cell(known, late, access) for late in rows for access in across}
        hidden = _hidden(cells, minimum)
        if hidden is not None:
            shown = [[*at, *_numbers(cell)] for at, cell in cells.items() if at not in hidden and cell.wintered]
            left = (
                f"{len(hidden)} groups by lateness and access: fewer than {minimum} members, or given away by others."
            )
            return pd.DataFrame(shown, columns=COLUMNS), [left] * bool(hidden)
    said = "Losses by lateness: too few members in each group." if known else "Losses by lateness: nobody told them."
    return pd.DataFrame(columns=COLUMNS), [said]


def _cell(known: Sequence[tuple[Late, ...]], late: str, access: str) -> Cell:
    cell = Cell([], [], [])
    for of_member in known:
        here = [one for one in of_member if access in (ALL, one.access) and late in (ALL, class_of(one.weeks_late))]
        if here:
            cell.apiaries.append(len(here))
            cell.wintered.append(sum(one.wintered for one in here))
            cell.lost.append(sum(one.lost for one in here))
    return cell


def class_of(weeks: float) -> str:
    """The class that so many weeks late belong to."""
    return next(name for name, low, high in CLASSES if low <= weeks <= high)


def _hidden(cells: dict[tuple[str, str], Cell], minimum: int) -> set[tuple[str, str]] | None:
    """Cells to leave out; None where nothing may be told at all or no choice protects.

    Hives wintered and hives lost share one pattern, made on the one and then widened on the other.
    """
    places = list(cells)
    if not may_be_told(cells[places[-1]].wintered, minimum=minimum):
        return None
    primary = np.array([bool(c.wintered) and not may_be_told(c.wintered, minimum=minimum) for c in cells.values()])
    across = len({access for _, access in places}) - 1
    relations = margins(len(CLASSES), across) if across else _one_way(len(CLASSES))
    fixed = np.array([at == (ALL, ALL) for at in places])
    try:
        for what, least in (("wintered", minimum), ("lost", 1)):
            values = [sum(getattr(cell, what)) for cell in cells.values()]
            if primary.any():
                primary = complementary(values, primary, relations, minimum=least, fixed=fixed)
    except ValidityError:
        return None
    return {at for at, out in zip(places, primary, strict=True) if out}


def _one_way(parts: int) -> Any:
    return np.array([[1.0] * parts + [-1.0]])


def _numbers(cell: Cell) -> list[float]:
    rate = loss_rate(cell.wintered, cell.lost)
    return [
        len(cell.wintered), sum(cell.apiaries), rate.wintered, rate.lost, rate.loss_pct, *rate.interval_pct,
    ]  # fmt: skip
