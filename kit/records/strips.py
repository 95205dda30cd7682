"""Strips in and strips out: which placing a line of the log ends."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd

from kit.records.cell_lists import Deed, deeds_of
from kit.records.problems import Problem
from kit.records.typed import each, shown
from kit.records.words import COULD_NOT, PLACED, STRIPS, STRIPS_IN, STRIPS_OUT, TAKEN_OUT


def words_ended(deeds: Iterable[Deed]) -> frozenset[str]:
    """The treatments that a line names beside `strips out` without `strips in`: it ends those and begins none."""
    words = {deed.word for deed in deeds}
    return frozenset(words & set(TAKEN_OUT)) if STRIPS_OUT in words and STRIPS_IN not in words else frozenset()


def settle_strips(log: pd.DataFrame, treatments: pd.DataFrame, problems: list[Problem]) -> pd.DataFrame:
    """Write into `removed` what `strips out` lines say; a line that matches no placing, or several, is reported."""
    settled = treatments.copy()
    for row in each(log[log["did"].str.contains("strips", regex=False)]):
        words = {deed.word for deed in deeds_of(row.did)}
        if COULD_NOT in words or not words & {STRIPS_IN, STRIPS_OUT}:
            continue
        if STRIPS_OUT in words:
            for named in _each_named(words):
                _take_out(row, named, settled, problems)
        if STRIPS_IN in words and not words & set(PLACED) and _in_place(row, settled).empty:
            problems.append(_unmatched(row, STRIPS_IN, "no treatment is named in the line and none is in place there"))
    return settled


def _each_named(words: set[str]) -> list[tuple[str, ...]]:
    """Each treatment that the line names by itself; any of those in place when it names none."""
    return [(word,) for word in sorted(words & set(TAKEN_OUT))] or [PLACED]


def _take_out(row: Any, named: tuple[str, ...], treatments: pd.DataFrame, problems: list[Problem]) -> None:
    begun = _begun_before(row, treatments, named)
    placings = begun[begun["removed"].isna()]
    strips = placings[placings["treatment"].isin(STRIPS)]
    placings = placings if strips.empty else strips
    if len(placings[["date", "treatment"]].drop_duplicates()) == 1:
        treatments.loc[placings.index, "removed"] = row.date
    elif not (begun["removed"] == row.date).any():
        what = f"{named[0]}; {STRIPS_OUT}" if len(named) == 1 else STRIPS_OUT
        problems.append(_unmatched(row, what, _why_none(placings, begun)))


def _why_none(placings: pd.DataFrame, begun: pd.DataFrame) -> str:
    if len(placings):
        return "more than one placing is open there"
    if begun.empty:
        return "nothing is in place there"
    last = begun.sort_values("removed").iloc[-1]
    return f"{last['from_file']} row {last['from_row']} has them out on {shown(last['removed'])}, which is used"


def _begun_before(row: Any, treatments: pd.DataFrame, words: tuple[str, ...]) -> pd.DataFrame:
    there = (treatments["date"] < row.date) & (treatments["apiary"] == row.apiary)
    begun: pd.DataFrame = treatments[there & treatments["treatment"].isin(words)]
    return begun


def _in_place(row: Any, treatments: pd.DataFrame) -> pd.DataFrame:
    there = (treatments["date"] <= row.date) & (treatments["apiary"] == row.apiary)
    still = treatments["removed"].isna() | (treatments["removed"] >= row.date)
    placings: pd.DataFrame = treatments[there & still & treatments["treatment"].isin(PLACED)]
    return placings


def _unmatched(row: Any, deed: str, wrong: str) -> Problem:
    remedy = "write the treatment in the same line, such as amitraz strips; strips out"
    return Problem(row.from_file, row.from_row, "did", row.did, f"{deed}: {wrong}; that part is set aside", remedy)
