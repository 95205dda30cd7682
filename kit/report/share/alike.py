"""How many are alike: a keeper's region goes into a pack only where enough others share it together with their size."""

from __future__ import annotations

import re
from pathlib import Path

import pandas as pd

from kit.errors import CannotGoOnError
from kit.report.share.classes import NO_END, class_of
from kit.report.share.form import NOWHERE, REGION, Choices, Group

GROUP = re.compile(r"(?P<low>[0-9]{1,6})(?: to (?P<high>[0-9]{1,6}) hives| hives and more)")


def groups_told(path: Path, *, minimum: int) -> tuple[Group, ...]:
    """Region and class of size of every group that an association's last report told, or its list of members does.

    Parameters
    ----------
    path : Path
        CSV of `region`, `group` and `members`.
    minimum : int
        Groups of fewer members are passed over.

    Raises
    ------
    CannotGoOnError
        When the file is not that table.
    """
    try:
        table = pd.read_csv(path, dtype="str", keep_default_na=False)
        table = table[table["members"].astype(int) >= minimum]
        return tuple(Group(*row) for row in zip(table["region"], table["group"], strict=True))
    except (OSError, ValueError, KeyError) as error:
        raise CannotGoOnError(
            f"{path} is not a table of members by region and size (region,group,members): give tables/crossed.csv of "
            "an association's report"
        ) from error


def squares_told(choices: Choices, region: str, hives: int) -> str:
    """What a pack tells places by: what was ticked, and without a tick the region where enough are known to be alike.

    Parameters
    ----------
    choices : Choices
        As ticked; with groups of a last report, nothing is told of a keeper outside all of them.
    region : str
        Square of 1 degree in which most hives stand.
    hives : int
        Of the operation.

    Returns
    -------
    str
        One of `form.SQUARES`. Beside a number of hives as counted, a class of many alike hides nobody: then only a
        tick tells a place.
    """
    if choices.among is None:
        return choices.squares or NOWHERE
    wanted = choices.squares or (NOWHERE if choices.exact else REGION)
    return wanted if any(one.region == region and _alike(one.size, hives) for one in choices.among) else NOWHERE


def _alike(size: str, hives: int) -> bool:
    """Whether all of a group have the class that a pack of so many hives tells, and the keeper is of them."""
    match = GROUP.fullmatch(size)
    if match is None:
        return False
    low, high, own = int(match["low"]), int(match["high"] or NO_END), class_of(hives)
    return own.least <= low <= hives <= high <= own.most
