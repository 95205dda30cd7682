"""The season planned: its dates, its windows for treating, and the day supers come off at each apiary."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import pandas as pd

from kit.constants import Constant, plan

if TYPE_CHECKING:
    from kit.records.records import Records

WINDOWS = ("spring", "main", "autumn", "winter")
RECORDS_END = "the day of the records"
"""Why a window opens no earlier, when that is all that holds it."""


class Ahead(NamedTuple):
    """The season after the one reviewed.

    Parameters
    ----------
    label : int
        Its start year.
    start, end, treat_by, earliest : date
        First and last day, the day the main treatment should have begun by, the first day a visit may fall on.
    """

    label: int
    start: date
    end: date
    treat_by: date
    earliest: date


class Window(NamedTuple):
    """Days on which a treatment may begin, and the day from which it is late."""

    name: str
    opens: date
    due: date
    closes: date
    why: str


class SupersOff(NamedTuple):
    """The day supers come off, and what says so (crops, settings, last season's treatment, default)."""

    day: date
    basis: str


def a_year_on(day: date) -> date:
    """The same day next year; 29 February becomes the 28th.

    Examples
    --------
    >>> a_year_on(date(2024, 2, 29))
    datetime.date(2025, 2, 28)
    """
    try:
        return day.replace(year=day.year + 1)
    except ValueError:
        return day.replace(year=day.year + 1, day=28)


def ahead_of(records: Records) -> Ahead:
    """The season after the one in the records; no visit falls on or before `as_of`."""
    start, end = a_year_on(records.season.start), a_year_on(records.season.end)
    earliest = max(start, records.as_of + timedelta(days=1))
    return Ahead(records.season.label + 1, start, end, a_year_on(records.settings.treat_by), earliest)


def goes_on(records: Records) -> bool:
    """Whether treatments of the season of the records may still be to come on the day of the records."""
    opens = day_in(plan.WINTER_FROM_DAY, records.season.start)
    return records.as_of < min(records.season.end, opens + timedelta(days=int(plan.WINTER_LASTS_DAYS.value)))


def supers_off(records: Records, rounds: pd.DataFrame, ahead: Ahead) -> dict[str, SupersOff]:
    """By apiary, the last day of supers in the season planned: by its crops, those of last season, or settings.

    Where nobody says, supers were off when the main treatment began last season, if that was before the default's day.
    """
    given = "settings" if "last_supers_off" in records.given else "default"
    usual = SupersOff(a_year_on(records.settings.last_supers_off), given)
    treated = {apiary: _when_treated(records, rounds, apiary) for apiary in records.apiaries}
    return {
        apiary: _from_crops(records, ahead, apiary)
        or (min(usual, treated[apiary] or usual) if given == "default" else usual)
        for apiary in records.apiaries
    }


def _when_treated(records: Records, rounds: pd.DataFrame, apiary: str) -> SupersOff | None:
    july = day_in(plan.MAIN_FROM_DAY, records.season.start)
    mine = rounds[
        (rounds["apiary"] == apiary) & (rounds["date"] >= pd.Timestamp(july)) & (rounds["supers_on"] != "yes")
    ]
    return None if mine.empty else SupersOff(a_year_on(mine["date"].min().date()), "last season's treatment")


def _from_crops(records: Records, ahead: Ahead, apiary: str) -> SupersOff | None:
    crops = records.tables["crops"]
    off = crops.loc[crops["apiary"] == apiary, "supers_off"].dropna().dt.date
    coming = [day for day in off if ahead.start <= day <= ahead.end]
    past = [a_year_on(day) for day in off if records.season.start <= day <= records.season.end]
    return SupersOff(max(coming or past), "crops") if coming or past else None


def window_of(start: date, season_start: date, *, first: bool, rounds: int) -> str:
    """Which window a treatment of a past season belongs to; `first` when none came before it since 1 July.

    A series begun late in the year is a late autumn series, not a winter round.
    """
    main_from = day_in(plan.MAIN_FROM_DAY, season_start)
    if start < main_from:
        return "spring"
    if first and start < day_in(plan.MAIN_STOPS_DAY, season_start):
        return "main"
    winter_from = plan.WINTER_FROM_DAY if rounds == 1 else plan.WINTER_DUE_DAY
    return "autumn" if start < day_in(winter_from, season_start) else "winter"


def day_in(day_of_year: Constant, season_start: date) -> date:
    """A day of the year in the season that starts on `season_start`, as dates of a common year count."""
    day = date(2001, 1, 1) + timedelta(days=int(day_of_year.value) - 1)
    in_year = date(season_start.year, day.month, day.day)
    return in_year if in_year >= season_start else date(season_start.year + 1, day.month, day.day)


def window_for(name: str, ahead: Ahead, off: SupersOff, last_start: date | None, supers_allowed: bool) -> Window:
    """The days on which a treatment may begin in the season planned.

    Parameters
    ----------
    name : str
        One of `WINDOWS`.
    ahead : Ahead
        The season planned.
    off : SupersOff
        When supers come off at this apiary.
    last_start : date or None
        First day of the same treatment last season.
    supers_allowed : bool
        The label says it may be used with supers on.
    """
    if name == "main":
        return _main(ahead, off, supers_allowed)
    if name == "winter":
        opens = day_in(plan.WINTER_FROM_DAY, ahead.start)
        closes = opens + timedelta(days=int(plan.WINTER_LASTS_DAYS.value))
        due = day_in(plan.WINTER_DUE_DAY, ahead.start)
        return _after(Window(name, opens, due, closes, "no brood, by odds: check for capping crumbs"), ahead.earliest)
    usual = a_year_on(last_start) if last_start else None
    tails_off = day_in(plan.AUTUMN_FROM_DAY, ahead.start)
    if name == "autumn" and (usual is None or usual >= day_in(plan.MAIN_STOPS_DAY, ahead.start)):
        due, closes = day_in(plan.AUTUMN_DUE_DAY, ahead.start), day_in(plan.AUTUMN_STOPS_DAY, ahead.start)
        return _after(Window(name, tails_off, due, closes, "brood tails off"), ahead.earliest)
    usual = usual or tails_off
    week = timedelta(days=7)
    window = Window(name, usual - week, usual + week, usual + 3 * week, "a week before last season's date")
    return _after(window, max(ahead.earliest, ahead.earliest if supers_allowed or name == "spring" else off.day))


def _main(ahead: Ahead, off: SupersOff, supers_allowed: bool) -> Window:
    opens = day_in(plan.MAIN_FROM_DAY, ahead.start) if supers_allowed else off.day
    closes = max(ahead.treat_by, opens) + timedelta(days=int(plan.MAIN_CLOSES_AFTER_DAYS.value))
    why = "supers allowed by the label" if supers_allowed else "supers off"
    july = day_in(plan.MAIN_FROM_DAY, ahead.start)
    return _after(Window("main", max(opens, july), ahead.treat_by, closes, why), ahead.earliest)


def _after(window: Window, earliest: date) -> Window:
    if window.opens >= earliest:
        return window
    return window._replace(opens=earliest, why=RECORDS_END)


def work_minutes(day: date, work_days: tuple[int, ...], hours: float) -> float:
    """Minutes of work a day holds [min]."""
    return hours * 60 if day.weekday() in work_days else 0.0


def day_of(value: object) -> date | None:
    """A table's date as a plain one, None when not recorded."""
    return None if pd.isna(value) else pd.Timestamp(value).date()  # type: ignore[call-overload,arg-type]
