"""Rows that speak against each other: each is reported with its place, and nothing is thrown away for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.cross_notes import contradictions
from kit.records.cross_treated import treated_wrongly
from kit.records.problems import Problem
from kit.records.records import COUNT_HOLDS_DAYS, Records
from kit.records.refine import same_numbers
from kit.records.seals import seals_left
from kit.records.tables import ORIGIN
from kit.records.texts import holds
from kit.records.typed import problems_of, shown

ENDS = (("colonies", "from", "to"), ("crops", "supers_on", "supers_off"), ("treatments", "date", "removed"))
USES = (("treatments", "sublimator"), ("visits", "supply"))


def cross_check(records: Records) -> list[Problem]:
    """Everything in the records that does not fit together."""
    return [problem for check in _CHECKS for problem in check(records)]


def _ends_before_it_begins(records: Records) -> Iterator[Problem]:
    for name, begin, end in ENDS:
        table = records.written(name, begin, end)
        rows = table[table[end] < table[begin]]
        wrong = (f"before {begin}, {shown(day)}: both are used as written" for day in rows[begin])
        yield from problems_of(rows, end, wrong, "correct one of the two")


def _counted_elsewhere(records: Records) -> Iterator[Problem]:
    """Counts and inspections of a listed colony on a day on which it did not stand at that apiary."""
    stays = records.tables["colonies"]
    for name in ("counts", "inspections") if len(stays) else ():
        rows = records.tables[name]
        colony, listed = same_numbers(rows["colony"], stays["colony"])
        apiary, stood = same_numbers(rows["apiary"], stays["apiary"])
        both = len(rows) + len(stays)
        there = _stood(colony * both + apiary, rows["date"], listed * both + stood, stays)
        wrong = "did not stand at this apiary on that day: used as written"
        yield from problems_of(
            rows[pd.Index(colony).isin(listed) & ~there], "colony", wrong, "check the date or colonies"
        )


def _stood(
    place: NDArray[np.int64], day: pd.Series[pd.Timestamp], placed: NDArray[np.int64], stays: pd.DataFrame
) -> NDArray[np.bool_]:
    """Whether a colony stood at its place on a day: first, second, … stay of every place at once."""
    order = np.argsort(placed, kind="stable")
    begins, ends, days = (column.to_numpy() for column in (stays["from"], stays["to"], day))
    at = np.searchsorted(placed[order], place)
    there = np.zeros(len(place), dtype=bool)
    while True:
        stay = order[at.clip(max=len(order) - 1)]
        same = (at < len(order)) & (placed[stay] == place)
        if not same.any():
            return there
        there |= same & ~(begins[stay] > days) & ~(ends[stay] < days)
        at += 1


def _used_before_bought(records: Records) -> Iterator[Problem]:
    gear = records.tables["gear"].dropna(subset=["bought"])
    if gear.empty:
        return
    bought = dict(zip(gear["item"], gear["bought"], strict=True))
    for name, column in USES:
        table = records.written(name, "date", column)
        since = table[column].map(bought).astype(table["date"].dtype)
        early = table["date"] < since
        wrong = (f"used before it was bought on {shown(day)}" for day in since[early])
        yield from problems_of(table[early], column, wrong, "check either date")


def _item_twice(records: Records) -> Iterator[Problem]:
    gear = records.written("gear", "item")
    again = gear[gear["item"].str.casefold().duplicated() & (gear["item"] != "")]
    yield from problems_of(again, "item", "an item of this id is listed above: both are used", "give each its own id")


def _heads_that_do_not_add_up(records: Records) -> Iterator[Problem]:
    """A head count that deaths, splits and moves written down since the last one do not explain.

    Without any events more hives after a summer are splits nobody wrote down; fewer hives after a winter without any
    deaths written are the losses themselves. Neither contradicts anything.
    """
    told = records.heads[["date", "apiary", "standing", "dead", "from_file", "from_row"]]
    counted = _since_last_count(told[told["standing"].notna() | told["dead"].notna()])
    counted = counted[counted["date"] - counted["before"] <= pd.Timedelta(days=COUNT_HOLDS_DAYS)]
    change = records.came_and_went(counted["apiary"], counted["before"], counted["date"]) - counted["lost"]
    expected = counted["stood"] + change
    fewer = counted["standing"] < expected
    winter_losses = fewer & (counted["lost"] == 0) & (counted["before"].dt.year < counted["date"].dt.year)
    gains_told = len(records.tables["events"]) > 0
    wrong = ((counted["standing"] > expected) & gains_told) | (fewer & ~winter_losses)
    yield from _unexplained(counted[wrong], expected[wrong])


def _since_last_count(told: pd.DataFrame) -> pd.DataFrame:
    """The head counts, each with the one `before` it, how many `stood` then and how many were `lost` since."""
    dead = told["dead"].fillna(0.0).groupby(told["apiary"]).cumsum()
    counts = told.assign(lost=dead)[told["standing"].notna()]
    earlier = counts.groupby("apiary")[["date", "standing", "lost"]].shift()
    return counts.assign(before=earlier["date"], stood=earlier["standing"], lost=counts["lost"] - earlier["lost"])


def _unexplained(counted: pd.DataFrame, expected: pd.Series[float]) -> Iterator[Problem]:
    parts = zip(counted["stood"], counted["before"], expected, strict=True)
    wrong = (
        f"{shown(stood)} on {shown(day)} with what was written down since makes {shown(total)}: the count is used"
        for stood, day, total in parts
    )
    remedy = "write deaths under dead; splits, swarms and moves in events"
    yield from problems_of(counted, "standing", wrong, remedy)


def _same_line_twice(records: Records) -> Iterator[Problem]:
    for name, table in records.tables.items():
        own = np.flatnonzero(holds(table["from_table"], name))
        if len(own) > 1:
            wrong, remedy = "the same line stands above: both are used", "delete one if it happened once"
            yield from problems_of(table.iloc[_again(table, own)], "", wrong, remedy)


def _again(table: pd.DataFrame, rows: NDArray[np.intp]) -> NDArray[np.intp]:
    """Those of the rows that say in every column what one above them says.

    Only rows alike in all numbers and dates, by a hash of 64 bits, are compared by their texts, and text by text fewer
    are left.
    """
    said = {name: dtype for name, dtype in table.dtypes.items() if name not in ORIGIN}
    texts = [name for name, dtype in said.items() if pd.api.types.is_string_dtype(dtype)]
    hashed = np.zeros(len(rows), dtype=np.uint64)
    for name in said:
        if name not in texts:
            hashed = hashed * _ODD + pd.util.hash_array(table[name].to_numpy()[rows])
    group, left = _shared(hashed, rows)
    for name in texts:
        if len(left):
            codes, different = pd.factorize(table[name].array[left])
            group, left = _shared(group * len(different) + codes, left)
    return left[pd.Series(group).duplicated().to_numpy()]


_ODD = np.uint64(0x9E3779B97F4A7C15)
"""An odd number of 64 bits, so that hashes in another order give another sum (2⁶⁴ over the golden mean)."""


def _shared(group: NDArray[Any], rows: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The rows that share their group with another one: the groups numbered anew, and the rows."""
    codes, _ = pd.factorize(group)
    several = np.bincount(codes, minlength=1)[codes] > 1
    return codes[several], rows[several]


_CHECKS: tuple[Callable[[Records], Iterator[Problem]], ...] = (
    _ends_before_it_begins,
    _counted_elsewhere,
    _used_before_bought,
    _item_twice,
    _heads_that_do_not_add_up,
    _same_line_twice,
    treated_wrongly,
    contradictions,
    seals_left,
)
