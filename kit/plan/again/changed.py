"""What a plan made again says against the plan before: each visit done, moved, new or dropped, with its reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import pandas as pd

from kit.plan.again.done import Series
from kit.plan.jobs import Job
from kit.plan.left import reason_of
from kit.plan.mends import Setting
from kit.plan.programme.choice import Choice
from kit.plan.programme.wishes import Begun, Cut
from kit.plan.rota import Rota, Visit, visit_key
from kit.plan.said import days, said

CHANGE_COLUMNS = ["apiary", "treatment", "deed", "round", "change", "was", "now", "why"]
DROPPED = "no longer planned"
Row = Mapping[Any, Any]


@dataclass(frozen=True)
class Now:
    """The plan as it is now.

    Parameters
    ----------
    visits : DataFrame
        Its table.
    setting : Setting
        What it was solved from.
    rota : Rota
        It solved.
    choices : mapping
        Programmes weighed by apiary.
    cuts : sequence of Cut
        What labels took away.
    as_of : date
        The day of the records.
    """

    visits: pd.DataFrame
    setting: Setting
    rota: Rota
    choices: Mapping[str, Choice]
    cuts: Sequence[Cut]
    as_of: date

    @cached_property
    def planned(self) -> dict[str, Visit]:
        """Its visits by their keys."""
        return {visit_key(v.job, v.number, self.setting.ahead.label): v for v in self.rota.visits}

    def done_at(self, row: Row) -> list[Series]:
        """What is done in the window of a visit."""
        return [one for one in self.setting.done if (one.apiary, one.window) == (row["apiary"], row["window"])]

    def without_day(self, row: Row) -> Job | None:
        """The job of a visit, where it found no day."""
        left = (job for job in self.rota.left_out if _same(job, row))
        return min(left, key=lambda job: job.part != row["part"], default=None)


def _same(job: Job, row: Row) -> bool:
    return (job.wish.apiary, job.wish.window, job.wish.word) == (row["apiary"], row["window"], row["treatment"])


def changes_table(last: pd.DataFrame, now: Now) -> pd.DataFrame:
    """One row for each visit that is done, moved, new or no longer planned against an earlier plan's visits.

    Columns `CHANGE_COLUMNS`; empty without an earlier plan.
    """
    was = {str(row["visit_id"]): row for row in last.to_dict("records")}
    rows = [_change(key, row, now, last) for key, row in was.items()]
    rows += [_new(row, now) for row in now.visits.to_dict("records") if was and row["visit_id"] not in was]
    table = pd.DataFrame([row for row in rows if row], columns=CHANGE_COLUMNS)
    return table.astype({"was": "datetime64[us]", "now": "datetime64[us]"})


def _change(key: str, was: Row, now: Now, last: pd.DataFrame) -> dict[str, Any] | None:
    day = _day(was)
    done = _done_on(was, now)
    if done is not None:
        return _told(was, "done", day, done, _how_far(day, done))
    visit = now.planned.get(key)
    if visit is None:
        return _told(was, DROPPED, day, None, why_dropped(was, now))
    return None if visit.day == day else _told(was, "moved", day, visit.day, _why_moved(was, visit, now, last))


def _day(row: Row) -> date:
    return pd.Timestamp(row["date"]).date()


def _number(row: Row) -> int:
    """Which visit of its treatment: the second of a slow one takes it out."""
    return 2 if row["deed"] == "take out" else int(float(str(row["round"])))


def _done_on(was: Row, now: Now) -> date | None:
    """The day the records say it was done at its part of the apiary."""
    part, parts = int(was["part"]), int(was["parts"])
    for one in now.done_at(was):
        days_done = Begun(one.visits).at(part, parts)
        if one.word == was["treatment"] and _number(was) <= len(days_done):
            return days_done[_number(was) - 1]
    return None


def _how_far(was: date, done: date) -> str:
    if done == was:
        return said("changed.on_its_day")
    return said("changed.later" if done > was else "changed.earlier", days=days(abs((done - was).days)))


def _why_moved(was: Row, visit: Visit, now: Now, last: pd.DataFrame) -> str:
    why, due = _moved_by(was, visit, now, last), visit.job.window.due
    if visit.number == visit.job.wish.done + 1 and visit.day > due:
        return said("changed.overdue", why=why, days=days((visit.day - due).days), due=due)
    return why


def _moved_by(was: Row, visit: Visit, now: Now, last: pd.DataFrame) -> str:
    day, job = _day(was), visit.job
    begun = job.wish.begun if visit.number == job.wish.done + 1 else None
    if begun and day < begun.last + timedelta(days=job.wish.gaps[0]):
        return said("changed.gap", last=begun.last)
    if day <= now.as_of:
        return said("changed.not_done")
    if visit.number == job.wish.done + 1:
        if begun:
            return said("changed.gap", last=begun.last)
        if day < job.window.opens:
            return said("changed.opens", opens=job.window.opens, why=job.window.why)
    elif _moved_before(was, visit, now, last):
        before = now.planned[visit_key(job, visit.number - 1, now.setting.ahead.label)]
        return said("changed.after_another", day=before.day)
    if day.weekday() not in now.setting.means.work_days:
        return said("changed.no_work", day=day)
    return said("changed.cheaper")


def _moved_before(was: Row, visit: Visit, now: Now, last: pd.DataFrame) -> bool:
    """Whether the visit before it is on another day than it was."""
    key = visit_key(visit.job, visit.number - 1, now.setting.ahead.label)
    then = last[last["visit_id"] == key]["date"]
    return then.empty or now.planned[key].day != then.iloc[0].date()


def why_dropped(was: Row, now: Now) -> str:
    """Why a visit planned before is not planned now: hives, another treatment, label, days, programme, or parts."""
    if was["apiary"] not in now.choices:
        return said("dropped.hives_gone")
    other = next((one for one in now.done_at(was) if one.word != was["treatment"]), None)
    if other is not None:
        return said("dropped.instead", word=other.word, day=other.first)
    job = now.without_day(was)
    if job is not None:
        why = reason_of(job, now.setting)[0]
        return said("dropped.not_done", why=why) if _day(was) <= now.as_of else why
    cut = next((cut for cut in now.cuts if _cut(cut, was)), None)
    if cut is not None:
        return said("dropped.label", what=cut.what)
    return _of_programme(was, now)


def _cut(cut: Cut, was: Row) -> bool:
    return (cut.apiary, cut.window, cut.treatment) == (was["apiary"], was["window"], was["treatment"])


def _of_programme(was: Row, now: Now) -> str:
    here = [v for v in now.rota.visits if _same(v.job, was)]
    if here and here[0].job.parts != was["parts"]:
        parts = here[0].job.parts
        return said(
            "dropped.worked_otherwise", parts=said("dropped.one_part" if parts == 1 else "dropped.many_parts", n=parts)
        )
    done = [one for one in now.done_at(was) if one.word == was["treatment"]]
    if done and not here:
        return said("dropped.over", last=done[-1].last)
    why = why_replaced(now.choices[str(was["apiary"])])
    return said("dropped.not_done", why=why) if _day(was) <= now.as_of else why


def why_replaced(choice: Choice) -> str:
    """Why another programme than the one of an earlier plan is chosen."""
    new = choice.weighed[choice.chosen]
    if choice.before is None:
        return said("programme.gone", old=choice.named_before, new=new.candidate.name)
    old = choice.weighed[choice.before]
    names = {"old": old.candidate.name, "new": new.candidate.name}
    if old.candidate.why_not:
        return said("programme.forbidden", why=old.candidate.why_not, **names)
    was, now = (f"{one.outlook.chances.still_open:.0f}" for one in (old, new))
    return said("programme.replaced", was=was, now=now, **names)


def _new(row: Row, now: Now) -> dict[str, Any]:
    visit = now.planned[str(row["visit_id"])]
    return _told(row, "new", None, row["date"], _why_new(visit, now))


def _why_new(visit: Visit, now: Now) -> str:
    wish, choice = visit.job.wish, now.choices[visit.job.wish.apiary]
    if wish.begun and wish.placed:
        return said("new.take_out", day=wish.begun.first)
    if choice.named_before and choice.before != choice.chosen:
        return said("new.also", why=why_replaced(choice))
    return said("new.plain")


def _told(row: Row, change: str, was: object, now: object, why: str) -> dict[str, Any]:
    same = {name: row[name] for name in ("apiary", "treatment", "deed", "round")}
    return same | {"change": change, "was": was, "now": now, "why": why}


def changes_facts(table: pd.DataFrame, visits: pd.DataFrame) -> dict[str, Any]:
    """How many visits are done, moved, new, no longer planned, and how many stay on their day."""
    count = {name: int((table["change"] == name).sum()) for name in ("done", "moved", "new")}
    count["dropped"] = int((table["change"] == DROPPED).sum())
    return count | {"stay": len(visits) - count["moved"] - count["new"]}
