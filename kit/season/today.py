"""What is due, which apiary first, and what waiting a week costs. No wash is proposed in the cold."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.ranges import Band, band_of
from kit.constants import reading
from kit.season.due import TRAYS, TREATING, WEEK, Apiary, Due, due_at
from kit.season.expected import Winter
from kit.season.heads import Heads
from kit.season.loads import POINTS
from kit.season.reading import Course, Reading, Season
from kit.season.timing import hives_at, usual_pattern
from kit.season.units import last_day
from kit.season.usual import Array
from kit.season.whatif import added

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    "apiary", "due", "from", "to", "reason", *(f"load_{p}" for p in POINTS),
    *(f"wait_cost_{p}" for p in POINTS), "next_count", "also",
]  # fmt: skip
WASH_MONTHS = range(5, 10)
"""Months warm enough for a wash, above about 12 °C (common practice, no source)."""


class Known(NamedTuple):
    """What the list is made from."""

    records: Records
    rounds: pd.DataFrame
    season: Season
    winter: Winter
    strips: pd.DataFrame
    seed: int


def today(known: Known, heads: Sequence[Heads]) -> pd.DataFrame:
    """One row for each apiary where something is due, the one to go to first on top."""
    by_apiary = {one.apiary: one for one in heads}
    rows = []
    for name, here in known.season.readings.items():
        own, strips = (table[table["apiary"] == name] for table in (known.rounds, known.strips))
        due = due_at(Apiary(known.records, name, own, strips, by_apiary[name], known.rounds))
        if due:
            rows.append((due[0], _row(known, here, due)))
    rows.sort(key=_pressing)
    table = pd.DataFrame([row for _, row in rows], columns=COLUMNS)
    table[["from", "to"]] = table[["from", "to"]].apply(pd.to_datetime)
    return table


def _pressing(pair: tuple[Due, dict[str, Any]]) -> tuple[float, ...]:
    """What goes first: among treatments the one whose waiting costs most, whatever it is."""
    due, row = pair
    rank = TREATING if due.treats else due.order
    return rank, -float(np.nan_to_num(row["wait_cost_p50"])), due.order, -row["load_p50"]


def _row(known: Known, here: Reading, all_due: Sequence[Due]) -> dict[str, Any]:
    due, also = all_due[0], [one.due for one in all_due[1:] if one.order < TRAYS]
    wait = _wait_cost(known, here) if due.treats else Band(*[float("nan")] * 3)
    load = here.mean(here.mites[:, :, here.last], here.last)
    bands = {f"load_{p}": v for p, v in zip(POINTS, _band(load), strict=True)}
    bands |= {f"wait_cost_{p}": v for p, v in zip(POINTS, wait, strict=True)}
    key = {"apiary": here.apiary, "due": due.due, "from": due.start, "to": due.end, "reason": due.reason}
    count = next_count(known.records, known.rounds, here.apiary)
    return key | bands | {"next_count": count, "also": "; ".join(also)}


def _wait_cost(known: Known, here: Reading) -> Band:
    """Expected loss [money] of a treatment after the operation's usual pattern a week later instead of now."""
    pattern = usual_pattern(known.records, known.rounds)
    on = last_day(known.records)
    if pattern.empty or on + WEEK > here.usual.end:
        return Band(*[float("nan")] * 3)
    day = here.usual.index(max(known.winter.last, on))
    now, later = (_lost(known, here, added(known.records, pattern, here, when, known.seed)) for when in (on, on + WEEK))
    points = here.mean(later - now, day)
    return _band(points / 100 * hives_at(here, day) * known.records.settings.colony_value)


def _lost(known: Known, here: Reading, course: Course) -> Array:
    return known.winter.expected_pct(known.winter.by_mites_pct(here, course))


def _band(draws: Array) -> Band:
    return Band(*[float("nan")] * 3) if np.isnan(draws).any() else band_of(draws)


def next_count(records: Records, rounds: pd.DataFrame, apiary: str) -> str:
    """The next count worth taking there: trays once a treatment's dead have fallen, a wash only in warm months."""
    on = last_day(records)
    mine = rounds[rounds["apiary"] == apiary]
    clear = on
    if not mine.empty:
        ended = mine["removed"].fillna(mine["date"]).max().date()
        clear = max(on, ended + timedelta(days=int(reading.DEAD_TAIL_DAYS.value)))
    wash = ", or a wash of 300 bees" if clear.month in WASH_MONTHS else ""
    return f"trays under three hives for a week from {clear}{wash}"
