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
from kit.records.trays import DaysInPlace, boards_of_log, unmatched_boards
from kit.records.typed import empty_column
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
    boards = boards_of_log(_by_day(tables["log"]), days, problems)
    counts = pd.concat([tables["counts"], unmatched_boards(boards, tables["counts"])], ignore_index=True)
    return _in_order(counts, "counts")


def heads_of(log: pd.DataFrame) -> pd.DataFrame:
    """Head counts and what the field said beside them, one row for each line that says any of it."""
    numbers = log[["standing", "done", "dead", "weak", "light"]].notna().any(axis=1)
    words = (log[["cause", "why_late", "wrong"]] != "").any(axis=1)
    return _by_day(log.loc[numbers | words, list(HEAD_COLUMNS)]).reset_index(drop=True)


def made_rows(table: str, columns: dict[str, Any]) -> pd.DataFrame:
    """Rows of a table made from log lines: the given columns, everything else of the table not recorded."""
    rows = len(columns["date"])
    empty = {column.name: empty_column(column, rows) for column in TABLES[table].columns}
    frame = pd.DataFrame(
        {**empty, **{name: pd.Series(values).reset_index(drop=True) for name, values in columns.items()}}
    )
    return frame.assign(from_table="log").astype({"from_table": "str"})


def _by_day(log: pd.DataFrame) -> pd.DataFrame:
    return log.sort_values("date", kind="stable")


def _visits(log: pd.DataFrame) -> pd.DataFrame:
    people = log["who"].map({who: _people(who) for who in log["who"].unique()})
    same = {name: log[name] for name in ("date", "apiary", "notes", "from_file", "from_row")}
    counted = people.astype(float).where(people > 0).astype(float)
    return made_rows("visits", same | {"people": counted, "colonies_done": log["done"]})


def _people(who: str) -> int:
    """How many people a `who` cell names."""
    return sum(bool(name.strip()) for name in re.split(r"[;,&+]| and ", who))


def _treatments(log: pd.DataFrame) -> pd.DataFrame:
    idle = ~(log["done"] > 0).to_numpy()
    begun = {did: _begun(did) for did in log["did"].unique()}
    pairs = [
        (n, deed)
        for n, (did, nothing_done) in enumerate(zip(log["did"], idle, strict=True))
        if begun[did] and not (nothing_done and COULD_NOT in words_of(did))
        for deed in begun[did]
    ]
    rows = log.iloc[[n for n, _ in pairs]]
    same = {name: rows[name] for name in ("date", "apiary", *STATED, "notes", "from_file", "from_row")}
    rounds = np.array([np.nan if deed.round is None else deed.round for _, deed in pairs], dtype=float)
    words = pd.Series([deed.word for _, deed in pairs], dtype="str")
    everyone = pd.Series([ALL] * len(pairs), dtype="str")
    return made_rows("treatments", same | {"treatment": words, "round": rounds, "colonies": everyone})


def _begun(did: str) -> tuple[Deed, ...]:
    """The treatments that a `did` cell says were done or begun; beside `strips out` alone a placed one ends."""
    deeds = deeds_of(did)
    ended = words_ended(deeds)
    return tuple(deed for deed in deeds if deed.is_treatment and deed.word not in ended)


def _in_order(frame: pd.DataFrame, table: str) -> pd.DataFrame:
    """Rows by day, and the columns in the table's own order with the origin last."""
    first = TABLES[table].names
    others = [name for name in frame.columns if name not in first and name not in ORIGIN]
    return frame.sort_values("date", kind="stable", ignore_index=True)[[*first, *others, *ORIGIN]]
