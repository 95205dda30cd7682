"""Notes of one day and place that contradict each other: both are used, and both are named."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pandas as pd

from kit.records.cell_lists import words_of
from kit.records.problems import Problem
from kit.records.records import Records
from kit.records.texts import holds
from kit.records.typed import problems_of
from kit.records.words import COULD_NOT

PLACE = ["date", "apiary"]


def contradictions(records: Records) -> Iterator[Problem]:
    """A problem on the later line of each two that cannot both be so."""
    for check in (_heads_of_one_day, _could_not_and_did, _wind_and_calm, _crumbs_without_brood, _queen_and_none):
        yield from check(records)


def _heads_of_one_day(records: Records) -> Iterator[Problem]:
    log = records.tables["log"][[*PLACE, "standing", "from_file", "from_row"]].dropna(subset=["standing"])
    log = log[log.duplicated(PLACE, keep=False)]
    yield from _clash(log, log, "standing", _another_count)


def _another_count(met: pd.DataFrame) -> pd.Series[bool]:
    """Each pair of lines of one sheet once, and not a line with itself."""
    same_file = met["from_file"] == met["from_file_other"]
    later = (met["from_file"] > met["from_file_other"]) | (same_file & (met["from_row"] > met["from_row_other"]))
    return later & (met["standing"] != met["standing_other"])


def _could_not_and_did(records: Records) -> Iterator[Problem]:
    log = records.tables["log"]
    could_not = log["did"].isin([did for did in log["did"].unique() if COULD_NOT in words_of(did)])
    yield from _clash(log[could_not & ~(log["done"] > 0)], records.written("treatments", *PLACE), "did")


def _wind_and_calm(records: Records) -> Iterator[Problem]:
    log, given = records.tables["log"], records.written("treatments", *PLACE, "wind")
    yield from _clash(log[holds(log["wrong"], "wind")], given[holds(given["wind"], "calm")], "wrong")


def _crumbs_without_brood(records: Records) -> Iterator[Problem]:
    looked = records.tables["inspections"]
    broodless = looked[looked["brood_frames"] == 0]
    log = records.tables["log"]
    yield from _clash(log[holds(log["crumbs"], "yes")], broodless[holds(broodless["colony"], "")], "crumbs")


def _queen_and_none(records: Records) -> Iterator[Problem]:
    looked = records.tables["inspections"]
    without = looked[holds(looked["queen"], "none")]
    without = without[~holds(without["colony"], "")]
    there = looked[looked["queen"].isin(["seen", "eggs", "caged"])]
    yield from _clash(without, there, "queen", _same_colony, ("colony",))


def _same_colony(met: pd.DataFrame) -> pd.Series[bool]:
    return met["colony"] == met["colony_other"]


def _clash(
    left: pd.DataFrame,
    right: pd.DataFrame,
    column: str,
    against: Callable[[pd.DataFrame], pd.Series[bool]] | None = None,
    beside: tuple[str, ...] = (),
) -> Iterator[Problem]:
    """A problem on each line of the left that a line of the right, of the same day and apiary, speaks against.

    `against` says of each pair whether it does, by the column and those `beside` it, which carry `_other` after their
    names where they are the right's; None when every pair does.
    """
    if left.empty or right.empty:
        return
    told = [*PLACE, column, "from_file", "from_row", *beside]
    met = left[told].merge(right[[name for name in told if name in right]], on=PLACE, suffixes=("", "_other"))
    met = met[against(met)] if against else met
    others = zip(met["from_file_other"], met["from_row_other"], strict=True)
    wrong = (
        f"{file} row {row} says otherwise for the same day and place: both are used as written" for file, row in others
    )
    yield from problems_of(met, column, wrong, "correct the one that is wrong")
