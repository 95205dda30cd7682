"""Strips in and strips out: which placing a line of the log ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import pandas as pd

from kit.records.cell_lists import Deed, words_of
from kit.records.problems import Problem
from kit.records.typed import each, shown
from kit.records.words import COULD_NOT, PLACED, STRIPS, STRIPS_IN, STRIPS_OUT, TAKEN_OUT


@dataclass(slots=True)
class _Placing:
    """One row of treatments that stays in place until it is taken out, at `index` of the table."""

    index: int
    treatment: str
    date: pd.Timestamp
    removed: pd.Timestamp | None
    place: str


def words_ended(deeds: Iterable[Deed]) -> frozenset[str]:
    """The treatments that a line names beside `strips out` without `strips in`: it ends those and begins none."""
    words = {deed.word for deed in deeds}
    return frozenset(words & set(TAKEN_OUT)) if STRIPS_OUT in words and STRIPS_IN not in words else frozenset()


def settle_strips(log: pd.DataFrame, treatments: pd.DataFrame, problems: list[Problem]) -> pd.DataFrame:
    """Write into `removed` what `strips out` lines say; a line that matches no placing, or several, is reported."""
    named = [did for did in log["did"].unique() if words_of(did) & {STRIPS_IN, STRIPS_OUT}]
    lines = log.loc[log["did"].isin(named), ["date", "apiary", "did", "from_file", "from_row"]]
    if lines.empty:
        return treatments
    placings = _placings(treatments)
    for row in each(lines):
        _settle(row, placings.get(row.apiary, []), problems)
    ended = {one.index: one.removed for there in placings.values() for one in there if one.removed is not None}
    removed = treatments["removed"].copy()
    removed.loc[list(ended)] = pd.Series(ended, dtype=removed.dtype)
    return treatments.assign(removed=removed)


def _placings(treatments: pd.DataFrame) -> dict[str, list[_Placing]]:
    """By apiary, in the order of the table."""
    placed = treatments[treatments["treatment"].isin(PLACED)]
    found: dict[str, list[_Placing]] = {}
    columns = ["apiary", "treatment", "date", "removed", "from_file", "from_row"]
    for index, apiary, treatment, day, removed, file, row in placed[columns].astype(object).itertuples(name=None):
        out = None if pd.isna(removed) else removed
        found.setdefault(apiary, []).append(_Placing(index, treatment, day, out, f"{file} row {row}"))
    return found


def _settle(row: Any, there: Sequence[_Placing], problems: list[Problem]) -> None:
    words = words_of(row.did)
    if COULD_NOT in words:
        return
    if STRIPS_OUT in words:
        for named in _each_named(words):
            _take_out(row, named, there, problems)
    if STRIPS_IN in words and words.isdisjoint(PLACED) and not any(_in_place(one, row.date) for one in there):
        problems.append(_unmatched(row, STRIPS_IN, "no treatment is named in the line and none is in place there"))


@cache
def _each_named(words: frozenset[str]) -> list[tuple[str, ...]]:
    """Each treatment that the line names by itself; any of those in place when it names none."""
    return [(word,) for word in sorted(words & set(TAKEN_OUT))] or [PLACED]


def _take_out(row: Any, named: tuple[str, ...], there: Sequence[_Placing], problems: list[Problem]) -> None:
    begun = [one for one in there if one.date < row.date and one.treatment in named]
    still = [one for one in begun if one.removed is None]
    still = [one for one in still if one.treatment in STRIPS] or still
    if len({(one.date, one.treatment) for one in still}) == 1:
        for one in still:
            one.removed = row.date
    elif not any(one.removed == row.date for one in begun):
        what = f"{named[0]}; {STRIPS_OUT}" if len(named) == 1 else STRIPS_OUT
        problems.append(_unmatched(row, what, _why_none(still, begun)))


def _why_none(still: Sequence[_Placing], begun: Sequence[_Placing]) -> str:
    if still:
        return "more than one placing is open there"
    if not begun:
        return "nothing is in place there"
    day, place = max((shown(one.removed), one.place) for one in begun)
    return f"{place} has them out on {day}, which is used"


def _in_place(one: _Placing, day: pd.Timestamp) -> bool:
    return one.date <= day and (one.removed is None or one.removed >= day)


def _unmatched(row: Any, deed: str, wrong: str) -> Problem:
    remedy = "write the treatment in the same line, such as amitraz strips; strips out"
    return Problem(row.from_file, int(row.from_row), "did", row.did, f"{deed}: {wrong}; that part is set aside", remedy)
