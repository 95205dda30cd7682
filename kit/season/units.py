"""Who is read: each colony with a number, and at each apiary the average of the hives without one."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

if TYPE_CHECKING:
    from kit.records.records import Records

ONE_DAY = timedelta(days=1)
ON_THE_ROAD = timedelta(days=8)
"""Days between two stays of one colony that is being moved."""
COLONY, UNNUMBERED, ANY = "colony", "unnumbered", "any hive"


class Stay(NamedTuple):
    """Where a colony stood from a first to a last day, both included."""

    apiary: str
    first: date
    last: date

    def holds(self, on: date) -> bool:
        """Whether a day lies in it."""
        return self.first <= on <= self.last


@dataclass(frozen=True)
class Unit:
    """A colony at one apiary, or the average hive of those without a number there.

    Parameters
    ----------
    apiary, colony : str
        `colony` is '' for an average hive.
    scope : str
        `colony`, `unnumbered`, or `any hive` (stands for a tray under one of the numbered hives; never written out).
    first, last : date
        Days on which it stood there within the season, both included.
    hives : float
        How many hives it stands for; NaN when not recorded.
    path : tuple of Stay
        Of a colony that was moved: all its stays within the season, here and elsewhere. Empty for one that was not.
    """

    apiary: str
    colony: str
    scope: str
    first: date
    last: date
    hives: float
    path: tuple[Stay, ...] = ()

    def stands(self, on: date, apiary: str | None = None) -> bool:
        """Whether it stood on a day at its own apiary, or at another one that is named."""
        where = apiary or self.apiary
        if not self.path:
            return where == self.apiary and self.first <= on <= self.last
        return any(stay.apiary == where and stay.holds(on) for stay in self.path)

    def stood_between(self, start: date, end: date) -> bool:
        """Whether it stood at its own apiary on any day from `start` to `end`."""
        own = [stay for stay in self.path if stay.apiary == self.apiary] or [Stay(self.apiary, self.first, self.last)]
        return any(stay.first <= end and stay.last >= start for stay in own)

    @property
    def elsewhere(self) -> tuple[Stay, ...]:
        """Its stays at other apiaries."""
        return tuple(stay for stay in self.path if stay.apiary != self.apiary)

    @property
    def averaged(self) -> float:
        """Hives whose own luck averages out in it; 10 where their number was not written down."""
        if self.scope != UNNUMBERED:
            return 1.0
        return 10.0 if pd.isna(self.hives) else max(self.hives, 1.0)


def units(records: Records) -> tuple[Unit, ...]:
    """Everything that is read for the season, sorted by apiary and colony."""
    numbered = _stays(records)
    numbered += _unlisted(records, numbered)
    found = list(numbered)
    for apiary in apiaries(records, numbered):
        found += _averages(records, apiary, [u for u in numbered if u.apiary == apiary])
    return tuple(sorted(found, key=lambda u: (u.apiary, u.scope, u.colony, u.first)))


def apiaries(records: Records, numbered: Iterable[Unit] = ()) -> tuple[str, ...]:
    """Apiaries of the sheet in its order, then those that only other sheets name."""
    named = sorted({u.apiary for u in numbered} - set(records.apiaries))
    return (*records.apiaries, *named)


def last_day(records: Records) -> date:
    """The last day that is read: `as_of` or the season's end."""
    return max(min(records.as_of, records.season.end), records.season.start)


def standing_unnumbered(records: Records, apiary: str, on: date, numbered: int) -> float:
    """Hives without a number at an apiary on a date; NaN when hives were nowhere recorded."""
    hives = records.hives(apiary, on)
    return math.nan if hives is None else float(max(hives - numbered, 0))


def colonies_named(text: str) -> tuple[str, ...]:
    """The ids in a resolved list `A1;A3`; none for `all` and for an empty cell."""
    return () if text in ("", "all") else tuple(part for part in text.split(";") if part)


def _stays(records: Records) -> list[Unit]:
    each: dict[str, list[Stay]] = {}
    for row in records.tables["colonies"].to_dict("records"):
        stay = _stay(records, row)
        if stay.apiary and row["colony"]:
            each.setdefault(str(row["colony"]), []).append(stay)
    found = []
    for colony, stays in each.items():
        for path in _paths(stays):
            found += _on_path(colony, [stay for stay in path if stay.first <= stay.last])
    return _one_each(found)


def _stay(records: Records, row: Any) -> Stay:
    """A row of the sheet `colonies` within the season; one outside it ends before it begins."""
    start, end = records.season.start, last_day(records)
    first = start if pd.isna(row["from"]) else max(row["from"].date(), start)
    last = end if pd.isna(row["to"]) else min(row["to"].date() - ONE_DAY, end)
    return Stay(str(row["apiary"]), first, last)


def _paths(stays: list[Stay]) -> list[list[Stay]]:
    """Stays under one id that follow on each other are one colony that was moved; others are colonies of their own."""
    paths: list[list[Stay]] = []
    for stay in sorted(stays, key=lambda one: (one.first, one.last, one.apiary)):
        follows = [p for p in paths if timedelta(0) < stay.first - p[-1].last <= ON_THE_ROAD]
        (follows[0] if follows else _new(paths)).append(stay)
    return paths


def _new(paths: list[list[Stay]]) -> list[Stay]:
    paths.append([])
    return paths[-1]


def _on_path(colony: str, path: list[Stay]) -> list[Unit]:
    """A unit for each apiary a colony stood at."""
    found = []
    for apiary in dict.fromkeys(stay.apiary for stay in path):
        own = [stay for stay in path if stay.apiary == apiary]
        whole = tuple(path) if len(own) < len(path) else ()
        first, last = min(stay.first for stay in own), max(stay.last for stay in own)
        found.append(Unit(apiary, colony, COLONY, first, last, 1.0, whole))
    return found


def _one_each(found: list[Unit]) -> list[Unit]:
    """Rows that give one colony of one apiary several times are one unit, from the first day to the last."""
    units: dict[tuple[str, str], Unit] = {}
    for one in found:
        before = units.get((one.apiary, one.colony))
        if before:
            first, last = min(one.first, before.first), max(one.last, before.last)
            one = replace(before, first=first, last=last, path=_joined(before, one))
        units[one.apiary, one.colony] = one
    return list(units.values())


def _joined(before: Unit, after: Unit) -> tuple[Stay, ...]:
    if not before.path and not after.path:
        return ()
    each = [one.path or (Stay(one.apiary, one.first, one.last),) for one in (before, after)]
    return (*each[0], *each[1])


def _unlisted(records: Records, known: list[Unit]) -> list[Unit]:
    """Colonies that a count, a look or a treatment names but no stay knows."""
    listed = {(str(r["apiary"]), str(r["colony"])) for r in records.tables["colonies"].to_dict("records")}
    named: set[tuple[str, str]] = set()
    for table, column in (("counts", "colony"), ("inspections", "colony"), ("treatments", "colonies")):
        for row in records.in_season(table).to_dict("records"):
            named |= {(str(row["apiary"]), one) for one in colonies_named(str(row[column]))}
    listed |= {(u.apiary, u.colony) for u in known}
    new = sorted(key for key in named - listed if key[0])
    return [Unit(*key, COLONY, records.season.start, last_day(records), 1.0) for key in new]


def _averages(records: Records, apiary: str, numbered: list[Unit]) -> list[Unit]:
    start, end = records.season.start, last_day(records)
    days = [start + ONE_DAY * n for n in range(0, (end - start).days, 30)] + [end]
    there = [sum(u.stands(day) for u in numbered) for day in days]
    spare = [standing_unnumbered(records, apiary, day, n) for day, n in zip(days, there, strict=True)]
    known = sorted(n for n in spare if not math.isnan(n))
    usually = known[len(known) // 2] if known else 0.0
    if usually or (not known and not numbered):
        return [Unit(apiary, "", UNNUMBERED, start, end, usually or math.nan)]
    return [Unit(apiary, "", ANY, start, end, math.nan)] if _nameless_counts(records, apiary) else []


def _nameless_counts(records: Records, apiary: str) -> bool:
    counts = records.in_season("counts")
    return bool(((counts["apiary"] == apiary) & (counts["colony"] == "")).any())
