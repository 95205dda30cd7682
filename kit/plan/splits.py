"""Splits of the season planned at an apiary, and when a round in the parts split off meets no capped brood."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from kit.constants import plan
from kit.plan.ahead import Ahead, Window, a_year_on, day_in
from kit.season.splits import CAPPED_DAYS, EMERGED_DAYS, SPLIT, free_days, raising

if TYPE_CHECKING:
    from kit.records.records import Records


class Splits(NamedTuple):
    """The splits of one apiary that fall within days of each other.

    Parameters
    ----------
    first, last : date
        Days of the first and the last.
    parts : int or None
        Hives split off; None for every hive there is.
    anyway : bool
        Whether they are made whatever the programme: as this season or last; else only where it asks for them.
    """

    first: date
    last: date
    parts: int | None
    anyway: bool

    @property
    def free(self) -> tuple[date, date]:
        """First and last day on which no part has capped brood."""
        return free_days(self.first, self.last)

    @property
    def middle(self) -> date:
        """The day that stands for them all."""
        return self.first + (self.last - self.first) // 2

    def hives(self, standing: int) -> int:
        """Hives split off, of those standing after."""
        return min(self.parts or standing, standing)

    def share(self, standing: int) -> float:
        """Hives split off among those standing after, at most one half [1]."""
        return 0.5 if self.parts is None else min(self.parts / max(standing, 1), 0.5)


def splits_of(records: Records, ahead: Ahead, apiaries: Sequence[str]) -> dict[str, Splits]:
    """By apiary, the splits of the season planned: those written down, else last season's a year on, else the usual.

    Where they lie too far apart for one visit, those of the days that hold most of them.
    """
    usual = day_in(plan.SPLIT_DAY, ahead.start)
    written = _written(records)
    return {apiary: _coming(written.get(apiary, []), ahead) or Splits(usual, usual, None, False) for apiary in apiaries}


def free_window(splits: Splits, ahead: Ahead) -> Window:
    """When an oxalic round in the parts may begin, and the day after which brood may be capped again."""
    opens, closes = splits.free
    why = f"parts split off on {splits.middle:%-d %B} have no capped brood: look for it first"
    return Window("spring", max(opens, ahead.earliest), closes, closes, why)


def _written(records: Records) -> dict[str, list[tuple[date, int]]]:
    """Days and hives of the splits in `events`, by the apiary at which the part stands."""
    found: dict[str, list[tuple[date, int]]] = {}
    for one in raising(records, [SPLIT]):
        found.setdefault(one.apiary, []).append((one.since, one.hives))
    return found


def _coming(written: Sequence[tuple[date, int]], ahead: Ahead) -> Splits | None:
    now = [(day, hives) for day, hives in written if ahead.start <= day <= ahead.end]
    past = [(a_year_on(day), hives) for day, hives in written if ahead.start <= a_year_on(day) <= ahead.end]
    return _most_at_once(now or past)


def _most_at_once(days: Sequence[tuple[date, int]]) -> Splits | None:
    """The splits whose free days have at least one in common, as many hives as can be."""
    most: Splits | None = None
    for first, _ in days:
        near = [(day, hives) for day, hives in days if 0 <= (day - first).days < CAPPED_DAYS - EMERGED_DAYS]
        found = Splits(first, near[-1][0], sum(hives for _, hives in near), True)
        most = found if most is None or (found.parts or 0) > (most.parts or 0) else most
    return most
