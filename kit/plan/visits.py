"""Visits as rows: when, how far a visit may bend, what it takes, and the kit that is counted out and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

import pandas as pd

from kit.calc.dose import weigh_out_g
from kit.constants import plan
from kit.plan.ahead import Ahead, day_of
from kit.plan.jobs import Job, Means
from kit.plan.labels import IF_ALLOWED, OXALIC
from kit.plan.rota import Rota, Visit
from kit.plan.work import SUBLIMATION

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
KIT_COLUMNS = ["visit_id", "apiary", "date", "item", "count", "note"]
DATES = ("date", "not_before", "not_after")


class Gear(NamedTuple):
    """Dates on which protection falls due, None when not recorded, and batteries by id."""

    filter_due: date | None
    fit_due: date | None
    batteries: tuple[str, ...]


def gear_of(gear: pd.DataFrame) -> Gear:
    """Filters, fit tests and batteries of the sheet `gear`."""

    def due(kind: str) -> date | None:
        return day_of(gear.loc[gear["kind"] == kind, "expires"].min())

    return Gear(due("mask filter"), due("face fit"), tuple(gear.loc[gear["kind"] == "battery", "item"]))


def visit_id(visit: Visit, label: int) -> str:
    """A key that stays the same when the day moves."""
    wish = visit.job.wish
    nth = f"-{wish.nth}th" if wish.nth > 1 else ""
    part = f"-part{visit.job.part}" if visit.job.parts > 1 else ""
    return f"{wish.apiary}-{label}-{wish.window}-{wish.word.replace(' ', '-')}{nth}{part}-{visit.number}"


def deed(visit: Visit) -> str:
    """What is done: treat, or take a slow treatment out."""
    return "take out" if visit.job.wish.placed and visit.number == 2 else "treat"


def allowed(visit: Visit) -> str:
    """ "yes", or the words under which the visit stands."""
    wish = visit.job.wish
    return "yes" if wish.placed or visit.number <= wish.allowed else IF_ALLOWED


def bend(rota: Rota, visit: Visit) -> tuple[date, date]:
    """First and last day a visit may fall on: the first by its window, and in time; later ones by the one before."""
    window = visit.job.window
    if visit.number == 1:
        week_on = visit.day + timedelta(days=7)
        return window.opens, window.due if visit.day <= window.due else min(week_on, max(window.closes, visit.day))
    i = rota.task.jobs.index(visit.job)
    before = rota.task.day(rota.schedule.visits[i][visit.number - 2])
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
        "doses_per_charge_p05": means.charge.doses.p05 if job.from_battery else math.nan,
        "charges": charges(job, means),
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


def charges(job: Job, means: Means, *, poor: bool = False) -> int:
    """Battery charges of one visit, in the middle or in the poor case."""
    doses = means.charge.doses.p05 if poor else means.charge.doses.p50
    return math.ceil(job.hives / max(doses, 1.0)) if job.from_battery else 0


def _note(visit: Visit, ahead: Ahead) -> str:
    wish, job, said = visit.job.wish, visit.job, []
    if allowed(visit) != "yes":
        said.append(allowed(visit))
    if wish.label is not None and wish.label.authorised == "no":
        said.append("not an authorised medicine")
    if wish.word in OXALIC and wish.window == "main":
        said.append("colonies full of brood shelter most mites: see what three rounds can do before choosing this")
    if wish.window == "winter":
        said.append("look for capping crumbs on the trays before driving: none is a sign of no brood")
    if job.site.access == "dry ground":
        said.append("drive in only when the ground is dry")
    if visit.number == 1 and wish.window == "main" and visit.day > ahead.treat_by:
        said.append(f"{(visit.day - ahead.treat_by).days} days late")
    if wish.word in OXALIC and wish.dose_g is None:
        said.append("dose by the label")
    return "; ".join(said)


def kit_table(rota: Rota, ahead: Ahead, means: Means, gear: Gear) -> pd.DataFrame:
    """One row for each thing to take to each visit; columns `KIT_COLUMNS`."""
    rows = [
        {
            "visit_id": visit_id(v, ahead.label),
            "apiary": v.job.wish.apiary,
            "date": v.day,
            "item": item,
            "count": n,
            "note": note,
        }
        for v in rota.visits
        for item, n, note in kit_for(v, means, gear)
    ]
    return pd.DataFrame(rows, columns=KIT_COLUMNS).astype({"date": "datetime64[us]", "count": "float64"})


Item = tuple[str, float, str]


def kit_for(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    """What one visit takes: item, how many, and what to mind."""
    if visit.job.wish.word == SUBLIMATION:
        return [*_sealing(visit, means), *_power(visit, means, gear), *_doses(visit), *_protection(visit, means, gear)]
    people = means.hands.crew.people
    what = [] if deed(visit) == "take out" else _doses(visit)
    taken = [("bag for used strips or trays", 1.0, "count them back")] if deed(visit) == "take out" else []
    return [*what, *taken, ("gloves, pairs", float(people), ""), ("pencil and visit sheet", 1.0, "")]


def _sealing(visit: Visit, means: Means) -> list[Item]:
    hives = visit.job.hives
    closed = float(min(hives, 2 * means.hands.crew.group_size))
    mesh = visit.job.site.floor != "solid"
    back = "counted out and back: a hive left sealed is a dead hive"
    trays = (
        [("trays", float(hives), "they seal the mesh and are the mite board: read at the next visit")] if mesh else []
    )
    return [*trays, ("entrance foams", closed, back), ("seals for gaps", closed, back)]


def _power(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    supply = visit.job.site.supply(visit.job.wish.window)
    machines: list[Item] = [
        ("sublimator", float(means.hands.crew.machines), "hot nozzle: never on polystyrene or dry grass"),
    ]
    if not visit.job.from_battery:
        minded = {
            "vehicle": "it must start again: stop in time",
            "generator": "in the open, 6 m away and downwind; fuel",
            "mains": "residual-current device; stop in the wet",
        }
        return [*machines, (f"power: {supply}", 1.0, minded[supply])]
    taken, poor = charges(visit.job, means), charges(visit.job, means, poor=True)
    which = f"of {', '.join(gear.batteries)}; " if gear.batteries else ""
    spare = f"take {poor}: the poor case needs them" if poor > taken else "full"
    return [
        *machines,
        ("battery, charged", float(max(taken, poor)), which + spare),
        ("inverter and leads", 1.0, "check power-up"),
    ]


def _doses(visit: Visit) -> list[Item]:
    job, wish = visit.job, visit.job.wish
    if wish.word not in OXALIC:
        if wish.amount is None:
            return [(f"{wish.product or wish.word}, for hives", float(job.hives), "by the label")]
        return [(f"{wish.product or wish.word}, {wish.unit}", job.hives * wish.amount, f"{wish.amount:g} a hive")]
    spare = spare_doses(job.hives)
    weighed = (
        "" if wish.dose_g is None else f"{weigh_out_g(job.hives, wish.dose_g, spare_colonies=spare):.0f} g crystals"
    )
    note = "; ".join(text for text in (f"{spare} of them spare", weighed) if text)
    return [(f"doses of {wish.product or 'oxalic acid'}", float(job.hives + spare), note)]


def spare_doses(hives: int) -> int:
    """Doses to spare at one visit."""
    return max(1, math.ceil(hives * plan.SPARE_DOSES_PCT.value / 100))


def _protection(visit: Visit, means: Means, gear: Gear) -> list[Item]:
    people = float(means.hands.crew.people)
    return [
        ("full-face mask", people, _due("fit test", gear.fit_due, visit.day)),
        ("mask filter P3 with E", people, _due("filter", gear.filter_due, visit.day)),
        ("gloves, pairs", people, "closed sleeves"),
        ("water for eyes, litres", plan.EYE_WATER_L.value * people, "many minutes, then a doctor"),
        ("pencil and visit sheet", 1.0, ""),
    ]


def _due(what: str, due: date | None, day: date) -> str:
    if due is None:
        return f"{what} date not recorded: check it"
    return (
        f"{what} was due {due:%Y-%m-%d}: renew it before this visit" if due < day else f"{what} good to {due:%Y-%m-%d}"
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
            "charges": math.ceil(day.from_battery / max(means.charge.doses.p50, 1.0)),
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
    doses = max(means.charge.doses.p05 if poor else means.charge.doses.p50, 1.0)
    return sum(math.ceil(hives / doses) for hives in by_day.values())
