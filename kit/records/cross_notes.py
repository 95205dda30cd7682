"""Notes of one day and place that contradict each other: both are used, and both are named."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pandas as pd

from kit.records.cell_lists import words_of
from kit.records.problems import Problem
from kit.records.records import Records
from kit.records.typed import shown
from kit.records.words import COULD_NOT

PLACE = ["date", "apiary"]


def contradictions(records: Records) -> Iterator[Problem]:
    """A problem on the later line of each two that cannot both be so."""
    for check in (_heads_of_one_day, _could_not_and_did, _wind_and_calm, _crumbs_without_brood, _queen_and_none):
        yield from check(records)


def _heads_of_one_day(records: Records) -> Iterator[Problem]:
    log = records.tables["log"].dropna(subset=["standing"])
    log = log[log.duplicated(PLACE, keep=False)]
    yield from _clash(log, log, "standing", _later_and(lambda row: row["standing"] != row["standing_other"]))


def _could_not_and_did(records: Records) -> Iterator[Problem]:
    log, given = records.tables["log"], _written(records, "treatments")
    could_not = log["did"].isin([did for did in log["did"].unique() if COULD_NOT in words_of(did)])
    yield from _clash(log[could_not & ~(log["done"] > 0)], given, "did", lambda row: True)


def _wind_and_calm(records: Records) -> Iterator[Problem]:
    log, given = records.tables["log"], _written(records, "treatments")
    yield from _clash(log[log["wrong"] == "wind"], given[given["wind"] == "calm"], "wrong", lambda row: True)


def _crumbs_without_brood(records: Records) -> Iterator[Problem]:
    looked = records.tables["inspections"]
    broodless = looked[(looked["brood_frames"] == 0) & (looked["colony"] == "")]
    log = records.tables["log"]
    yield from _clash(log[log["crumbs"] == "yes"], broodless, "crumbs", lambda row: True)


def _queen_and_none(records: Records) -> Iterator[Problem]:
    looked = records.tables["inspections"]
    looked = looked[(looked["colony"] != "") & (looked["queen"] != "")]
    without = looked[looked["queen"] == "none"]
    there = looked[looked["queen"].isin(["seen", "eggs", "caged"])]
    yield from _clash(without, there, "queen", lambda row: row["colony"] == row["colony_other"])


def _later_and(differs: Callable[[Any], bool]) -> Callable[[Any], bool]:
    """Each pair of lines of one sheet once, and not a line with itself."""
    return lambda row: (
        (row["from_file"], row["from_row"]) > (row["from_file_other"], row["from_row_other"]) and differs(row)
    )


def _clash(left: pd.DataFrame, right: pd.DataFrame, column: str, against: Callable[[Any], bool]) -> Iterator[Problem]:
    """A problem on each line of the left that a line of the right, of the same day and apiary, speaks against."""
    if left.empty or right.empty:
        return
    met = left.merge(right, on=PLACE, suffixes=("", "_other"))
    for row in met.to_dict("records"):
        if against(row):
            other = f"{row['from_file_other']} row {int(row['from_row_other'])}"
            wrong = f"{other} says otherwise for the same day and place: both are used as written"
            place = (str(row["from_file"]), int(row["from_row"]), column, shown(row[column]))
            yield Problem(*place, wrong, "correct the one that is wrong")


def _written(records: Records, name: str) -> pd.DataFrame:
    table = records.tables[name]
    return table[table["from_table"] == name]
