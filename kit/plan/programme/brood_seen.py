"""What trays say of brood: crumbs of cappings fall where bees emerge, and none fall where there is no brood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kit.constants import plan
from kit.plan.programme.calm import Calm
from kit.plan.solver.problem import Floats
from kit.season.posterior import traits as t

if TYPE_CHECKING:
    from kit.records.records import Records

BROOD_TRAITS = [t.SHIFT, t.BROOD, t.LATE_BROOD, t.WINTER_BROOD]
"""Traits that say how much brood stands in autumn and winter."""
TRIALS = 40
"""Sets of traits tried for each hive against what trays showed."""


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


@dataclass(frozen=True)
class Seen:
    """The season reviewed, with what trays showed of its brood."""

    calm: Calm
    looks: Sequence[Look]

    def agreeing(self, traits: Floats, apiary: str, rng: np.random.Generator) -> Floats:
        """The same hives, their brood traits drawn again as far as the looks want it; unchanged without a look.

        For each hive one of `TRIALS` sets of traits, spread as those of all draws are, is taken by its likelihood.
        """
        there = [look for look in self.looks if 0 <= (look.on - self.calm.start).days < self.calm.days]
        if not there:
            return traits
        of = traits[:, BROOD_TRAITS]
        tried = rng.multivariate_normal(of.mean(axis=0), np.cov(of, rowvar=False), (len(traits), TRIALS))
        tried[:, 0] = of
        whole = np.repeat(traits[:, None], TRIALS, axis=1)
        whole[:, :, BROOD_TRAITS] = tried
        cells = _capped(self.calm, whole.reshape(-1, traits.shape[1]), [look.on for look in there])
        fits = likelihood(there, cells, apiary).reshape(len(traits), TRIALS)
        taken = (np.cumsum(fits, axis=1) < (rng.random(len(traits)) * fits.sum(axis=1))[:, None]).sum(axis=1)
        return np.asarray(whole[np.arange(len(traits)), taken])


def _capped(calm: Calm, traits: Floats, days: Sequence[date]) -> Floats:
    hives = calm.hives([])
    at = np.array([(day - calm.start).days for day in days], dtype=np.int64)
    return hives.capped(traits, np.zeros(len(traits), dtype=np.int64), at)
