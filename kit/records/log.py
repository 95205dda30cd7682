"""Lines of the log expanded into visits, treatments and head counts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from kit.records.cell_lists import Deed, deeds_of, words_of
from kit.records.problems import Problem
from kit.records.refine import refine
from kit.records.strips import settle_strips, words_ended
from kit.records.tables import ORIGIN, STATED, TABLES
from kit.records.texts import holds, text_array
from kit.records.trays import DaysInPlace, boards_of_log, unmatched_boards
from kit.records.typed import frame_of, same_text
from kit.records.words import ALL, COULD_NOT

HEADS = ("standing", "done", "dead", "cause", "weak", "light", "why_late", "wrong", "notes")
HEAD_COLUMNS = ("date", "apiary", *HEADS, "from_file", "from_row")


def visits_with_log(tables: Mapping[str, pd.DataFrame], problems: list[Problem]) -> pd.DataFrame:
    """The detailed visits, refined by the log, and a visit for every other line of it."""
    made = _visits(_by_day(tables["log"]))
    visits = refine(tables["visits"], made, ("date", "apiary"), ("people", "colonies_done"), problems)
    return _in_order(visits, "visits")


def treatments_with_log(tables: Mapping[str, pd.DataFrame], problems: list[Problem]) -> pd.DataFrame:
    """The detailed treatments, refined by the log, and those that only the log tells of.

    Two columns stand after the documented ones: `standing` and `done`, hives alive and hives treated.
    """
    log = _by_day(tables["log"])
    detail = tables["treatments"].assign(**dict.fromkeys(STATED, np.nan))
    keys, fills = ("date", "apiary", "treatment"), ("round", *STATED)
    treatments = refine(detail, _treatments(log), keys, fills, problems)
    return settle_strips(log, _in_order(treatments, "treatments"), problems)


def counts_with_log(tables: Mapping[str, pd.DataFrame], days: DaysInPlace, problems: list[Problem]) -> pd.DataFrame:
    """The detailed counts, and a board for each tray of a log line that no detailed board refines."""
    boards = unmatched_boards(boards_of_log(_by_day(tables["log"]), days, problems), tables["counts"])
    counts = tables["counts"]
    return _in_order(pd.concat([counts, boards], ignore_index=True) if len(boards) else counts, "counts")


def heads_of(log: pd.DataFrame) -> pd.DataFrame:
    """Head counts and what the field said beside them, one row for each line that says any of it."""
    numbers = log[["standing", "done", "dead", "weak", "light"]].notna().any(axis=1)
    words = ~np.logical_and.reduce([holds(log[name], "") for name in ("cause", "why_late", "wrong")])
    return _by_day(log.loc[numbers | words, list(HEAD_COLUMNS)]).reset_index(drop=True)


def _by_day(log: pd.DataFrame) -> pd.DataFrame:
    return log.sort_values("date", kind="stable")


def _visits(log: pd.DataFrame) -> pd.DataFrame:
    people = log["who"].map({who: _people(who) for who in log["who"].unique()}).to_numpy(dtype=float)
    counted = np.where(people > 0, people, np.nan)
    return _made("visits", log, {"people": counted, "colonies_done": log["done"].to_numpy()})


def _made(table: str, log: pd.DataFrame, columns: Mapping[str, Any]) -> pd.DataFrame:
    """Rows of a table made from lines of the log: when and where, the notes and the given columns."""
    same = {name: log[name].array for name in ("date", "apiary", "notes", "from_file", "from_row")}
    return frame_of(TABLES[table], len(log), same | dict(columns) | {"from_table": same_text("log", len(log))})


def _people(who: str) -> int:
    """How many people a `who` cell names."""
    return sum(bool(name.strip()) for name in re.split(r"[;,&+]| and ", who))


def _treatments(log: pd.DataFrame) -> pd.DataFrame:
    codes, dids = pd.factorize(log["did"])
    begun = [_begun(did) for did in dids]
    could_not = np.array([COULD_NOT in words_of(did) for did in dids], dtype=bool)[codes]
    several = np.array([len(deeds) for deeds in begun], dtype=np.intp)[codes]
    several[could_not & ~(log["done"] > 0).to_numpy()] = 0
    rows = log.iloc[np.repeat(np.arange(len(log)), several)]
    deeds = [deed for n in np.flatnonzero(several) for deed in begun[codes[n]]]
    rounds = np.array([np.nan if deed.round is None else deed.round for deed in deeds], dtype=float)
    columns = {"treatment": text_array([deed.word for deed in deeds]), "round": rounds}
    stated = {name: rows[name].to_numpy() for name in STATED}
    return _made("treatments", rows, columns | {"colonies": same_text(ALL, len(rows))} | stated)


def _begun(did: str) -> tuple[Deed, ...]:
    """The treatments that a `did` cell says were done or begun; beside `strips out` alone a placed one ends."""
    deeds = deeds_of(did)
    ended = words_ended(deeds)
    return tuple(deed for deed in deeds if deed.is_treatment and deed.word not in ended)


def _in_order(frame: pd.DataFrame, table: str) -> pd.DataFrame:
    """Rows by day, and the columns in the table's own order with the origin last."""
    first = TABLES[table].names
    others = [name for name in frame.columns if name not in first and name not in ORIGIN]
    return frame.reindex(columns=[*first, *others, *ORIGIN]).sort_values("date", kind="stable", ignore_index=True)
