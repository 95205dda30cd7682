"""A folder of record sheets to `Records`: nothing lost, everything that is wrong said with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from kit.errors import CannotGoOnError
from kit.records.account import account_of
from kit.records.check_rows import check_counts, settle_doses
from kit.records.cross_checks import cross_check
from kit.records.files import Raw, read_folder
from kit.records.log import counts_with_log, heads_of, treatments_with_log, visits_with_log
from kit.records.places import (
    Places,
    check_pointers,
    fill_from_colonies,
    require_apiary,
    resolve_apiaries,
    resolve_colonies,
    resolve_colony_lists,
)
from kit.records.problems import Problem, problems_frame
from kit.records.records import Records
from kit.records.season import Season
from kit.records.settings import Given, label_given, label_of_day, read_settings, season_labelled, settle
from kit.records.stays import close_overlaps
from kit.records.tables import MINIMUM, TABLES
from kit.records.texts import text_array
from kit.records.trays import days_in_place, fill_days
from kit.records.typed import Typed, Ways, empty_sheet, frame_of, origin, spans, type_sheet

READ_AS_EMPTY = (
    ("colonies", "to", ("outcome", "cause")),
    ("treatments", "removed", ()),
    ("crops", "supers_off", ()),
)
"""Ends that lie after the day of reading are not known yet, nor is what is written beside them."""


def load(folder: Path, *, season: int | None = None, as_of: date | None = None, today: date) -> Records:
    """Read the record sheets of one operation.

    Parameters
    ----------
    folder : Path
        A folder of CSV files, a folder with one workbook, or a workbook.
    season : int or None
        Start year; None for the one the settings name, else the latest that the records reach.
    as_of : date or None
        Rows dated later are left out and counted; None for the earlier of `today` and the season's end.
    today : date
        The day of reading.

    Raises
    ------
    CannotGoOnError
        When there is nothing to read, a workbook cannot be opened, one sheet stands in two places, or `as_of` lies
        before the season.
    """
    problems: list[Problem] = []
    raws = read_folder(folder, problems)
    _report_missing(raws, problems)
    sheets, given = _typed_sheets(raws, today, problems)
    chosen = _season(sheets, given, season, as_of or today)
    day = as_of or min(today, chosen.end)
    if day < chosen.start:
        raise CannotGoOnError(f"{day} lies before season {chosen.label}, which begins on {chosen.start}")
    _leave_out_later(sheets, day)
    apiaries = _place(sheets, problems)
    tables, heads = _expand(sheets, problems)
    account = account_of((sheets[name] for name in raws), tables)
    tables["apiaries"] = _with_named(tables["apiaries"], apiaries)
    records = Records(
        settings=settle(given, chosen),
        given=given.names,
        season=chosen,
        as_of=day,
        tables=tables,
        heads=heads,
        problems=problems_frame(()),
        account=account,
        apiaries=apiaries,
    )
    return replace(records, problems=problems_frame([*problems, *cross_check(records)]))


def _report_missing(raws: Mapping[str, Raw], problems: list[Problem]) -> None:
    lost = {"settings": "every setting is at its default", "apiaries": "apiaries are taken from the other sheets",
            "log": "there are no visits and no heads beyond what the other sheets hold"}  # fmt: skip
    for name in MINIMUM:
        if name not in raws:
            remedy = f"add a sheet {name}; `season new` makes a blank one"
            problems.append(Problem(name, 0, "", "", f"there is no sheet {name}: {lost[name]}", remedy))


def _typed_sheets(raws: Mapping[str, Raw], today: date, problems: list[Problem]) -> tuple[dict[str, Typed], Given]:
    given = Given({})
    done, due = spans(today)
    sheets: dict[str, Typed] = {}
    if "settings" in raws:
        sheets["settings"] = type_sheet(raws["settings"], TABLES["settings"], Ways(None, done, due), problems)
        given = read_settings(sheets["settings"], problems)
    ways = Ways(given.order, done, due)
    for name, raw in raws.items():
        if name == "treatments":
            settle_doses(raw, problems)
        if name != "settings":
            sheets[name] = type_sheet(raw, TABLES[name], ways, problems)
    return {name: sheets.get(name) or empty_sheet(table) for name, table in TABLES.items()}, given


def _season(sheets: Mapping[str, Typed], given: Given, season: int | None, until: date) -> Season:
    """The season asked for; else the one the settings name; else the latest with a row up to `until`."""
    if season is not None:
        return season_labelled(given, season)
    named = label_given(given)
    if named is not None and season_labelled(given, named).start <= until:
        return season_labelled(given, named)
    latest = [_latest(sheet, until) for sheet in sheets.values() if sheet.table.dated_by == "date"]
    return season_labelled(given, label_of_day(given, max([day for day in latest if day], default=until)))


def _latest(sheet: Typed, until: date) -> date | None:
    dates = sheet.frame.loc[~sheet.aside, "date"]
    last = dates[dates <= pd.Timestamp(until)].max()
    return None if pd.isna(last) else last.date()


def _leave_out_later(sheets: Mapping[str, Typed], day: date) -> None:
    limit = pd.Timestamp(day)
    for sheet in sheets.values():
        if sheet.table.dated_by:
            sheet.later = (sheet.frame[sheet.table.dated_by] > limit).to_numpy() & ~sheet.aside
    for table, end, beside in READ_AS_EMPTY:
        frame = sheets[table].frame
        unknown = (frame[end] > limit).to_numpy()
        if unknown.any():
            frame.loc[unknown, end] = pd.NaT
            frame.loc[unknown, list(beside)] = ""


def _place(sheets: dict[str, Typed], problems: list[Problem]) -> tuple[str, ...]:
    """Settle which apiary and colony every row means; returns the apiaries in the order of the sheet."""
    again = (sheets["apiaries"].frame["apiary"].duplicated() & ~sheets["apiaries"].aside).to_numpy()
    sheets["apiaries"].set_aside(again, ("apiary", "this apiary is listed above", "give each its own id"), problems)
    listed = sheets["apiaries"].frame[~sheets["apiaries"].aside]
    places = Places(listed["apiary"], listed["name"]) if len(listed) else _named_elsewhere(sheets)
    placed = [s for s in sheets.values() if "apiary" in s.table.names and s.table.name != "apiaries"]
    for sheet in placed:
        resolve_apiaries(sheet, places, problems)
    close_overlaps(sheets["colonies"], problems)
    stays = sheets["colonies"].frame[~sheets["colonies"].aside & ~sheets["colonies"].later]
    for sheet in placed:
        if "colony" in sheet.table.names and sheet.table.name != "colonies":
            resolve_colonies(sheet, stays, problems)
            fill_from_colonies(sheet, stays)
        if sheet.table.column("apiary").required:
            require_apiary(sheet, problems)
    resolve_colony_lists(sheets["treatments"], stays, problems)
    check_pointers(sheets, problems)
    return places.ids


def _named_elsewhere(sheets: Mapping[str, Typed]) -> Places:
    columns = [s.frame.loc[~s.aside, "apiary"] for s in sheets.values() if "apiary" in s.table.names]
    ids = [identity for column in columns for identity in column.unique() if identity]
    return Places(dict.fromkeys(ids), [""] * len(dict.fromkeys(ids)))


def _expand(sheets: Mapping[str, Typed], problems: list[Problem]) -> tuple[dict[str, pd.DataFrame], pd.DataFrame]:
    tables = {name: _used(sheet) for name, sheet in sheets.items()}
    tables["visits"] = visits_with_log(tables, problems)
    tables["treatments"] = treatments_with_log(tables, problems)
    days = days_in_place(tables["log"], tables["treatments"], tables["apiaries"])
    fill_days(sheets["counts"].frame, days)
    check_counts(sheets["counts"], problems)
    tables["counts"] = _used(sheets["counts"])
    tables["counts"] = counts_with_log(tables, days, problems)
    return tables, heads_of(tables["log"])


def _used(sheet: Typed) -> pd.DataFrame:
    used = ~sheet.aside & ~sheet.later
    return sheet.frame.copy(deep=False) if used.all() else sheet.frame[used].reset_index(drop=True)


def _with_named(listed: pd.DataFrame, apiaries: tuple[str, ...]) -> pd.DataFrame:
    """The apiaries sheet, or when it is missing a row for each apiary that the other sheets name."""
    if len(listed) or not apiaries:
        return listed
    nowhere = origin("", np.zeros(len(apiaries), dtype=np.int64), "")
    return frame_of(TABLES["apiaries"], len(apiaries), {"apiary": text_array(apiaries)} | nowhere)
