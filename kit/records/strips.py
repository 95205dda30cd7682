"""Strips in and strips out: which placing a line of the log ends."""

from __future__ import annotations

from typing import Any

import pandas as pd

from kit.records.cell_lists import deeds_of
from kit.records.problems import Problem
from kit.records.typed import each
from kit.records.words import COULD_NOT, PLACED, STRIPS, STRIPS_IN, STRIPS_OUT


def settle_strips(log: pd.DataFrame, treatments: pd.DataFrame, problems: list[Problem]) -> pd.DataFrame:
    """Write into `removed` what `strips out` lines say; a line that matches no placing, or several, is reported."""
    settled = treatments.copy()
    for row in each(log):
        words = {deed.word for deed in deeds_of(row.did)}
        if COULD_NOT in words or not words & {STRIPS_IN, STRIPS_OUT}:
            continue
        if STRIPS_OUT in words:
            _take_out(row, words, settled, problems)
        if STRIPS_IN in words and _open(row, settled, PLACED, strictly=False).empty:
            problems.append(_unmatched(row, STRIPS_IN, "no treatment is named in the line and none is open there"))
    return settled


def _take_out(row: Any, words: set[str], treatments: pd.DataFrame, problems: list[Problem]) -> None:
    named = tuple(sorted(words & set(PLACED)))
    placings = _open(row, treatments, named or PLACED, strictly=True)
    strips = placings[placings["treatment"].isin(STRIPS)]
    placings = placings if strips.empty else strips
    if len(placings[["date", "treatment"]].drop_duplicates()) == 1:
        treatments.loc[placings.index, "removed"] = row.date
        return
    ended = treatments[(treatments["apiary"] == row.apiary) & (treatments["removed"] == row.date)]
    if ended.empty:
        wrong = "nothing is open there" if placings.empty else "more than one placing is open there"
        problems.append(_unmatched(row, STRIPS_OUT, wrong))


def _open(row: Any, treatments: pd.DataFrame, words: tuple[str, ...], *, strictly: bool) -> pd.DataFrame:
    """Placings of these words open at the apiary on the day of the line; strictly: those of the day itself left out."""
    begun = treatments["date"] < row.date if strictly else treatments["date"] <= row.date
    there = begun & (treatments["apiary"] == row.apiary) & treatments["treatment"].isin(words)
    still: pd.DataFrame = treatments[there & treatments["removed"].isna()]
    return still


def _unmatched(row: Any, deed: str, wrong: str) -> Problem:
    return Problem(row.from_file, int(row.from_row), "did", row.did, f"{deed}: {wrong}; that part is set aside",
                   "write the treatment in the same line, such as amitraz strips; strips out")  # fmt: skip
