"""What is due, where first, and what is open: ten lines for the terminal, and the same as a page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby
from pathlib import Path
from typing import Any

import pandas as pd

from kit.records.load import load
from kit.records.records import Records
from kit.records.words import SUBLIMATION
from kit.report.export import Link, Sheet, render
from kit.report.tables import show
from kit.report.words.doing import open_points
from kit.report.words.phrases import a_count, a_date, a_range, listed, money, spoken, stop
from kit.report.worklist import made, season_name, standing
from kit.season.due import BROODLESS, SPLIT_ROUND
from kit.season.findings import Findings
from kit.season.forecast import AHEAD, fit_days

MOST_DUE = 6
"""Lines for what is due; with the others they make ten."""
Row = Mapping[Any, Any]


def today_lines(
    records: Records, review: Findings, ahead: Records | None = None, today: date | None = None
) -> list[str]:
    """At most ten lines, the apiary to go to first on top.

    Parameters
    ----------
    records : Records
        Read as of the day.
    review : Findings
        Of those records.
    ahead : Records or None
        The same sheets read as of some days later, for a forecast in `weather`.
    today : date or None
        The day it is asked; said where the season read has ended before it.
    """
    due = _due(review.tables["today"], records)
    more = len(due) - MOST_DUE
    shown = due if more <= 0 else [*due[: MOST_DUE - 1], f"And {more + 1} lines more on the page"]
    said = [_head(records, today), *(shown or ["Nothing is due by these records"])]
    fit = _forecast(ahead, records.as_of) if _vapour_due(review.tables["today"]) else ""
    said += [_strips(review), fit, _missing(review)]
    return [stop(line) for line in said if line]


def with_forecast(folder: Path, records: Records, today: date) -> Records | None:
    """The same sheets with the forecast rows of `weather`; None when they are read as of an earlier day."""
    if records.as_of != today:
        return None
    return load(folder, season=records.season.label, as_of=today + AHEAD, today=today)


def today_page(records: Records, review: Findings, ahead: Records | None, today: str) -> str:
    """The page: the ten lines, then the whole list and what is open."""
    said = today_lines(records, review, ahead)[1:]
    parts = [
        ("due", "What is due, first things first?", show(review, "today")._repr_html_()),
        ("strips", "Where are strips or trays of medicine in?", show(review, "strips_in")._repr_html_()),
        ("open", "What else is open?", show(review, "open_points")._repr_html_()),
    ]
    links = [Link("All apiaries", "index.html")]
    kicker = " · ".join(
        part for part in (f"Season {season_name(records.season.label)}", records.settings.keeper) if part
    )
    sheet = Sheet("Today", kicker, standing(records), "", links, made(records, today))
    return render("today.html.j2", sheet, whole=said, parts=parts)


def _head(records: Records, today: date | None) -> str:
    aside = f"; {a_count(records.set_aside, 'row')} set aside" if records.set_aside else ""
    ended = today is not None and records.season.end < today
    over = "; that season has ended: write a line of the next, and no year in season_start" if ended else ""
    return f"{a_date(records.as_of.isoformat(), year=True)}, season {season_name(records.season.label)}{over}{aside}"


def _due(table: pd.DataFrame, records: Records) -> list[str]:
    """One line for each thing due; neighbours in the list with the same thing and no price of waiting share one."""
    rows = table.to_dict("records")
    return [_line(list(group), records) for _, group in groupby(rows, key=_shared)]


def _shared(row: Row) -> tuple[Any, ...]:
    alone = row["apiary"] if pd.notna(row["wait_cost_p50"]) and row["wait_cost_p50"] > 0 else ""
    return row["due"], row["from"], row["to"], row["also"], alone


def _line(rows: Sequence[Row], records: Records) -> str:
    first = rows[0]
    where = listed([str(row["apiary"]) for row in rows], most=4)
    said = f"{where}: {first['due']}, {_when(first, records.as_of)}"
    also = f"also {listed(str(first['also']).split('; '))}" if first["also"] else ""
    if len(rows) > 1:
        return "; ".join(part for part in (said, also) if part)
    load = a_range(first, "load", unit=" mites a hive", step=1)
    cost = first["wait_cost_p50"]
    wait = f"a week's wait costs about {money(cost, records.settings.currency)}" if pd.notna(cost) and cost > 0 else ""
    return "; ".join(part for part in (said, spoken(str(first["reason"])), also, load, wait) if part)


def _when(row: Row, on: date) -> str:
    start, end = (day.date() for day in (row["from"], row["to"]))
    first, last = a_date(start.isoformat()), a_date(end.isoformat())
    if end < on:
        return f"was due by {last}"
    if start < on:
        return f"due since {first}" if end == on else f"due until {last}"
    return f"on {first}" if start == end else f"between {first} and {last}"


def _strips(review: Findings) -> str:
    placed = review.tables["strips_in"]
    told = [f"{row['apiary']} ({row['treatment']}, out by {_day(row['out_by'])})" for row in placed.to_dict("records")]
    return f"Still in: {listed(told, most=4)}" if told else ""


def _vapour_due(table: pd.DataFrame) -> bool:
    """Whether a round that may be sublimated is due anywhere: at other times no day is offered for it."""
    told = "; ".join([*table["due"].astype("str"), *table["also"].astype("str")])
    return any(word in told for word in (SUBLIMATION, BROODLESS, SPLIT_ROUND))


def _forecast(ahead: Records | None, today: date) -> str:
    fit = fit_days(ahead, today) if ahead is not None else None
    if fit is None:
        return ""
    days = listed([a_date(day.isoformat()) for day in fit], most=5)
    return f"Fit for sublimation by the forecast in weather: {days if fit else 'no day of those in it'}"


def _missing(review: Findings) -> str:
    points = review.tables["open_points"]
    gaps = points[points["kind"] == "record gap"]
    other = points[~points["kind"].isin(["record gap", "strips in"])]["kind"].value_counts(sort=False)
    told = [a_count(len(gaps), "gap") + " in the medicine record"] if len(gaps) else []
    told += [open_points(str(kind), count) for kind, count in other.items()]
    return f"Open: {listed(told)}" if told else ""


def _day(when: pd.Timestamp) -> str:
    return a_date(when.date().isoformat())
