"""The calendar through an independent reader of RFC 5545: `vobject`, no kin of the library that writes."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pandas as pd
import pytest
import vobject

from kit.plan.calendar import calendar_ics
from kit.plan.make import make
from kit.season.findings import Findings
from tests.unit.plan.operation import records_of, review_of

AS_OF = date(2026, 3, 31)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Findings:
    folder: Path = tmp_path_factory.mktemp("operation")
    records = records_of(folder)
    return make(records, review_of(records), seed=1)


def events_of(text: str) -> dict[str, vobject.base.Component]:
    return {event.uid.value: event for event in vobject.readOne(text).vevent_list}


def test_every_row_of_the_calendar_is_one_all_day_event_on_its_day(plan: Findings) -> None:
    table = plan.tables["calendar"]
    events = events_of(calendar_ics(plan, as_of=AS_OF))
    assert len(events) == len(table)
    assert sorted(event.dtstart.value for event in events.values()) == [day.date() for day in table["date"]]
    for event in events.values():
        assert type(event.dtstart.value) is date  # a date, not a time: RFC 5545 3.3.4
        assert (event.dtend.value - event.dtstart.value).days == 1  # the end is exclusive: 3.8.2.2
        assert event.dtstamp.value == datetime(2026, 3, 31, tzinfo=UTC)


def test_lines_end_in_cr_lf_and_hold_75_octets_at_most(plan: Findings) -> None:
    raw = calendar_ics(plan, as_of=AS_OF).encode()
    assert raw.count(b"\n") == raw.count(b"\r\n") > 0
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75  # RFC 5545 3.1


def test_strips_out_is_an_event_with_a_reminder(plan: Findings) -> None:
    events = events_of(calendar_ics(plan, as_of=AS_OF))
    out = [event for event in events.values() if "take amitraz strips out" in event.summary.value]
    strips = plan.tables["visits"].query("treatment == 'amitraz strips' and deed == 'take out'")
    assert len(strips) and sorted(event.summary.value for event in out) == sorted(
        f"{apiary}: take amitraz strips out" for apiary in strips["apiary"]
    )
    assert out[0].valarm.trigger.value.days == -3


def test_the_same_visit_keeps_its_uid_when_its_day_moves(plan: Findings) -> None:
    table = plan.tables["calendar"].copy()
    table["date"] = table["date"] + pd.Timedelta(days=1)
    moved = replace(plan, tables={**plan.tables, "calendar": table})
    before, after = events_of(calendar_ics(plan, as_of=AS_OF)), events_of(calendar_ics(moved, as_of=AS_OF))
    assert before.keys() == after.keys()
    assert all((after[uid].dtstart.value - event.dtstart.value).days == 1 for uid, event in before.items())


def test_marks_in_names_come_back_as_written(plan: Findings) -> None:
    table = plan.tables["calendar"].head(1).assign(apiary="Ä; B, \\C\nD", event="supers off", note="x; y, z")
    odd = replace(plan, tables={**plan.tables, "calendar": table})
    (event,) = events_of(calendar_ics(odd, as_of=AS_OF)).values()
    assert event.summary.value == "Ä; B, \\C\nD: supers off"
    assert event.description.value == "x; y, z"


def test_one_apiarys_slice_holds_its_events_alone(plan: Findings) -> None:
    summaries = [e.summary.value for e in events_of(calendar_ics(plan.of("ASH"), as_of=AS_OF)).values()]
    assert summaries
    assert all(text.startswith("ASH:") for text in summaries)
