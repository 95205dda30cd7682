"""Trays of a log line as boards, and for how many days a board lay when nobody wrote it down."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.records.cell_lists import words_of
from kit.records.problems import Problem
from kit.records.refine import unmatched
from kit.records.tables import TABLES
from kit.records.texts import holds, text_array
from kit.records.typed import each, frame_of, problems_of, same_text
from kit.records.words import COULD_NOT, SUBLIMATION, TRAYS_IN

LONGEST_DAYS = 42
"""A board read later than this after it went in was not left to be read; its days are not guessed."""


class Laid(NamedTuple):
    """For how long a board lay.

    Parameters
    ----------
    days : float
        NaN when nothing says it.
    since : str
        The day it went in, "" when nothing says it.
    """

    days: float
    since: str


DaysInPlace = Callable[[str, pd.Timestamp], Laid]


def days_in_place(log: pd.DataFrame, treatments: pd.DataFrame, apiaries: pd.DataFrame) -> DaysInPlace:
    """How to tell, for an apiary and a day, since when its trays lay.

    Trays go in at `trays in` and at a sublimation, where the floor is not solid. A board read on the day of a
    treatment is read before it, so that only earlier days count.
    """
    put_in = [did for did in log["did"].unique() if TRAYS_IN in words_of(did) and COULD_NOT not in words_of(did)]
    said = log.loc[log["did"].isin(put_in), ["apiary", "date"]]
    solid = set(apiaries.loc[apiaries["floor"] == "solid", "apiary"])
    sealed = treatments[holds(treatments["treatment"], SUBLIMATION) & ~treatments["apiary"].isin(solid)]
    laid = _days_by_apiary(pd.concat([said, sealed[["apiary", "date"]]]))

    def since(apiary: str, day: pd.Timestamp) -> Laid:
        known = laid.get(apiary, np.array([], dtype="datetime64[us]"))
        before = known[known < np.datetime64(day)]
        days = float((np.datetime64(day) - before[-1]) / np.timedelta64(1, "D")) if len(before) else np.nan
        return Laid(days, str(before[-1])[:10]) if days <= LONGEST_DAYS else Laid(np.nan, "")

    return since


def _days_by_apiary(rows: pd.DataFrame) -> dict[str, NDArray[np.datetime64]]:
    """The days that rows name for each apiary, in order."""
    codes, apiaries = pd.factorize(rows["apiary"])
    days = rows["date"].to_numpy()
    order = np.lexsort((days, codes))
    begins = np.searchsorted(codes[order], np.arange(len(apiaries)))
    return dict(zip(apiaries, np.split(days[order], begins)[1:], strict=True))


def boards_of_log(log: pd.DataFrame, days: DaysInPlace, problems: list[Problem]) -> pd.DataFrame:
    """One row of `counts` for each tray of a log line; trays without days are reported and make no row."""
    lines = log[~holds(log["trays"], "")]
    lacking = lines[lines["tray_days"].isna()]
    laid = [days(row.apiary, row.date) for row in each(lacking[["apiary", "date"]])]
    lay = lines["tray_days"].fillna(pd.Series([one.days for one in laid], lacking.index, dtype=float))
    since = pd.Series([f"lay since {one.since}" if one.since else "" for one in laid], lacking.index, dtype="str")
    wrong = "the days these trays lay are not recorded and no trays in or sublimation tells them: not read as a count"
    problems.extend(problems_of(lines[lay.isna()], "trays", wrong, "write the days under tray_days"))
    lines = lines.assign(days=lay, notes=since.reindex(lines.index, fill_value=""))[lay.notna()]
    codes, texts = pd.factorize(lines["trays"])
    trays = [[_said(tray) for tray in text.split("; ")] for text in texts]
    rows = np.repeat(np.arange(len(lines)), [len(trays[code]) for code in codes])
    said = [tray for code in codes for tray in trays[code]]
    same = ("date", "apiary", "days", "notes", "from_file", "from_row")
    columns = {name: lines[name].array.take(rows) for name in same} | {
        "method": same_text("board", len(rows)),
        "mites": np.array([mites for mites, _ in said], dtype=float),
        "level": text_array([level for _, level in said]),
    }
    return frame_of(TABLES["counts"], len(rows), columns | {"from_table": same_text("log", len(rows))})


def _said(tray: str) -> tuple[float, str]:
    """The mites on a tray, NaN where they were not counted, and the word for them where one was written."""
    return (float(tray), "") if tray.isdigit() else (np.nan, tray)


def unmatched_boards(boards: pd.DataFrame, counts: pd.DataFrame) -> pd.DataFrame:
    """The trays of those log lines for which `counts` holds no board of the same day and apiary."""
    return boards[unmatched(boards, counts, ("date", "apiary", "method"))] if len(boards) else boards


def fill_days(counts: pd.DataFrame, days: DaysInPlace) -> None:
    """Fill in the days that boards of the `counts` sheet lay where trays in or a sublimation tells them."""
    missing = counts[counts["days"].isna() & counts["date"].notna()]
    missing = missing[holds(missing["method"], "board")]
    if len(missing):
        counts.loc[missing.index, "days"] = [days(row.apiary, row.date).days for row in each(missing)]
