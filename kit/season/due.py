"""What may be due at an apiary on a day: seals left, strips to take out, hives left over, next rounds, looks.

No wash is proposed in the cold. What is proposed stands under the label; no line of it is an order.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.constants.treatment_words import OXALIC
from kit.records.seals import not_home, seals_said
from kit.records.words import STRIPS
from kit.season.heads import Heads
from kit.season.splits import SPLIT, SWARM, Raising, free_days, raising
from kit.season.timing import main_treatment
from kit.season.units import last_day

if TYPE_CHECKING:
    from kit.records.records import Records

WEEK = timedelta(days=7)
USUAL_ROUNDS = 3
NEXT_AFTER, NEXT_WITHIN = timedelta(days=5), timedelta(days=7)
"""Least and most days between two rounds of a series (common practice, no source)."""
SERIES_ENDS = timedelta(days=16)
"""A series without a round for so long is over."""
SEALED = timedelta(days=3)
"""A seal not brought home is looked for first for so long; then it stays among what is open."""
COLD = (11, 12, 1, 2)
ALONE_FROM = (11, 15)
"""From this day on a first round is the one without brood, after which none follows (common practice, no source)."""

BROODLESS = "round without brood"
SPLIT_ROUND = "one oxalic round in hives"
"""As they are said where they are due."""


class Due(NamedTuple):
    """One thing to do at one apiary; a lower `order` goes first. `treats`: waiting can be priced."""

    order: int
    due: str
    start: date
    end: date
    reason: str
    treats: bool = False


TREATING, TRAYS = 2, 8
"""Order of the first of what treats, and of what is asked for when nothing else is."""


class Apiary(NamedTuple):
    """What is known of one apiary: the records, its name, its rounds, its strips in, its heads; and all rounds."""

    records: Records
    name: str
    rounds: pd.DataFrame
    strips: pd.DataFrame
    heads: Heads
    everywhere: pd.DataFrame

    @property
    def on(self) -> date:
        """The day."""
        return last_day(self.records)


def due_at(here: Apiary) -> list[Due]:
    """Everything that is due there, the most pressing first."""
    found = [
        _seals(here), _strips(here), _left_over(here), _next_round(here), _main(here), _winter_round(here),
        _first_look(here), _without_brood(here), _tray(here),
    ]  # fmt: skip
    return sorted((one for one in found if one is not None), key=lambda one: one.order)


def _seals(here: Apiary) -> Due | None:
    """Seals not brought home in the last days: what may be left sealed may still live."""
    log = here.records.tables["log"]
    short = not_home(log[log["apiary"] == here.name])
    short = short[short["date"] >= pd.Timestamp(here.on - SEALED)]
    if short.empty:
        return None
    day = short["date"].iloc[0].date()
    reason = f"went out on {day} and did not come back; a hive left sealed is a dead hive"
    return Due(0, f"look at once for {seals_said(short['missing'].sum())} not brought home", day, here.on, reason)


def _strips(here: Apiary) -> Due | None:
    late = here.strips[here.strips["out_by"] <= pd.Timestamp(here.on)]
    if late.empty:
        return None
    row = late.sort_values("since").iloc[0]
    harm = "; left in, they breed resistance" if row["treatment"] in STRIPS else ""
    reason = f"in since {row['since']:%Y-%m-%d}{harm}"
    return Due(1, f"take {row['treatment']} out", row["out_by"].date(), here.on, reason)


def _last_oxalic(here: Apiary) -> pd.DataFrame:
    """The rounds of the oxalic series that still goes on; none where it is over."""
    given: pd.DataFrame = here.rounds[here.rounds["treatment"].isin(OXALIC)]
    if given.empty or given["date"].iloc[-1] <= pd.Timestamp(here.on - SERIES_ENDS):
        return given.iloc[:0]
    going: pd.DataFrame = given[given["treatment_no"] == given["treatment_no"].iloc[-1]]
    return going


def _left_over(here: Apiary) -> Due | None:
    """Hives that the last round did not reach, until the next one is due."""
    series = _last_oxalic(here)
    if series.empty:
        return None
    last = series.iloc[-1]
    same = series[series["date"] > last["date"] - pd.Timedelta(NEXT_AFTER)]
    left = last["standing"] - same["done"].sum(min_count=1)
    end = last["date"].date() + NEXT_AFTER - timedelta(days=1)
    if not left >= 1 or here.on > end:  # NaN where either was not written down
        return None
    hives = "1 hive" if left == 1 else f"{left:.0f} hives"
    why = f"; {last['wrong']}" if last["wrong"] else ""
    reason = f"{last['standing'] - left:.0f} of {last['standing']:.0f} done by {last['date']:%Y-%m-%d}{why}"
    return Due(2, f"{last['treatment']} at the {hives} left over", last["date"].date(), end, reason, treats=True)


def _next_round(here: Apiary) -> Due | None:
    series = _last_oxalic(here)
    if series.empty:
        return None
    last = series.iloc[-1]
    given = max(len(series), int(last["round"]))
    if given >= _usual_rounds(here, str(last["treatment"])) or (given == 1 and _is_alone(last["date"].date())):
        return None
    start = last["date"].date() + NEXT_AFTER
    reason = f"round {given} was on {last['date']:%Y-%m-%d}; rounds 5 to 7 days apart, if your label or vet allows it"
    end = last["date"].date() + NEXT_WITHIN
    return Due(3, f"{last['treatment']} round {given + 1}", start, end, reason, treats=True)


def _is_alone(day: date) -> bool:
    return (day.month, day.day) >= ALONE_FROM or day.month in (1, 2)


def _usual_rounds(here: Apiary, word: str) -> int:
    """The most rounds of a treatment that has ended; one still going on says nothing yet."""
    series = here.everywhere[here.everywhere["treatment"] == word].groupby(["apiary", "treatment_no"])["date"]
    ended = series.size()[series.max() < pd.Timestamp(here.on - SERIES_ENDS)]
    return max(int(ended.max()), 1) if len(ended) else USUAL_ROUNDS


def _without_brood(here: Apiary) -> Due | None:
    """A round in hives that raise a queen while none has capped brood, from a week ahead; none once one was given."""
    near = [one for one in raising(here.records) if one.apiary == here.name and _is_near(one, here.on)]
    if not near:
        return None
    opens, closes = free_days(near[0].since, near[-1].since)
    given = here.rounds["treatment"].isin(OXALIC) & (here.rounds["date"] >= pd.Timestamp(min(opens, closes)))
    if given.any():
        return None
    kinds = {SPLIT: "split off", SWARM: "that swarmed"}
    which = " and ".join(
        f"{kinds[kind]} ({', '.join(one.named for one in near if one.kind == kind)})"
        for kind in kinds
        if any(one.kind == kind for one in near)
    )
    reason = "they raise a queen and have no capped brood; look first, no supers, if your label allows it"
    return Due(7, f"{SPLIT_ROUND} {which}", min(opens, closes), closes, reason)


def _is_near(one: Raising, on: date) -> bool:
    opens, closes = free_days(one.since, one.since)
    return opens - WEEK <= on <= closes


def _main(here: Apiary) -> Due | None:
    records, on = here.records, here.on
    year = records.season.start.year
    if not date(year, 7, 1) <= on < date(year, *ALONE_FROM) or not main_treatment(records, here.rounds).empty:
        return None
    crops = records.tables["crops"]
    off = crops.loc[(crops["apiary"] == here.name) & (crops["supers_off"].dt.year == year), "supers_off"].max()
    start = records.settings.last_supers_off if pd.isna(off) else off.date()
    late = (on - records.settings.treat_by).days
    reason = f"{late} days past the day to treat by" if late > 0 else f"to be begun by {records.settings.treat_by}"
    return Due(4, "main treatment", start, max(records.settings.treat_by, start), reason, treats=True)


def _winter_round(here: Apiary) -> Due | None:
    on = here.on
    first = date(on.year if on.month > 6 else on.year - 1, *ALONE_FROM)
    if not first <= on <= date(first.year + 1, 1, 15):
        return None
    if (here.rounds["treatment"].isin(OXALIC) & (here.rounds["date"] >= pd.Timestamp(first))).any():
        return None
    start, end = date(first.year, 12, 1), date(first.year + 1, 1, 10)
    return Due(5, BROODLESS, start, end, "look for fresh capping crumbs before driving", treats=True)


def _first_look(here: Apiary) -> Due | None:
    on = here.on
    if not 2 <= on.month <= 4 or here.heads.missing not in ("spring", "both"):
        return None
    what = "first look: heads, dead hives and why"
    return Due(6, what, date(on.year, 2, 1), date(on.year, 4, 15), "no spring heads yet")


def _tray(here: Apiary) -> Due | None:
    if here.on.month in COLD:
        return None
    counts = here.records.tables["counts"]
    last: Any = counts.loc[counts["apiary"] == here.name, "date"].max()
    if not pd.isna(last) and (pd.Timestamp(here.on) - last).days < 30:
        return None
    since = "no count in these records" if pd.isna(last) else f"last count {last:%Y-%m-%d}"
    reason = f"{since}; three trays are the cheapest number of the year"
    return Due(TRAYS, "trays under three hives", here.on, here.on + 2 * WEEK, reason)
