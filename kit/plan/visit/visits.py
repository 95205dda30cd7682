"""Visits as rows: when, how far a visit may bend, what it takes, and the kit that is counted out and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import pandas as pd

from kit.constants.treatment_words import OXALIC, SUBLIMATION
from kit.plan.ahead import Ahead
from kit.plan.jobs import Means
from kit.plan.labels import IF_ALLOWED
from kit.plan.programme.wishes import IN_SPLITS
from kit.plan.rota import Rota, Visit, visit_key

VISIT_COLUMNS = [
    "visit_id",
    "apiary",
    "date",
    "not_before",
    "not_after",
    "round",
    "rounds",
    "treatment",
    "colonies",
    "drive_min",
    "carry_min",
    "minutes",
    "supply",
    "doses_per_charge_p05",
    "charges",
    "dose_g",
    "note",
    "window",
    "deed",
    "order",
    "part",
    "parts",
    "access",
    "product",
    "allowed",
]
CRUMBS = "look for capping crumbs on the trays before driving: none is a sign of no brood"
DATES = ("date", "not_before", "not_after")


def visit_id(visit: Visit, label: int) -> str:
    """A key that stays the same when the day moves."""
    return visit_key(visit.job, visit.number, label)


def deed(visit: Visit) -> str:
    """What is done: treat, or take a slow treatment out."""
    return "take out" if visit.job.wish.placed and visit.number == 2 else "treat"


def allowed(visit: Visit) -> str:
    """ "yes", or the words under which the visit stands."""
    wish = visit.job.wish
    return "yes" if wish.placed or visit.number <= wish.allowed else IF_ALLOWED


def bend(rota: Rota, visit: Visit) -> tuple[date, date]:
    """First and last day a visit may fall on: the first by its window, and in time; later ones by the one before."""
    window, done = visit.job.window, visit.job.wish.done
    if visit.number == done + 1:
        week_on = visit.day + timedelta(days=7)
        return window.opens, window.due if visit.day <= window.due else min(week_on, max(window.closes, visit.day))
    i = rota.task.jobs.index(visit.job)
    before = rota.task.day(rota.schedule.visits[i][visit.number - done - 2])
    least, most = visit.job.wish.gaps
    return before + timedelta(days=least), before + timedelta(days=most)


def visits_table(rota: Rota, ahead: Ahead, means: Means) -> pd.DataFrame:
    """One row for each visit, in the order of days and of driving; columns `VISIT_COLUMNS`."""
    rows = [_row(rota, visit, ahead, means) for visit in rota.visits]
    table = pd.DataFrame(rows, columns=VISIT_COLUMNS)
    return table.astype(dict.fromkeys(DATES, "datetime64[us]"))


def _row(rota: Rota, visit: Visit, ahead: Ahead, means: Means) -> dict[str, Any]:
    job, wish = visit.job, visit.job.wish
    first, last = bend(rota, visit)
    powered = wish.word == SUBLIMATION
    return {
        "visit_id": visit_id(visit, ahead.label),
        "apiary": wish.apiary,
        "date": pd.Timestamp(visit.day),
        "not_before": pd.Timestamp(first),
        "not_after": pd.Timestamp(last),
        "round": 1 if wish.placed else visit.number,
        "rounds": wish.rounds,
        "treatment": wish.word,
        "colonies": job.hives,
        "drive_min": visit.drive_min,
        "carry_min": job.site.carry(wish.window),
        "minutes": job.minutes,
        "supply": (job.site.supply(wish.window) or "not recorded") if powered else "",
        "doses_per_charge_p05": means.charge.best.p05 if job.from_battery else math.nan,
        "charges": means.charge.needed(job.hives) if job.from_battery else 0,
        "dose_g": wish.dose_g if wish.dose_g is not None and wish.word in OXALIC else math.nan,
        "note": _note(visit, ahead),
        "window": wish.window,
        "deed": deed(visit),
        "order": visit.order,
        "part": job.part,
        "parts": job.parts,
        "access": job.site.access,
        "product": wish.product,
        "allowed": allowed(visit),
    }


def _note(visit: Visit, ahead: Ahead) -> str:
    return "; ".join(said for said in (*_of_label(visit), *_of_place(visit, ahead)) if said)


def _of_label(visit: Visit) -> tuple[str, ...]:
    wish = visit.job.wish
    oxalic = wish.word in OXALIC
    unlicensed = wish.label is not None and wish.label.authorised == "no"
    return (
        allowed(visit) if allowed(visit) != "yes" else "",
        "not an authorised medicine" if unlicensed else "",
        "on a vet's prescription" if wish.label is not None and wish.label.authorised == "vet" else "",
        f"{IN_SPLITS}: no supers on them, and look for capped cells first" if wish.basis == IN_SPLITS else "",
        "dose by the label" if oxalic and wish.dose_g is None else "",
        "a colony full of brood shelters most of its mites from it" if oxalic and wish.window == "main" else "",
    )


def _of_place(visit: Visit, ahead: Ahead) -> tuple[str, ...]:
    wish, site = visit.job.wish, visit.job.site
    late = visit.number == 1 and wish.window == "main" and visit.day > ahead.treat_by
    due = visit.job.window.due
    overdue = wish.begun is not None and visit.number == wish.done + 1 and visit.day > due
    trays = wish.word == SUBLIMATION and visit.number > 1 and site.floor != "solid"
    return (
        f"{(visit.day - ahead.treat_by).days} days late" if late else "",
        f"{(visit.day - due).days} days late: due by {due}" if overdue else "",
        "read the trays of the round before first" if trays else "",
        CRUMBS if wish.window == "winter" else "",
        "drive in only when the ground is dry" if site.access == "dry ground" else "",
    )


def days_table(rota: Rota, means: Means) -> pd.DataFrame:
    """One row for each day out."""
    rows = [
        {
            "date": day.day,
            "apiaries": "; ".join(day.apiaries),
            "minutes": day.drive_min + day.work_min,
            "minutes_free": means.hours * 60 - day.drive_min - day.work_min,
            "drive_min": day.drive_min,
            "from_battery": day.from_battery,
            "charges": means.charge.needed(day.from_battery),
        }
        for day in rota.days
    ]
    columns = ["date", "apiaries", "minutes", "minutes_free", "drive_min", "from_battery", "charges"]
    return pd.DataFrame(rows, columns=columns).astype({"date": "datetime64[us]"})


def total_charges(visits: Sequence[Visit], means: Means, *, poor: bool = False) -> int:
    """Charges over the season: what a day's hives need together."""
    by_day: dict[date, int] = {}
    for visit in visits:
        if visit.job.from_battery:
            by_day[visit.day] = by_day.get(visit.day, 0) + visit.job.hives
    return sum(means.charge.needed(hives, poor=poor) for hives in by_day.values())
