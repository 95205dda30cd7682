"""The plan as dates: a table of events, and the same as an RFC 5545 calendar that a second import updates."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import icalendar
import pandas as pd

from kit.season.findings import Findings

CALENDAR_COLUMNS = [
    "date",
    "apiary",
    "event",
    "treatment",
    "round",
    "rounds",
    "not_before",
    "not_after",
    "order",
    "uid",
    "note",
]
_DATES = ("date", "not_before", "not_after")


def calendar_table(visits: pd.DataFrame, extra: list[dict[str, Any]]) -> pd.DataFrame:
    """Events of the visits that a label entry allows, and `extra` rows; columns `CALENDAR_COLUMNS`, by date."""
    planned = visits[visits["allowed"] == "yes"]
    rows = [_event(row) for row in planned.to_dict("records")] + extra
    table = pd.DataFrame(rows, columns=CALENDAR_COLUMNS).astype(dict.fromkeys(_DATES, "datetime64[us]"))
    return table.sort_values(["date", "order", "uid"], kind="stable", ignore_index=True)


def _event(row: Mapping[Any, Any]) -> dict[str, Any]:
    out = row["deed"] == "take out"
    same = {
        name: row[name]
        for name in ("date", "apiary", "treatment", "round", "rounds", "not_before", "not_after", "order", "note")
    }
    return same | {"event": "strips out" if out else "treat", "uid": row["visit_id"]}


def reminder(day: date, apiary: str, event: str, uid: str, note: str) -> dict[str, Any]:
    """A row that is no treatment: supers off, gear due."""
    return {
        "date": day, "apiary": apiary, "event": event, "treatment": "", "round": float("nan"), "rounds": float("nan"),
        "not_before": day, "not_after": day, "order": 0, "uid": uid, "note": note,
    }  # fmt: skip


def calendar_ics(plan: Findings, *, as_of: date) -> str:
    """The calendar of a plan as text for a calendar program.

    Parameters
    ----------
    plan : Findings
        What `kit.plan.make.make` returned, or one apiary's slice of it.
    as_of : date
        Day of the records; it is the time stamp, so that the same plan gives the same bytes.

    Returns
    -------
    str
        RFC 5545: lines end in CRLF and are folded at 75 octets, events last all day, the end is exclusive, and the
        same visit keeps its UID when its day moves.

    References
    ----------
    rfc5545
    """
    calendar = icalendar.Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", "-//season kit//plan//EN")
    calendar.add("x-wr-calname", f"Visits {plan.facts['season']}")
    stamp = datetime.combine(as_of, time(0), tzinfo=UTC)
    for row in plan.tables["calendar"].to_dict("records"):
        calendar.add_component(_entry(row, stamp))
    return str(calendar.to_ical(), "utf-8")


def _entry(row: Mapping[Any, Any], stamp: datetime) -> icalendar.Event:
    day = pd.Timestamp(row["date"]).date()
    event = icalendar.Event()
    event.add("uid", uid_of(str(row["uid"])))
    event.add("dtstamp", stamp)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", title(row))
    event.add("description", _details(row))
    event.add("categories", [str(row["event"])])
    event.add("transp", "TRANSPARENT")
    if row["event"] == "strips out":
        event.add_component(_alarm(title(row)))
    return event


def _alarm(text: str) -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", timedelta(days=-3))
    alarm.add("description", text)
    return alarm


def title(row: Mapping[Any, Any]) -> str:
    """One line for a calendar's day."""
    if row["event"] == "treat":
        rounds = f" {row['round']:.0f} of {row['rounds']:.0f}" if row["rounds"] > 1 else ""
        return f"{row['apiary']}: {row['treatment']}{rounds}"
    if row["event"] == "strips out":
        return f"{row['apiary']}: take {row['treatment']} out"
    return f"{row['apiary']}: {row['event']}" if row["apiary"] else f"{row['event']}: {row['note']}"


def _details(row: Mapping[Any, Any]) -> str:
    first, last = (pd.Timestamp(row[name]).date() for name in ("not_before", "not_after"))
    said = [str(row["note"])] if row["note"] else []
    if first != last:
        said.append(f"It may be done from {first} to {last}.")
    if row["event"] == "treat":
        said.append("The label, local law and licensed practice decide.")
    return "\n".join(said)


def uid_of(key: str) -> str:
    """A key as a UID: letters, digits and a few marks stay, others are written as their code."""
    return re.sub(r"[^A-Za-z0-9._-]", lambda found: f"_{ord(found[0]):x}_", key) + "@season-kit.invalid"
