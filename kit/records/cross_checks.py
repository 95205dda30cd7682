"""Rows that speak against each other: each is reported with its place, and nothing is thrown away for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
import pandas as pd

from kit.records.cross_notes import contradictions
from kit.records.problems import Problem
from kit.records.records import COUNT_HOLDS_DAYS, Records
from kit.records.tables import ORIGIN, TABLES
from kit.records.typed import each, shown
from kit.records.words import ALL

ENDS = (("colonies", "from", "to"), ("crops", "supers_on", "supers_off"), ("treatments", "date", "removed"))
USES = (("treatments", "sublimator"), ("visits", "supply"))


def cross_check(records: Records) -> list[Problem]:
    """Everything in the records that does not fit together."""
    return [problem for check in _CHECKS for problem in check(records)]


def _ends_before_it_begins(records: Records) -> Iterator[Problem]:
    for name, begin, end in ENDS:
        table = _written(records, name)
        for row in table[table[end] < table[begin]].to_dict("records"):
            yield _at(
                row, end, f"before {begin}, {shown(row[begin])}: both are used as written", "correct one of the two"
            )


def _more_done_than_standing(records: Records) -> Iterator[Problem]:
    log = records.tables["log"]
    for row in log[log["done"] > log["standing"]].to_dict("records"):
        yield _at(
            row, "done", f"more hives treated than the {shown(row['standing'])} standing", "correct one of the two"
        )


def _treated_without_hives(records: Records) -> Iterator[Problem]:
    counted = records.heads.dropna(subset=["standing"]).sort_values("date")[["date", "apiary", "standing"]]
    treated = records.tables["treatments"].drop(columns="standing").sort_values("date")
    if counted.empty or treated.empty:
        return
    window = pd.Timedelta(days=COUNT_HOLDS_DAYS)
    met = pd.merge_asof(treated, counted, on="date", by="apiary", tolerance=window)
    for row in met[met["standing"] == 0].to_dict("records"):
        yield _at(
            row, "apiary", "treated although the last head count found no hives there", "check the apiary or the heads"
        )


def _counted_elsewhere(records: Records) -> Iterator[Problem]:
    """Counts and inspections of a colony on a day on which it did not stand at that apiary."""
    stays = records.tables["colonies"][["colony", "apiary", "from", "to"]]
    for name in ("counts", "inspections"):
        rows = records.tables[name].reset_index()
        met = rows.merge(stays, on=["colony", "apiary"])
        there = (met["from"].isna() | (met["from"] <= met["date"])) & (met["to"].isna() | (met["date"] <= met["to"]))
        absent = set(met["index"]) - set(met.loc[there, "index"])
        for row in rows[rows["index"].isin(absent)].to_dict("records"):
            yield _at(
                row, "colony", "did not stand at this apiary on that day: used as written", "check the date or colonies"
            )


def _supers_against_the_label(records: Records) -> Iterator[Problem]:
    labels = records.tables["labels"]
    forbidden = set(labels.loc[labels["supers_allowed"] == "no", "product"])
    treated = _written(records, "treatments")
    for row in treated[treated["product"].isin(forbidden) & (treated["supers_on"] == "yes")].to_dict("records"):
        yield _at(
            row, "supers_on", f"supers were on, which the label of {row['product']} forbids", "read the label again"
        )


def _used_before_bought(records: Records) -> Iterator[Problem]:
    gear = records.tables["gear"].dropna(subset=["bought"])
    bought = dict(zip(gear["item"], gear["bought"], strict=True))
    for name, column in USES:
        table = _written(records, name)
        for row in table[table[column].isin(bought)].to_dict("records"):
            if row["date"] < bought[row[column]]:
                yield _at(
                    row, column, f"used before it was bought on {shown(bought[row[column]])}", "check either date"
                )


def _item_twice(records: Records) -> Iterator[Problem]:
    gear = _written(records, "gear")
    for row in gear[gear["item"].str.casefold().duplicated() & (gear["item"] != "")].to_dict("records"):
        yield _at(row, "item", "an item of this id is listed above: both are used", "give each its own id")


def _heads_that_do_not_add_up(records: Records) -> Iterator[Problem]:
    """A head count that deaths, splits and moves written down since the last one do not explain.

    Without any events more hives after a summer are splits nobody wrote down; fewer hives after a winter without any
    deaths written are the losses themselves. Neither contradicts anything.
    """
    gains_told = len(records.tables["events"]) > 0
    window = pd.Timedelta(days=COUNT_HOLDS_DAYS)
    last: dict[str, tuple[Any, float]] = {}
    told = records.heads[["date", "apiary", "standing", "dead", "from_file", "from_row"]]
    for row in told[told["standing"].notna() | told["dead"].notna()].to_dict("records"):
        apiary = str(row["apiary"])
        before, dead = last.get(apiary, (None, 0.0))
        dead += 0.0 if pd.isna(row["dead"]) else row["dead"]
        if pd.isna(row["standing"]):
            last[apiary] = (before, dead)
            continue
        if before is not None and row["date"] - before["date"] <= window:
            change = records.came_and_went(apiary, before["date"], row["date"])
            fewer = row["standing"] < before["standing"] + change - dead
            winter_losses = fewer and dead == 0 and before["date"].year < row["date"].year
            if (fewer or gains_told) and not winter_losses:
                yield from _unexplained(row, before, change - dead)
        last[apiary] = (row, 0.0)


def _unexplained(row: Any, before: Any, change: float) -> Iterator[Problem]:
    expected = before["standing"] + change
    if row["standing"] == expected:
        return
    then = f"{shown(before['standing'])} on {shown(before['date'])}"
    wrong = f"{then} with what was written down since makes {shown(expected)}: the count is used"
    yield _at(row, "standing", wrong, "write deaths under dead; splits, swarms and moves in events")


def _same_line_twice(records: Records) -> Iterator[Problem]:
    for name in TABLES:
        table = _written(records, name)
        said = [str(column) for column in table if column not in ORIGIN]
        alike = _alike(table, said)
        for row in alike[alike.duplicated(said)].to_dict("records"):
            yield _at(row, "", "the same line stands above: both are used", "delete one if it happened once")


def _alike(table: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    """The rows that agree with another one in every column: column by column fewer are left to be compared."""
    group = np.zeros(len(table), dtype=np.int64)
    left = np.arange(len(table))
    for column in columns:
        if not len(left):
            break
        codes, texts = pd.factorize(table[column].to_numpy()[left], use_na_sentinel=False)
        group, _ = pd.factorize(group * len(texts) + codes)
        several = np.bincount(group)[group] > 1
        group, left = group[several], left[several]
    return table.iloc[left]


def _lists_without_colonies(records: Records) -> Iterator[Problem]:
    """Colonies listed for a treatment that had left the apiary by then."""
    stays = records.tables["colonies"]
    gone = {(row.colony, row.apiary): row.to for row in each(stays.dropna(subset=["to"]))}
    treated = _written(records, "treatments")
    for row in treated[treated["colonies"] != ALL].to_dict("records"):
        late = [one for one in row["colonies"].split(";") if gone.get((one, row["apiary"]), row["date"]) < row["date"]]
        if late:
            yield _at(
                row, "colonies", f"no longer there on that day: {', '.join(late)}; used as written", "check the list"
            )


_CHECKS: tuple[Callable[[Records], Iterator[Problem]], ...] = (
    _ends_before_it_begins,
    _more_done_than_standing,
    _treated_without_hives,
    _counted_elsewhere,
    _supers_against_the_label,
    _used_before_bought,
    _item_twice,
    _heads_that_do_not_add_up,
    _same_line_twice,
    _lists_without_colonies,
    contradictions,
)


def _written(records: Records, name: str) -> pd.DataFrame:
    """The rows of a table that stand in its own sheet."""
    table = records.tables[name]
    return table[table["from_table"] == name]


def _at(row: Any, column: str, wrong: str, remedy: str) -> Problem:
    return Problem(row["from_file"], row["from_row"], column, shown(row.get(column, "")), wrong, remedy)
