"""The settings in force: typed, in the season asked for, defaults filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from kit.records.cells import Reading, read_number, read_text, read_word, suggestion
from kit.records.column import Column
from kit.records.dates import Order, Span, read_dates
from kit.records.problems import Problem
from kit.records.season import MonthDay, Season, first_on_or_after, label_on, month_day, season_of
from kit.records.setting_list import SETTINGS
from kit.records.typed import Typed, each

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Settings:
    """One attribute for each setting; its meaning, unit, default and reason stand in `kit.records.setting_list`.

    Dates lie in the season asked for. `work_days` holds weekdays, Monday 0. `base_latitude` and
    `base_longitude` are None while no base is given. Shares (`_pct`, `wanted_chance`) are in percent.
    """

    keeper: str
    season_start: date
    season_end: date
    currency: str
    labour_per_hour: float
    vehicle_per_hour: float
    colony_value: float
    work_hours_per_day: float
    work_days: tuple[int, ...]
    people: int
    last_supers_off: date
    winter_bees_from: date
    winter_bees_to: date
    treat_by: date
    treat_above_pct: float
    winter_limit_pct: float
    wanted_chance: float
    min_air_c: float
    max_wind: str
    group_size: int
    few_max: int
    climate: str
    date_order: str
    jurisdiction: str
    base_latitude: float | None
    base_longitude: float | None
    plan_may_use: str = ""


class Given(NamedTuple):
    """What the user's settings sheet says, before a season is chosen.

    Parameters
    ----------
    values : mapping
        Typed values by name; a date is a `date`, or a `MonthDay` when it names no year.
    """

    values: Mapping[str, Any]

    @property
    def names(self) -> frozenset[str]:
        """The settings the user gave."""
        return frozenset(self.values)

    @property
    def order(self) -> Order | None:
        """The date order the user stated, None when they did not."""
        order: Order | None = self.values.get("date_order")
        return order


def read_settings(sheet: Typed, problems: list[Problem]) -> Given:
    """Read the rows of a settings sheet.

    An unknown name, a value that cannot be read, and all but the last of several values for one name are
    set aside and reported.
    """
    rows = list(each(sheet.frame[~sheet.aside]))
    order = next((_order(row.value) for row in rows if _name(row.setting) == "date_order"), None)
    values: dict[str, Any] = {}
    used: dict[str, Any] = {}
    for row in rows:
        name = _name(row.setting)
        reading = _read(name, row.value, order)
        if reading.wrong:
            problems.append(_wrong(row, name, reading))
        if reading.value is None:
            sheet.aside[row.Index] = bool(reading.wrong)
            continue
        if name in used:
            sheet.aside[used[name].Index] = True
            problems.append(_twice(used[name], row))
        values[name], used[name] = reading.value, row
    return Given(values)


def _wrong(row: Any, name: str, reading: Reading) -> Problem:
    column = "value" if name in SETTINGS else "setting"
    return Problem(row.from_file, row.from_row, column, getattr(row, column), reading.wrong, reading.remedy)


def _order(text: str) -> Order | None:
    order: Order | None = read_word(text, SETTINGS["date_order"].column).value
    return order


def _name(text: str) -> str:
    return re.sub(r"[\s\-]+", "_", text.strip().casefold())


def _twice(earlier: Any, later: Any) -> Problem:
    wrong = f"given again in row {later.from_row}, which is used; the row is set aside"
    return Problem(earlier.from_file, earlier.from_row, "setting", earlier.setting, wrong, "keep one line")


def _read(name: str, text: str, order: Order | None) -> Reading:
    if name not in SETTINGS:
        return Reading(
            None,
            "not a setting of the kit; the row is set aside",
            suggestion(name, tuple(SETTINGS), "`season check` lists the settings there are"),
        )
    if not text:
        return Reading(None)
    reading = _typed(SETTINGS[name].column, text, order)
    if reading.value is None:
        default = SETTINGS[name].default or "none"
        return reading._replace(wrong=f"{reading.wrong}; the row is set aside and the default is used: {default}")
    return reading


def _typed(column: Column, text: str, order: Order | None) -> Reading:
    if column.name == "work_days":
        return read_work_days(text)
    if column.kind == "date":
        return _date(text, order)
    if column.kind == "word":
        return read_word(text, column)
    if column.kind in {"number", "whole"}:
        reading = read_number(text, column)
        return reading._replace(value=int(reading.value)) if column.kind == "whole" and reading.value else reading
    return read_text(text, column)


def _date(text: str, order: Order | None) -> Reading:
    any_year = month_day(text)
    if any_year is not None:
        return Reading(any_year)
    return read_dates([text], order, Span(date(1990, 1, 1), date(2100, 12, 31)))[0]


def read_work_days(text: str) -> Reading:
    """Days of the week as a tuple of weekdays, Monday 0: single days, spans and lists of them.

    Examples
    --------
    >>> read_work_days("Mon-Wed, Sat").value
    (0, 1, 2, 5)
    """
    found: set[int] = set()
    for part in re.split(r"[,;/]| and ", text.casefold()):
        ends = [WEEK.index(day[:3]) for day in re.split(r"\s*(?:-|–|to)\s*", part.strip()) if day[:3] in WEEK]
        if len(ends) not in {1, 2}:
            return Reading(None, "not days of the week", "write Mon-Sat, or Mon, Wed, Fri")
        first, last = ends[0], ends[-1]
        found.update((first + n) % 7 for n in range((last - first) % 7 + 1))
    return Reading(tuple(sorted(found)))


def label_given(given: Given) -> int | None:
    """The season a `season_start` with a year names; None when the settings name no year."""
    start = given.values.get("season_start")
    return start.year if isinstance(start, date) else None


def season_labelled(given: Given, label: int) -> Season:
    """The season of that label under the user's first and last day."""
    return season_of(label, _month_day(given, "season_start"), _month_day(given, "season_end"))


def label_of_day(given: Given, day: date) -> int:
    """The label of the season a day falls in."""
    return label_on(day, _month_day(given, "season_start"))


def settle(given: Given, season: Season) -> Settings:
    """The settings in force in a season: every date moved into it by whole years."""
    values = {name: _in_force(given, name, season) for name in SETTINGS}
    return Settings(**values | {"season_start": season.start, "season_end": season.end})


def _in_force(given: Given, name: str, season: Season) -> Any:
    if SETTINGS[name].column.kind == "date":
        return first_on_or_after(_month_day(given, name), season.start)
    if name in given.values:
        return given.values[name]
    return _read(name, SETTINGS[name].default, None).value if SETTINGS[name].default else _nothing(name)


def _nothing(name: str) -> str | None:
    return "" if SETTINGS[name].column.kind == "text" else None


def _month_day(given: Given, name: str) -> MonthDay:
    value = given.values.get(name)
    if isinstance(value, date):
        return MonthDay(value.month, value.day)
    found = value or month_day(SETTINGS[name].default)
    assert found is not None, f"the default of {name} is a month and a day"
    return found
