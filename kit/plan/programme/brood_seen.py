"""What trays say of brood: crumbs of cappings fall where bees emerge, and none fall where there is no brood."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kit.constants import plan
from kit.plan.solver.problem import Floats

if TYPE_CHECKING:
    from kit.records.records import Records


class Look(NamedTuple):
    """Trays of one apiary looked at for crumbs on a day."""

    apiary: str
    on: date
    crumbs: bool


def looks(records: Records) -> list[Look]:
    """Every look at trays of the season that says whether there were crumbs, in order of date."""
    log = records.in_season("log")
    said = log[log["crumbs"].isin(["yes", "no"])].sort_values(["date", "apiary"], kind="stable")
    return [
        Look(str(row["apiary"]), row["date"].date(), row["crumbs"] == "yes")
        for row in said[["apiary", "date", "crumbs"]].to_dict("records")
    ]


def likelihood(there: Sequence[Look], cells: Floats, apiary: str) -> Floats:
    """How well capped cells agree with what trays showed.

    Parameters
    ----------
    there : sequence of Look
        Of the whole operation; those of other apiaries weigh less.
    cells : array, shape (draws, looks)
        Capped cells of a hive on those days.
    apiary : str
        Whose hive it is.

    Returns
    -------
    array, shape (draws,)
        Up to a factor.
    """
    wrong = plan.CRUMBS_WRONG.value / 100
    yes = wrong + (1 - 2 * wrong) * (1 - np.exp(-cells / plan.CRUMBS_CELLS.value))
    saw = np.array([look.crumbs for look in there])
    weight = np.array([1.0 if look.apiary == apiary else plan.CRUMBS_ELSEWHERE.value for look in there])
    return np.asarray(np.exp(np.log(np.where(saw, yes, 1 - yes)) @ weight))
