"""Where colonies stood: stays that overlap, and numbers used for two colonies at once."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from kit.records.problems import Problem
from kit.records.typed import Typed


def close_overlaps(sheet: Typed, problems: list[Problem]) -> None:
    """Close a stay that runs into the colony's next one on the day the next begins, and report it.

    A number that stands at two apiaries on the same first day, or in two closed stays that overlap, belongs to
    two colonies: those are told apart by their apiary and reported.
    """
    usable = sheet.frame[~sheet.aside & ~sheet.later]
    several = usable[usable["colony"].duplicated(keep=False)]
    if several.empty:
        return
    for colony, stays in several.groupby("colony", sort=False):
        if _two_colonies(stays):
            _report_doubled(sheet, stays, str(colony), problems)
            for _, own in stays.groupby("apiary", sort=False):
                _close(sheet, own, problems)
        else:
            _close(sheet, stays, problems)


def _two_colonies(stays: pd.DataFrame) -> bool:
    rows = stays.sort_values("from", na_position="first", kind="stable")
    begin, end, place = rows["from"].to_numpy(), rows["to"].to_numpy(), rows["apiary"].to_numpy()
    elsewhere = place[1:] != place[:-1]
    same_start = (begin[1:] == begin[:-1]) | (np.isnat(begin[1:]) & np.isnat(begin[:-1]))
    closed_late = ~np.isnat(end[:-1]) & (end[:-1] > begin[1:])
    return bool((elsewhere & (same_start | closed_late)).any())


def _report_doubled(sheet: Typed, stays: pd.DataFrame, colony: str, problems: list[Problem]) -> None:
    places = ", ".join(dict.fromkeys(stays["apiary"]))
    wrong = ("colony", f"{colony} is used at once at {places}: told apart by apiary", "give each colony its own number")
    rows = np.zeros(len(sheet.frame), dtype=bool)
    rows[stays.index[-1]] = True
    sheet.report(rows, wrong, problems)


def _close(sheet: Typed, stays: pd.DataFrame, problems: list[Problem]) -> None:
    rows = stays.sort_values("from", na_position="first", kind="stable")
    for this, following in zip(rows.index[:-1], rows.index[1:], strict=True):
        end: Any = sheet.frame.loc[this, "to"]
        begin: Any = sheet.frame.loc[following, "from"]
        if pd.isna(begin) or (not pd.isna(end) and end <= begin):
            continue
        row = np.zeros(len(sheet.frame), dtype=bool)
        row[this] = True
        until = begin.strftime("%Y-%m-%d")
        wrong = ("to", f"runs into this colony's next stay: closed on {until}", "write the day it left under `to`")
        sheet.report(row, wrong, problems)
        sheet.frame.loc[this, "to"] = begin
