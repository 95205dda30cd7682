"""Seals, foams and trays that went out and were not brought home: a hive left sealed is a dead hive."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas as pd

from kit.records.problems import Problem
from kit.records.typed import each, problems_of, shown

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = ["date", "apiary", "out", "missing", "from_file", "from_row"]


def not_home(log: pd.DataFrame) -> pd.DataFrame:
    """The days from which some are not home yet, in order: `date apiary out missing from_file from_row`.

    What a later line of the apiary brings home beyond what it took out is that of the last such day. Where it is not
    written how many came back nothing is known, and nothing is missing.
    """
    days = _days(log)
    days["missing"] = (days["out"].fillna(0.0) - days["back"]).fillna(0.0)
    days = days[days["missing"] != 0].sort_values(["date", "missing"], ascending=[True, False], ignore_index=True)
    still: dict[int, float] = {}
    places: dict[str, list[int]] = defaultdict(list)
    for day in each(days):
        if day.missing > 0:
            still[day.Index] = day.missing
            places[day.apiary].append(day.Index)
        else:
            _bring_home(-day.missing, places[day.apiary], still)
    short = days.loc[list(still)].assign(missing=pd.Series(still, dtype="float64"))
    return short.loc[short["missing"] > 0, COLUMNS].reset_index(drop=True)


def seals_left(records: Records) -> Iterator[Problem]:
    """A problem for each day from which some are not home, and a doubt where it is not written how many came back."""
    short = not_home(records.tables["log"])
    wrong = (
        f"{seals_said(row.missing)} of {row.out:.0f} not brought home from {row.apiary} on {shown(row.date)}: "
        "a hive left sealed is a dead hive"
        for row in each(short)
    )
    remedy = "look at once; once home, write `1 seal in` or so many on a line of that day, or correct the number"
    yield from problems_of(short.assign(seals_in=short["out"] - short["missing"]), "seals_in", wrong, remedy)
    days = _days(records.tables["log"])
    unsaid = days[days["out"].gt(0) & days["back"].isna()]
    doubt = (f"not written how many of {seals_said(row.out)} came back" for row in each(unsaid))
    yield from problems_of(unsaid, "seals_in", doubt, "count them; a hive left sealed is a dead hive")


def _days(log: pd.DataFrame) -> pd.DataFrame:
    """By day and apiary what went `out` and came `back`; lines that tell both apart from those that tell one of them.

    Two lines of one day may share the two numbers between them; a line that tells no way back is not eked out by one
    that tells both ways.
    """
    told = log[log["seals_out"].notna() | log["seals_in"].notna()]
    both = told["seals_out"].notna() & told["seals_in"].notna()
    days = told.assign(both=both).groupby(["date", "apiary", "both"])
    sums = days[["seals_out", "seals_in"]].sum(min_count=1).set_axis(["out", "back"], axis=1)
    return sums.join(days[["from_file", "from_row"]].last()).reset_index()


def _bring_home(home: float, days: list[int], still: dict[int, float]) -> None:
    """Take what came home off the last days that lack any."""
    while home > 0 and days:
        found = min(home, still[days[-1]])
        still[days[-1]] -= found
        home -= found
        if still[days[-1]] == 0:
            days.pop()


def seals_said(number: float) -> str:
    """So many seals, as it is said."""
    return "1 seal" if number == 1 else f"{number:.0f} seals"
