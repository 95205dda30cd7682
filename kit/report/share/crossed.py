"""Members by region and class of size at once, with what would give small groups away left out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.calc.suppression import complementary, margins, too_few
from kit.errors import ValidityError
from kit.report.share.groups import Grouped

COLUMNS = ["region", "group", "members"]


def crossed(regions: Grouped, sizes: Grouped, *, minimum: int) -> tuple[pd.DataFrame, list[str]]:
    """The table, and sentences on what was left out of it.

    Regions and classes by themselves are told elsewhere, so further groups are left out until no small one can be
    worked out from them to less than the minimum.

    Parameters
    ----------
    regions, sizes : mapping of list of Member
        Each parts the members.
    minimum : int
        Smallest group of members told.
    """
    table = pd.DataFrame(columns=COLUMNS)
    if min(len(regions), len(sizes)) < 2 or _all(regions) != _all(sizes):
        return table, []
    inner = np.array([[len({id(m) for m in r} & {id(m) for m in s}) for s in sizes.values()] for r in regions.values()])
    whole = np.block([[inner, inner.sum(axis=1, keepdims=True)], [inner.sum(axis=0, keepdims=True), inner.sum()]])
    told_elsewhere = np.ones(whole.shape, dtype=bool)
    told_elsewhere[:-1, :-1] = False
    small = too_few(whole, minimum=minimum) & ~told_elsewhere
    try:
        hidden = complementary(
            whole.ravel(), small.ravel(), margins(*inner.shape), minimum=minimum, fixed=told_elsewhere.ravel()
        ).reshape(whole.shape)[:-1, :-1]
    except ValidityError:
        return table, ["Regions by size are left out; no choice of groups protects the small ones."]
    rows = [
        [region, group, int(inner[at])]
        for at, (region, group) in zip(np.ndindex(inner.shape), [(r, s) for r in regions for s in sizes], strict=True)
        if inner[at] and not hidden[at]
    ]
    left = int((hidden & (inner > 0)).sum())
    said = [f"Groups by region and size left out, too small or given away by others, {left}."] if left else []
    return pd.DataFrame(rows, columns=COLUMNS), said


def _all(groups: Grouped) -> set[int]:
    return {id(member) for found in groups.values() for member in found}
