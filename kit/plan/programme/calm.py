"""The bees of next season's hives: those nothing befalls but a laying stop, and those that are split."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import NamedTuple

from kit.calc.treatments import Treatment, year_with
from kit.season.posterior.bees import USUAL as USUAL_YEAR
from kit.season.posterior.bees import Bees, bees_of, split_from, split_off
from kit.season.posterior.given import Given as Round
from kit.season.posterior.hives import Hives
from kit.season.units import UNNUMBERED, Unit

SPLIT_FROM, SPLIT_OFF, KINDS = 1, 2, 3
"""Kinds of hives beside the untouched ones, and how many kinds there are where splits are made."""
IN_PARTS = (0.0, 0.0, 1.0)
"""Share of each kind that receives a round in the parts split off."""


class Parting(NamedTuple):
    """Splits of an apiary: their day, hives split off among those standing after [1], made whatever is given or not."""

    day: date
    share: float
    anyway: bool


@dataclass(frozen=True)
class Calm:
    """The bees of hives that nothing befalls but a laying stop and a split; made once for each of these.

    With a split there are three kinds of hives: untouched, split from, and split off; else the one.
    """

    start: date
    days: int

    def hives(self, rounds: Sequence[Round], parted: date | None = None) -> Hives:
        """One hive, or the three kinds, under the rounds."""
        units = [self.unit] * (1 if parted is None else KINDS)
        words = sorted({one.treatment for one in rounds})
        return Hives(self.start, self.days, units, rounds, words, self._bees(rounds, parted))

    def _bees(self, rounds: Sequence[Round], parted: date | None) -> Bees:
        stops = tuple(one.dose for one in rounds if one.stops_laying)
        if (stops, parted) not in self._made:
            year = year_with(USUAL_YEAR, stops)
            years = [year] if parted is None else [year, split_from(year, parted), split_off(year, parted)]
            self._made[stops, parted] = bees_of(years, self.start, self.days)
        return self._made[stops, parted]

    @cached_property
    def unit(self) -> Unit:
        """A hive of no apiary: what befell last season's colonies is over."""
        return Unit("", "", UNNUMBERED, self.start, self.start + timedelta(days=self.days - 1), 1.0)

    @cached_property
    def _made(self) -> dict[tuple[tuple[Treatment, ...], date | None], Bees]:
        return {}
