"""The records as read: what the floors above work from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.season import Season
from kit.records.settings import Settings
from kit.records.tables import ORIGIN, TABLES
from kit.records.texts import holds
from kit.records.typed import each

STAY_PUT = ("requeened", "caged", "released", "standstill", "standstill lifted", "inspector")
"""Events that change no number of hives."""
MOTHER_STAYS = ("split", "swarm")
"""Events after which the hive they came from still stands."""

COUNT_HOLDS_DAYS = 400
"""A head count older than this no longer says how many hives stand there."""
T = TypeVar("T")
Days = NDArray[np.datetime64]
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Records:
    """Everything read from one operation's sheets.

    Parameters
    ----------
    settings : Settings
        In force, dates in the season asked for.
    given : frozenset of str
        Settings the user gave.
    season : Season
        The season asked for.
    as_of : date
        Rows dated later are left out and counted.
    tables : mapping of DataFrame
        One for every table of the record sheets, by name; columns as documented, unknown ones after them, then
        `from_file`, `from_row`, `from_table`. Dates `datetime64`, numbers `float64` (NaN: not recorded), words, ids
        and text `str` ('' : not recorded). `treatments` also holds `standing` and `done` from the log.
    heads : DataFrame
        Head counts of the log: `date apiary standing done dead cause weak light why_late wrong notes from_file
        from_row`.
    problems : DataFrame
        `file row column value problem remedy`; row 0 means the whole sheet.
    account : DataFrame
        `table rows used set_aside later`, one row for each sheet read.
    apiaries : tuple of str
        Ids in the order of the sheet.
    """

    settings: Settings
    given: frozenset[str]
    season: Season
    as_of: date
    tables: Mapping[str, pd.DataFrame]
    heads: pd.DataFrame
    problems: pd.DataFrame
    account: pd.DataFrame
    apiaries: tuple[str, ...]

    @property
    def set_aside(self) -> int:
        """Rows that could not be used; fewer than `problems`, which also holds doubts about rows that were."""
        return int(self.account["set_aside"].sum())

    def in_season(self, name: str) -> pd.DataFrame:
        """The rows of a table (or of `heads`) dated in the season; a table without dates is given whole.

        A stay in `colonies` and a crop count when any of their days lies in the season.
        """
        frame = self.heads if name == "heads" else self.tables[name]
        start, end = pd.Timestamp(self.season.start), pd.Timestamp(self.season.end)
        dated_by = "date" if name == "heads" else TABLES[name].dated_by
        if not dated_by:
            return frame.reset_index(drop=True)
        ends = {"colonies": "to", "crops": "supers_off"}.get(name, "")
        begun = frame[dated_by].isna() | (frame[dated_by] <= end) if ends else frame[dated_by] <= end
        still = frame[ends].isna() | (frame[ends] > start) if ends else frame[dated_by] >= start
        return frame[begun & still].reset_index(drop=True)

    def hives(self, apiary: str, on: date) -> int | None:
        """Hives standing at an apiary at the end of a day, None when nothing recorded tells it.

        The last head count within 400 days, less the deaths and moves recorded since; else the numbered colonies,
        where they are as many as the usual number; else the usual number of `apiaries`.
        """
        day = pd.Timestamp(on)
        counted = self._counted(apiary, day)
        if counted is not None:
            return counted
        stays = self.tables["colonies"]
        stays = stays[stays["apiary"] == apiary]
        there = (stays["from"].isna() | (stays["from"] <= day)) & (stays["to"].isna() | (stays["to"] > day))
        rows = self.tables["apiaries"]
        usual = rows.loc[rows["apiary"] == apiary, "hives"].dropna()
        if len(stays) and (usual.empty or len(stays) >= usual.iloc[0]):
            return int(there.sum())
        return None if usual.empty else int(usual.iloc[0])

    def _counted(self, apiary: str, day: pd.Timestamp) -> int | None:
        if apiary not in self._counts:
            return None
        days, standing, dead = self._counts[apiary]
        on, holds_from = day.to_datetime64(), (day - pd.Timedelta(days=COUNT_HOLDS_DAYS)).to_datetime64()
        counts = np.flatnonzero((days > holds_from) & (days <= on) & ~np.isnan(standing))
        if not counts.size:
            return None
        last = counts[-1]
        died = np.nansum(dead[(days > days[last]) & (days <= on)])
        return max(0, int(standing[last] - died + self._changed(apiary, days[last], on)))

    @cached_property
    def _counts(self) -> Mapping[str, tuple[Days, Numbers, Numbers]]:
        """For each apiary the days of its head counts, with the hives standing and dead."""
        return {
            str(apiary): (rows["date"].to_numpy(), rows["standing"].to_numpy(float), rows["dead"].to_numpy(float))
            for apiary, rows in self.heads.groupby("apiary")
        }

    def _changed(self, apiary: str, after: np.datetime64, until: np.datetime64) -> float:
        """As `came_and_went`, of one apiary."""
        if apiary not in self._changes:
            return 0.0
        days, total = self._changes[apiary]
        first, last = days.searchsorted([after, until], side="right")
        return float(total[last] - total[first])

    def once(self, work: Callable[[Records], T]) -> T:
        """What `work` makes of these records, made the first time it is asked for; not to be changed by who asks."""
        if work not in self._made:
            self._made[work] = work(self)
        made: T = self._made[work]
        return made

    @cached_property
    def _made(self) -> dict[Any, Any]:
        return {}

    def written(self, name: str, *columns: str) -> pd.DataFrame:
        """The rows of a table that stand in its own sheet: these columns of them and their origin, or all columns."""
        table = self.tables[name]
        own = holds(table["from_table"], name)
        told = table[[*columns, *ORIGIN]] if columns else table
        return told if own.all() else told[own]

    def came_and_went(
        self, apiaries: pd.Series[str], after: pd.Series[pd.Timestamp], until: pd.Series[pd.Timestamp]
    ) -> pd.Series[float]:
        """Hives that `events` brought to each apiary less those they took away, after one day and until another."""
        change = pd.Series(0.0, index=apiaries.index)
        for apiary, (days, total) in self._changes.items():
            here = (apiaries == apiary).to_numpy()
            first, last = (days.searchsorted(ends[here].to_numpy(), side="right") for ends in (after, until))
            change[here] = total[last] - total[first]
        return change

    @cached_property
    def _changes(self) -> Mapping[str, tuple[Days, Numbers]]:
        """For each apiary the days on which events changed its number of hives, and the running total before each."""
        changes = pd.DataFrame(self._moves(), columns=["apiary", "date", "hives"]).sort_values("date", kind="stable")
        return {
            str(apiary): (rows["date"].to_numpy(), np.concatenate([[0.0], rows["hives"].cumsum()]))
            for apiary, rows in changes.groupby("apiary")
        }

    def _moves(self) -> Iterator[tuple[str, pd.Timestamp, float]]:
        stays = self.tables["colonies"]
        places = dict(zip(stays["colony"], stays["apiary"], strict=True))
        events = self.tables["events"].rename(columns={"from": "left", "to": "reached"})
        for row in each(events[events["hives"].notna() & ~events["kind"].isin(STAY_PUT)]):
            left, reached = places.get(row.left, row.left), places.get(row.reached, row.reached)
            if row.kind == "united" and left == reached:
                reached = ""
            yield reached, row.date, row.hives
            if row.kind not in MOTHER_STAYS:
                yield left, row.date, -row.hives
