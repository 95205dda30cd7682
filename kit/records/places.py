"""Which apiary, and which colony, a row means."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from kit.records.cell_lists import read_colonies
from kit.records.cells import suggestion
from kit.records.problems import Problem
from kit.records.texts import holds, text_array
from kit.records.typed import Typed
from kit.records.words import ALL


def spelled(text: str) -> str:
    """An id or a name without case, spaces, hyphens and underscores."""
    return re.sub(r"[\s\-_]+", "", text.casefold())


class Places:
    """The apiaries by their ids, and by their names where those are not doubtful.

    Parameters
    ----------
    ids, names : iterable of str
        Of the `apiaries` sheet, row by row.
    """

    def __init__(self, ids: Iterable[str], names: Iterable[str]) -> None:
        listed = list(zip(ids, names, strict=True))
        self.ids = tuple(dict.fromkeys(identity for identity, _ in listed))
        loose: dict[str, set[str]] = {}
        for identity, name in listed:
            for key in {spelled(identity), spelled(name)} - {""}:
                loose.setdefault(key, set()).add(identity)
        self._exact = set(self.ids)
        self._loose = {key: min(found) for key, found in loose.items() if len(found) == 1}
        self._shown = tuple(dict.fromkeys([*self.ids, *(name for _, name in listed if name)]))

    def meant(self, text: str) -> str:
        """The id a text means, "" when none: an exact id wins over a case or a name."""
        return text if text in self._exact else self._loose.get(spelled(text), "")

    def nearest(self, text: str, otherwise: str = "") -> str:
        """What to write instead."""
        return suggestion(text, self._shown, otherwise)


def resolve_apiaries(sheet: Typed, places: Places, problems: list[Problem]) -> None:
    """Put the id of the `apiaries` sheet in place of what was written; rows that mean no known apiary are set aside."""
    written = sheet.frame["apiary"]
    meant = {text: places.meant(text) for text in written.unique() if text}
    for text, identity in meant.items():
        if not identity:
            wrong = ("apiary", f"no apiary {text!r} in the apiaries sheet", places.nearest(text))
            sheet.set_aside((written == text).to_numpy(), wrong, problems)
    put_in_place(sheet.frame, "apiary", meant)


def put_in_place(frame: pd.DataFrame, column: str, meant: Mapping[str, str]) -> None:
    """Put the id that is meant in place of every text of a column that is written otherwise."""
    others = {text: identity for text, identity in meant.items() if identity and identity != text}
    if others:
        frame[column] = frame[column].replace(others).astype("str")


def fill_from_colonies(sheet: Typed, stays: pd.DataFrame) -> None:
    """Fill in an empty apiary from where the colony stood on that date, where that is one place."""
    if stays.empty:
        return
    frame = sheet.frame
    empty = holds(frame["apiary"], "") & ~holds(frame["colony"], "")
    if not empty.any():
        return
    rows = frame.loc[empty, ["colony", "date"]].assign(at=np.flatnonzero(empty))
    met = rows.merge(stays[["colony", "apiary", "from", "to"]], on="colony")
    stood = (met["from"].isna() | (met["from"] <= met["date"])) & (met["to"].isna() | (met["date"] < met["to"]))
    found = met[stood].drop_duplicates(["at", "apiary"])
    one = found[~found["at"].duplicated(keep=False)]
    frame.loc[one["at"].to_numpy(), "apiary"] = one["apiary"].to_numpy()


def require_apiary(sheet: Typed, problems: list[Problem]) -> None:
    """Set aside rows that name no apiary."""
    wrong = ("apiary", "no apiary is named and none follows from the colony", "write the apiary")
    sheet.set_aside(holds(sheet.frame["apiary"], ""), wrong, problems)


@lru_cache(maxsize=8)
def _by_id(ids: tuple[str, ...]) -> Places:
    """Things that have an id and no name."""
    return Places(ids, [""] * len(ids))


def resolve_colonies(sheet: Typed, stays: pd.DataFrame, problems: list[Problem]) -> None:
    """Put the id of the `colonies` sheet in place of another spelling of it; report colonies it does not list."""
    if stays.empty:
        return
    places = _by_id(tuple(dict.fromkeys(stays["colony"])))
    written = sheet.frame["colony"]
    meant = {text: places.meant(text) for text in written.unique() if text}
    put_in_place(sheet.frame, "colony", meant)
    unknown = {text for text, identity in meant.items() if not identity}
    if not unknown:
        return
    numbered = sheet.frame["apiary"].isin(stays["apiary"]) & written.isin(unknown)
    for text, rows in written[numbered].groupby(written[numbered]).groups.items():
        there = np.zeros(len(written), dtype=bool)
        there[rows] = True
        wrong = ("colony", "not among the colonies: used as written", places.nearest(str(text), "add it to colonies"))
        sheet.report(there & ~sheet.aside, wrong, problems)


def resolve_colony_lists(sheet: Typed, stays: pd.DataFrame, problems: list[Problem]) -> None:
    """Put resolved lists (`A1;A3;A4`, or `all`) in place of what was written; report ids the apiary does not have."""
    known: dict[str, dict[str, None]] = {}
    for apiary, colony in zip(stays["apiary"], stays["colony"], strict=True):
        known.setdefault(apiary, {})[colony] = None
    frame = sheet.frame
    lists = frame.groupby(["apiary", "colonies"], sort=False).ngroup().to_numpy()
    resolved: list[str] = []
    _, first = np.unique(lists, return_index=True)
    different = frame[["apiary", "colonies"]].iloc[first]
    for n, (apiary, text) in enumerate(zip(different["apiary"], different["colonies"], strict=True)):
        here = tuple(known.get(apiary, ()))
        listed = read_colonies(text, here)
        resolved.append(listed.text)
        if listed.unknown and (here or listed.text == ALL):
            used = "read as all of them" if listed.text == ALL else "used as written"
            wrong = f"not among the colonies of {apiary}: {', '.join(listed.unknown)}; {used}"
            remedy = suggestion(listed.unknown[0], here, "add it to colonies")
            sheet.report((lists == n) & ~sheet.aside, ("colonies", wrong, remedy), problems)
    frame["colonies"] = text_array(resolved).take(lists)


def check_pointers(sheets: Mapping[str, Typed], problems: list[Problem]) -> None:
    """Report products and items that the sheets they point to do not list; nothing is set aside for it."""
    keys = {"labels": "product", "gear": "item"}
    for sheet in sheets.values():
        for column in sheet.table.columns:
            target = sheets.get(column.names) if column.names in keys else None
            if target is not None and len(target.frame):
                _point(sheet, column.name, (column.names, target.frame[keys[column.names]]), problems)


def a_row(count: int) -> str:
    """A number of rows in words."""
    return "1 row" if count == 1 else f"{count} rows"


def _point(sheet: Typed, column: str, target: tuple[str, pd.Series[Any]], problems: list[Problem]) -> None:
    table, listed = target
    places = _by_id(tuple(dict.fromkeys(str(text) for text in listed)))
    written = sheet.frame[column]
    meant = {text: places.meant(text) for text in written.unique() if text}
    put_in_place(sheet.frame, column, meant)
    for text in (text for text, identity in meant.items() if not identity):
        rows = (written == text).to_numpy() & ~sheet.aside
        first = rows & (np.cumsum(rows) == 1)
        wrong = (
            column,
            f"not listed in {table}: used as written, {a_row(rows.sum())}",
            places.nearest(text, f"add it to {table}"),
        )
        sheet.report(first, wrong, problems)
