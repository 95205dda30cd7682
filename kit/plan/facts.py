"""The facts of a plan, named as the table at the head of `make` says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas as pd

from kit.constants.treatment_words import OXALIC, SUBLIMATION
from kit.plan.again.done import begun_mains
from kit.plan.ahead import RECORDS_END
from kit.plan.jobs import Job, Means
from kit.plan.labels import IF_ALLOWED
from kit.plan.mends import Setting
from kit.plan.odds import Held, kept_spare
from kit.plan.programme.allowed import missing_labels
from kit.plan.programme.wishes import Cut, Wanted
from kit.plan.rota import Figures, Rota, main_starts
from kit.plan.sites import Site
from kit.plan.visit.packing import spare_doses
from kit.plan.visit.stock import crystals_counted
from kit.plan.visit.visits import total_charges


@dataclass(frozen=True)
class Made:
    """Everything worked out before it is put into words and tables."""

    setting: Setting
    rota: Rota
    figures: Figures
    cuts: Sequence[Cut]
    left_out: pd.DataFrame
    tables: Mapping[str, pd.DataFrame]
    weather: Held


def heading_of(treatments: Sequence[Wanted]) -> str:
    """ "" or the words under which rounds beyond the first stand."""
    return IF_ALLOWED if any(t.condition for t in treatments) else ""


def operation_facts(made: Made) -> dict[str, Any]:
    """Of the whole operation, as far as they follow from the plan itself."""
    setting, rota, figures = made.setting, made.rota, made.figures
    ahead, means = setting.ahead, setting.means
    starts = begun_mains(setting.done) | main_starts(rota)
    begun = {apiary: day for apiary, day in starts.items() if day is not None}
    last = max(begun, key=lambda a: (begun[a], a)) if begun else None
    gap = _gap_pct(rota)
    return {
        "season": ahead.label, "start": ahead.start.isoformat(), "end": ahead.end.isoformat(),
        "heading": heading_of(setting.treatments),
        "date_that_matters": ahead.treat_by.isoformat(),
        "apiaries": len(setting.ground.sites),
        "apiaries_by_date": sum(day <= ahead.treat_by for day in begun.values()),
        "apiaries_late": _late(made, begun),
        "last_first_round": begun[last].isoformat() if last else None,
        "last_first_apiary": last,
        "apiaries_left_out": list(dict.fromkeys(made.left_out["apiary"])),
        "work_days": _work_days(rota, means),
        "days_out": len(rota.days), "visits": len(rota.visits),
        "hours": figures.hours, "hours_driving": figures.drive_hours,
        "hours_at_hives": figures.hours - figures.drive_hours,
        "drive_basis": setting.ground.roads.basis,
        **_doses(rota, means),
        "cost": figures.cost, "late_cost": figures.late_cost,
        "label_missing": missing_labels(setting.treatments),
        "label_cuts": [{"apiary": c.apiary, "treatment": c.treatment, "what": c.what} for c in made.cuts],
        "bound_gap_pct": gap,
        **_weather(made),
    }  # fmt: skip


def _weather(made: Made) -> dict[str, Any]:
    """How the plan stands up to weather."""
    spare = kept_spare(made.rota)
    return {
        "holds_pct": made.weather.mains_pct,
        "weather_basis": made.setting.means.weather.basis,
        "spare_days": len(spare),
        "spare_days_to": sum(day <= made.setting.ahead.treat_by for day in spare),
    }


def _gap_pct(rota: Rota) -> float | None:
    cost, bound = rota.schedule.cost, rota.schedule.bound
    return 100 * (cost - bound) / cost if cost > 0 else None


def _late(made: Made, begun: Mapping[str, date]) -> list[dict[str, Any]]:
    by = made.setting.ahead.treat_by
    late = sorted(((day, apiary) for apiary, day in begun.items() if day > by), reverse=True)
    return [
        {"apiary": a, "date": day.isoformat(), "days_late": (day - by).days, "why": why_late(made, a, day)}
        for day, a in late
    ]


def why_late(made: Made, apiary: str, day: date) -> str:
    """Why a first round comes after the day that matters: not allowed earlier, or no room on the days between."""
    ahead = made.setting.ahead
    if day <= ahead.treat_by:
        return ""
    if apiary in begun_mains(made.setting.done):
        return "it began on that day by the records"
    window = next(job.window for job in made.rota.task.jobs if job.site.apiary == apiary and job.wish.window == "main")
    if window.opens > ahead.treat_by:
        if window.why == RECORDS_END:
            return f"the records end on {ahead.earliest - timedelta(days=1):%-d %B}, and nothing was given by then"
        return f"{window.why} only on {window.opens:%-d %B}" if window.why == "supers off" else window.why
    return "no room on the working days before it"


def _work_days(rota: Rota, means: Means) -> int:
    mains = [job.window.opens for job in rota.task.jobs if job.wish.window == "main"]
    last = max((day.day for day in rota.days), default=None)
    if not mains or last is None:
        return 0
    return sum(d.weekday() in means.work_days for d in pd.date_range(min(mains), last))


def _doses(rota: Rota, means: Means) -> dict[str, Any]:
    given = [v for v in rota.visits if v.job.wish.word == SUBLIMATION]
    oxalic = [v for v in rota.visits if v.job.wish.word in OXALIC]
    charge, powered = means.charge, [v for v in rota.visits if v.job.from_battery]
    band = {"p05": charge.doses.p05, "p50": charge.doses.p50, "p95": charge.doses.p95, "basis": charge.basis}
    return {
        "doses": sum(v.job.hives for v in given),
        "crystals_g": sum((v.job.hives + spare_doses(v.job.hives)) * crystals_counted(v) for v in oxalic),
        "charges": total_charges(powered, means),
        "charges_p95": total_charges(powered, means, poor=True),
        "doses_per_charge": band if powered else None,
    }


def apiary_facts(made: Made, site: Site) -> dict[str, Any]:
    """Of one apiary."""
    tables, ahead = made.tables, made.setting.ahead
    calendar = tables["calendar"]
    mine = calendar[(calendar["apiary"] == site.apiary) & calendar["event"].isin(["treat", "strips out"])]
    first = None if mine.empty else mine.iloc[0]
    main = (begun_mains(made.setting.done) | main_starts(made.rota)).get(site.apiary)
    jobs = [job for job in made.rota.task.jobs if job.site.apiary == site.apiary]
    left = made.left_out[made.left_out["apiary"] == site.apiary]["why"]
    return {
        "hives": site.hives_known, "hives_basis": site.hives_basis,
        "treatments": [_treatment(made, job) for job in jobs if job.part == 1],
        "first_date": None if first is None else first["date"].date().isoformat(),
        "first_treatment": None if first is None else str(first["treatment"]),
        "first_main_date": main.isoformat() if main else None,
        "days_late": (main - ahead.treat_by).days if main else None,
        "why_late": why_late(made, site.apiary, main) if main else "",
        **_release(jobs),
        "supers_off": site.off.day.isoformat(), "supers_basis": site.off.basis,
        **_effort(made, site, jobs),
        "kit": _first_kit(made, site.apiary, first),
        "left_out": "; ".join(left),
    }  # fmt: skip


def _release(jobs: Sequence[Job]) -> dict[str, Any]:
    windows = [job.window for job in jobs if job.wish.window == "main"] or [job.window for job in jobs]
    if not windows:
        return {"not_before": None, "not_before_why": ""}
    return {"not_before": windows[0].opens.isoformat(), "not_before_why": windows[0].why}


def _effort(made: Made, site: Site, jobs: Sequence[Job]) -> dict[str, Any]:
    ground, means = made.setting.ground, made.setting.means
    window = "main" if any(job.wish.window == "main" for job in jobs) else jobs[0].wish.window if jobs else ""
    round_jobs = [job for job in jobs if job.wish.window == window]
    from_battery = sum(job.hives for job in round_jobs if job.from_battery)
    return {
        "minutes": sum(job.minutes for job in round_jobs) if round_jobs else None,
        "drive_min": float(ground.roads.minutes[0, ground.at(site.apiary) + 1]),
        "carry_min": site.carry(window),
        "supply": site.supply(window) or "not recorded",
        "charges": means.charge.needed(from_battery),
    }


def _treatment(made: Made, job: Job) -> dict[str, Any]:
    wish = job.wish
    visits = [v for v in made.rota.visits if v.job.wish.key == wish.key]
    dates = sorted({v.day.isoformat() for v in visits})
    return {
        "treatment": wish.word, "window": wish.window, "rounds": wish.rounds,
        "interval_days": (wish.gaps[0] + wish.gaps[1]) / 2 if wish.rounds > 1 else None,
        "basis": wish.basis, "first": dates[0] if dates else None, "last": dates[-1] if dates else None,
        "dates": dates, "allowed": wish.condition or "yes", "dose_g": wish.dose_g, "product": wish.product,
    }  # fmt: skip


def _first_kit(made: Made, apiary: str, first: Any) -> list[dict[str, Any]]:
    if first is None:
        return []
    kit = made.tables["kit"]
    return [
        {"item": str(row["item"]), "count": float(row["count"])}
        for _, row in kit[kit["visit_id"] == first["uid"]].iterrows()
    ]
