"""Who is read: each colony with a number, and at each apiary the average of the hives without one."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pandas as pd

if TYPE_CHECKING:
    from kit.records.records import Records

ONE_DAY = timedelta(days=1)
COLONY, UNNUMBERED, ANY = "colony", "unnumbered", "any hive"


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
    """

    apiary: str
    colony: str
    scope: str
    first: date
    last: date
    hives: float

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
    start, end = records.season.start, last_day(records)
    found: dict[tuple[str, str], Unit] = {}
    for stay in records.tables["colonies"].to_dict("records"):
        key = (str(stay["apiary"]), str(stay["colony"]))
        first = start if pd.isna(stay["from"]) else max(stay["from"].date(), start)
        last = end if pd.isna(stay["to"]) else min(stay["to"].date() - ONE_DAY, end)
        if first > last or not all(key):
            continue
        if before := found.get(key):
            first, last = min(first, before.first), max(last, before.last)
        found[key] = Unit(*key, COLONY, first, last, 1.0)
    return list(found.values())


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
    there = [sum(u.first <= day <= u.last for u in numbered) for day in days]
    spare = [standing_unnumbered(records, apiary, day, n) for day, n in zip(days, there, strict=True)]
    known = sorted(n for n in spare if not math.isnan(n))
    usually = known[len(known) // 2] if known else 0.0
    if usually or (not known and not numbered):
        return [Unit(apiary, "", UNNUMBERED, start, end, usually or math.nan)]
    return [Unit(apiary, "", ANY, start, end, math.nan)] if _nameless_counts(records, apiary) else []


def _nameless_counts(records: Records, apiary: str) -> bool:
    counts = records.in_season("counts")
    return bool(((counts["apiary"] == apiary) & (counts["colony"] == "")).any())
