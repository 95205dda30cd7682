"""Dates against ISO 8601 as the Python standard library and dateutil read them.

Sources: ISO 8601:2004 calendar and week dates as implemented in `datetime.date` and `date.isocalendar`;
`dateutil.parser` and `dateutil.relativedelta` (python-dateutil) for named forms and for moving by whole years; leap
days by the rule of the Gregorian calendar (2000 leap, 1900 and 2100 not). Day numbers of spreadsheets: Office Open XML
(ECMA-376 part 1, 18.17.4.1, 1900 date base), as `openpyxl.utils.datetime` implements it.
"""

import calendar
from datetime import date, timedelta

import pytest
from dateutil.parser import parse
from dateutil.relativedelta import relativedelta
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl.utils.datetime import to_excel

from kit.records.dates import ORDERS, Order, Span, plain_days, read_dates
from kit.records.season import MonthDay

SPAN = Span(date(1990, 1, 1), date(2099, 12, 31))
DAYS = st.dates(date(2000, 1, 1), date(2099, 12, 31))


def read(text: str, order: Order | None = None) -> date | None:
    value: date | None = read_dates([text], order, SPAN)[0].value
    return value


@given(DAYS)
def test_iso_calendar_and_week_dates_are_read_as_the_standard_library_writes_them(day: date) -> None:
    year, week, weekday = day.isocalendar()
    for text in (day.isoformat(), day.strftime("%Y%m%d"), f"{year}-W{week:02d}-{weekday}", f"{day}T09:30:00"):
        assert read(text) == day


def _by_the_standard_library(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if SPAN.first <= day <= SPAN.last and text == day.isoformat() else None


@given(st.lists(st.one_of(DAYS.map(str), st.text("0123456789-/T :", max_size=12), st.text(max_size=11)), max_size=8))
@example(["2000-02-29", "2025-02-29", "2096-02-29", "2100-02-29", "1989-12-31", "2025-9-03", "2025- 9-03", "", "NaT"])
def test_a_column_of_plain_days_is_read_as_the_standard_library_reads_each(texts: list[str]) -> None:
    assert plain_days(texts, SPAN).tolist() == [_by_the_standard_library(text) for text in texts]


@given(DAYS, st.sampled_from(ORDERS))
def test_figures_are_read_as_dateutil_reads_them_in_the_stated_order(day: date, order: Order) -> None:
    form = "%d/%m/%Y" if order == "day first" else "%m/%d/%Y"
    text = day.strftime(form)
    assert read(text, order) == parse(text, dayfirst=order == "day first").date() == day


@given(DAYS, st.sampled_from(["%d %b %Y", "%d %B %Y", "%B %d, %Y", "%a %d %b %Y", "%d-%b-%Y", "%d.%m.%Y"]))
def test_named_and_dotted_forms_are_read_as_dateutil_reads_them(day: date, form: str) -> None:
    text = day.strftime(form)
    assert read(text) == parse(text, dayfirst=True).date() == day


@given(st.integers(1990, 2099), st.integers(1, 12), st.integers(1, 31))
def test_a_day_is_in_the_calendar_exactly_when_the_standard_library_says_so(year: int, month: int, day: int) -> None:
    there = day <= calendar.monthrange(year, month)[1]
    assert (read(f"{year}-{month:02d}-{day:02d}") is not None) == there
    assert (read(f"{day}/{month}/{year}", "day first") is not None) == there


@pytest.mark.parametrize(("year", "leap"), [(2000, True), (2024, True), (2025, False), (2096, True)])
def test_leap_days_follow_the_gregorian_rule(year: int, leap: bool) -> None:
    assert (read(f"29/02/{year}") is not None) == leap == calendar.isleap(year)


def test_2100_has_no_leap_day() -> None:
    assert read_dates(["29/02/2100"], None, Span(date(2000, 1, 1), date(2200, 1, 1)))[0].value is None


@given(DAYS)
def test_a_spreadsheets_day_number_is_the_day_openpyxl_makes_it(day: date) -> None:
    assert read(str(int(to_excel(day)))) == day


@given(DAYS, st.integers(-8, 8))
def test_a_settings_date_moves_by_whole_years_as_dateutil_moves_it(day: date, years: int) -> None:
    assert MonthDay(day.month, day.day).in_year(day.year + years) == day + relativedelta(years=years)


@given(DAYS, DAYS)
def test_a_column_with_proof_of_both_orders_never_guesses_a_two_way_cell(one: date, other: date) -> None:
    month_first = (one.replace(day=13) + timedelta(days=one.day % 15)).strftime("%m/%d/%Y")
    readings = read_dates([month_first, "31/12/2025", other.strftime("%d/%m/%Y")], None, SPAN)
    assert readings[0].value == parse(month_first).date()
    assert readings[1].value == date(2025, 12, 31)
    two_way = other.day <= 12 and other.day != other.month
    assert readings[2].value == (None if two_way else other)


@pytest.mark.parametrize(
    "text",
    ["", "yesterday", "2025-13-01", "32/01/2025", "3 Foo 2025", "2025", "12/2025", "1/2/3/4", "0/0/2025", "٣/٩/٢٠٢٥x"],
)
def test_what_is_no_date_is_refused_with_a_remedy(text: str) -> None:
    reading = read_dates([text], None, SPAN)[0]
    assert reading.value is None
    assert reading.remedy
