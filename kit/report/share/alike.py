"""How many are alike: a keeper's region goes into a pack only where enough others share it together with their size."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from kit.errors import CannotGoOnError
from kit.report.share.form import NOWHERE, Group

GROUP = re.compile(r"(?P<low>[0-9]{1,6})(?: to (?P<high>[0-9]{1,6}) hives| hives and more)")


def groups_told(path: Path) -> tuple[Group, ...]:
    """Region and class of size of every group that an association's last report told.

    Raises
    ------
    CannotGoOnError
        When the file is not that table.
    """
    try:
        table = pd.read_csv(path, dtype="str", keep_default_na=False)
        return tuple(Group(*row) for row in zip(table["region"], table["group"], strict=True))
    except (OSError, ValueError, KeyError) as error:
        raise CannotGoOnError(
            f"{path} is not the table of members by region and size: tables/crossed.csv of an association's report"
        ) from error


def squares_among(groups: Sequence[Group], region: str, hives: int, squares: str) -> str:
    """The squares to tell: those wanted where the last report told a group of the like, none otherwise.

    Parameters
    ----------
    groups : sequence of Group
        That were told.
    region : str
        Square of 1 degree, as members are pooled by.
    hives : int
        Of the operation.
    squares : str
        Those wanted, one of `form.SQUARES`.
    """
    return squares if any(one.region == region and _holds(one.size, hives) for one in groups) else NOWHERE


def _holds(size: str, hives: int) -> bool:
    match = GROUP.fullmatch(size)
    return match is not None and int(match["low"]) <= hives <= int(match["high"] or hives)
