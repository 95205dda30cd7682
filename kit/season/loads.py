"""Where every hive stood through the season: mites by date with a band, as a table."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pandas as pd

from kit.calc.ranges import band_of
from kit.season.reading import Reading, Season
from kit.season.units import ANY, COLONY, UNNUMBERED, standing_unnumbered

if TYPE_CHECKING:
    from kit.records.records import Records

POINTS = ("p05", "p50", "p95")
COLUMNS = [
    "date", "apiary", "colony", "scope", "hives",
    *(f"mites_{p}" for p in POINTS), *(f"per_100_bees_{p}" for p in POINTS), "season",
]  # fmt: skip


def loads(records: Records, rounds: pd.DataFrame, season: Season) -> pd.DataFrame:
    """The table of loads: weekly, and on each day of a count or a round, up to the last day read."""
    rows = []
    for reading in season.readings.values():
        for day in _days(records, rounds, reading):
            rows += _rows(records, reading, day)
    table = pd.DataFrame(rows, columns=COLUMNS)
    table["date"] = pd.to_datetime(table["date"])
    return table.sort_values(["date", "apiary", "scope", "colony"], kind="stable", ignore_index=True)


def _days(records: Records, rounds: pd.DataFrame, reading: Reading) -> list[int]:
    counts = records.in_season("counts")
    dated = [
        *counts.loc[counts["apiary"] == reading.apiary, "date"],
        *rounds.loc[rounds["apiary"] == reading.apiary, "date"],
    ]
    special = {reading.usual.index(pd.Timestamp(day).date()) for day in dated}
    return sorted(day for day in {*range(0, reading.last + 1, 7), reading.last, *special} if day <= reading.last)


def _rows(records: Records, reading: Reading, day: int) -> list[list[object]]:
    on = reading.usual.start + timedelta(days=day)
    mites, share = reading.mites[:, :, day], reading.infestation(day)
    there = reading.standing(day)
    numbered = sum(unit.scope == COLONY and bool(here) for unit, here in zip(reading.units, there, strict=True))
    unnumbered = any(unit.scope == UNNUMBERED for unit in reading.units)
    spare = standing_unnumbered(records, reading.apiary, on, numbered) if unnumbered else 0.0
    rows = []
    for n, unit in enumerate(reading.units):
        if not there[n] or unit.scope == ANY or (unit.scope == UNNUMBERED and spare == 0):
            continue
        hives = 1.0 if unit.scope == COLONY else spare
        rows.append([on, unit.apiary, unit.colony, unit.scope, hives, *band_of(mites[:, n]), *band_of(share[:, n])])
    if rows:
        whole = [*band_of(reading.mean(mites, day)), *band_of(reading.mean(share, day))]
        rows.append([on, reading.apiary, "", "apiary", numbered + spare, *whole])
    return [[*row, records.season.label] for row in rows]
