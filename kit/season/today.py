"""What is due, which apiary first, and what waiting a week costs. No wash is proposed in the cold."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.ranges import Band, band_of
from kit.constants import reading
from kit.season.expected import Winter
from kit.season.heads import Heads
from kit.season.loads import POINTS
from kit.season.reading import Course, Reading, Season
from kit.season.rounds import OXALIC
from kit.season.splits import SPLIT, SWARM, Raising, free_days, raising
from kit.season.timing import hives_at, main_treatment, usual_pattern
from kit.season.units import last_day
from kit.season.usual import Array
from kit.season.whatif import added

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    "apiary", "due", "from", "to", "reason", *(f"load_{p}" for p in POINTS),
    *(f"wait_cost_{p}" for p in POINTS), "next_count",
]  # fmt: skip
WEEK = timedelta(days=7)
WASH_MONTHS = range(5, 10)
"""Months warm enough for a wash, above about 12 °C (common practice, no source)."""
USUAL_ROUNDS = 3


class Due(NamedTuple):
    """One thing to do at one apiary; a lower `order` goes first. `treats`: waiting can be priced."""

    order: float
    due: str
    start: date
    end: date
    reason: str
    treats: bool = False


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
    for apiary, here in known.season.readings.items():
        due = _due(known, apiary, by_apiary[apiary])
        if due is not None:
            rows.append((due, _row(known, here, due)))
    rows.sort(key=lambda pair: (pair[0].order, -np.nan_to_num(pair[1]["wait_cost_p50"]), -pair[1]["load_p50"]))
    table = pd.DataFrame([row for _, row in rows], columns=COLUMNS)
    table[["from", "to"]] = table[["from", "to"]].apply(pd.to_datetime)
    return table


def _due(known: Known, apiary: str, heads: Heads) -> Due | None:
    """The most pressing thing at one apiary; None when nothing is."""
    mine = known.rounds[known.rounds["apiary"] == apiary]
    on = last_day(known.records)
    found = [
        _strips(known.strips[known.strips["apiary"] == apiary], on),
        _next_round(known, mine, on),
        _without_brood(known.records, apiary, mine, on),
        _main(known.records, apiary, mine, on),
        _winter_round(mine, on),
        _first_look(heads, on),
        _tray(known.records, apiary, on),
    ]
    due = [one for one in found if one is not None]
    return min(due, key=lambda one: one.order) if due else None


def _strips(strips: pd.DataFrame, on: date) -> Due | None:
    late = strips[strips["out_by"] <= pd.Timestamp(on)]
    if late.empty:
        return None
    row = late.sort_values("since").iloc[0]
    reason = f"{row['treatment']} in since {row['since']:%Y-%m-%d}; left in, they breed resistance"
    return Due(1, f"take {row['treatment']} out", row["out_by"].date(), on, reason)


def _next_round(known: Known, mine: pd.DataFrame, on: date) -> Due | None:
    recent = mine[mine["treatment"].isin(OXALIC) & (mine["date"] > pd.Timestamp(on) - pd.Timedelta(days=16))]
    if recent.empty or on.month in (11, 12, 1, 2):
        return None
    last = recent.iloc[-1]
    given = max(int((mine["treatment_no"] == last["treatment_no"]).sum()), int(last["round"]))
    if given >= _usual_rounds(known, str(last["treatment"])):
        return None
    start = last["date"].date() + timedelta(days=5)
    reason = f"round {given} was on {last['date']:%Y-%m-%d}; rounds 5 to 7 days apart, if your label or vet allows it"
    return Due(2, f"{last['treatment']} round {given + 1}", start, start + timedelta(days=2), reason, treats=True)


def _usual_rounds(known: Known, word: str) -> int:
    """The most rounds of a treatment that has ended; one still going on says nothing yet."""
    series = known.rounds[known.rounds["treatment"] == word].groupby(["apiary", "treatment_no"])["date"]
    ended = series.size()[series.max() < pd.Timestamp(last_day(known.records)) - pd.Timedelta(days=16)]
    return max(int(ended.max()), 1) if len(ended) else USUAL_ROUNDS


def _without_brood(records: Records, apiary: str, mine: pd.DataFrame, on: date) -> Due | None:
    """A round in hives that raise a queen while none has capped brood, from a week ahead; none once one was given."""
    near = [one for one in raising(records) if one.apiary == apiary and _is_near(one, on)]
    if not near:
        return None
    opens, closes = free_days(near[0].since, near[-1].since)
    if (mine["treatment"].isin(OXALIC) & (mine["date"] >= pd.Timestamp(min(opens, closes)))).any():
        return None
    kinds = {SPLIT: "split off", SWARM: "that swarmed"}
    which = " and ".join(
        f"{kinds[kind]} ({', '.join(one.named for one in near if one.kind == kind)})"
        for kind in kinds
        if any(one.kind == kind for one in near)
    )
    reason = "they raise a queen and have no capped brood; look first, no supers, if your label allows it"
    return Due(5.5, f"one oxalic round in hives {which}", min(opens, closes), closes, reason)


def _is_near(one: Raising, on: date) -> bool:
    opens, closes = free_days(one.since, one.since)
    return opens - WEEK <= on <= closes


def _main(records: Records, apiary: str, mine: pd.DataFrame, on: date) -> Due | None:
    year = records.season.start.year
    if not date(year, 7, 1) <= on <= date(year, 10, 31) or not main_treatment(records, mine).empty:
        return None
    crops = records.tables["crops"]
    off = crops.loc[(crops["apiary"] == apiary) & (crops["supers_off"].dt.year == year), "supers_off"].max()
    start = records.settings.last_supers_off if pd.isna(off) else off.date()
    late = (on - records.settings.treat_by).days
    reason = f"{late} days past the day to treat by" if late > 0 else f"to be begun by {records.settings.treat_by}"
    return Due(3, "main treatment", start, max(records.settings.treat_by, start), reason, treats=True)


def _winter_round(mine: pd.DataFrame, on: date) -> Due | None:
    first = date(on.year if on.month > 6 else on.year - 1, 11, 15)
    if not first <= on <= date(first.year + 1, 1, 15):
        return None
    if (mine["treatment"].isin(OXALIC) & (mine["date"] >= pd.Timestamp(first))).any():
        return None
    end = date(first.year + 1, 1, 10)
    return Due(
        4,
        "round without brood",
        date(first.year, 12, 1),
        end,
        "look for fresh capping crumbs before driving",
        treats=True,
    )


def _first_look(heads: Heads, on: date) -> Due | None:
    if not 2 <= on.month <= 4 or heads.missing not in ("spring", "both"):
        return None
    return Due(
        5, "first look: heads, dead hives and why", date(on.year, 2, 1), date(on.year, 4, 15), "no spring heads yet"
    )


def _tray(records: Records, apiary: str, on: date) -> Due | None:
    if on.month in (11, 12, 1, 2):
        return None
    counts = records.tables["counts"]
    last = counts.loc[counts["apiary"] == apiary, "date"].max()
    if not pd.isna(last) and (pd.Timestamp(on) - last).days < 30:
        return None
    since = "no count in these records" if pd.isna(last) else f"last count {last:%Y-%m-%d}"
    return Due(
        6, "trays under three hives", on, on + 2 * WEEK, f"{since}; three trays are the cheapest number of the year"
    )


def _row(known: Known, here: Reading, due: Due) -> dict[str, Any]:
    wait = _wait_cost(known, here) if due.treats else Band(*[float("nan")] * 3)
    load = here.mean(here.mites[:, :, here.last], here.last)
    bands = {f"load_{p}": v for p, v in zip(POINTS, _band(load), strict=True)}
    bands |= {f"wait_cost_{p}": v for p, v in zip(POINTS, wait, strict=True)}
    key = {"apiary": here.apiary, "due": due.due, "from": due.start, "to": due.end, "reason": due.reason}
    return key | bands | {"next_count": next_count(known.records, known.rounds, here.apiary)}


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
        clear = max(on, mine["date"].max().date() + timedelta(days=int(reading.DEAD_TAIL_DAYS.value)))
    wash = ", or a wash of 300 bees" if clear.month in WASH_MONTHS else ""
    return f"trays under three hives for a week from {clear}{wash}"
