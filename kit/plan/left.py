"""What the plan leaves out, why, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd

from kit.plan.jobs import Job, Means
from kit.plan.mends import Setting
from kit.plan.programme.wishes import Cut
from kit.plan.rota import Rota

if TYPE_CHECKING:
    from kit.records.records import Records

LEFT_COLUMNS = ("apiary", "why", "remedy", "treatment")


def left_out_table(records: Records, setting: Setting, rota: Rota, cuts: Sequence[Cut]) -> pd.DataFrame:
    """One row for each treatment that found no day, each apiary without hives, each that a label forbids altogether."""
    rows = [_no_day(job, setting) for job in rota.left_out if job.part == 1 or job.parts == 1]
    rows += [_no_day(job, setting) for job in rota.left_out if job.part > 1 and not _first_also(job, rota)]
    planned = {(t.apiary, t.word, t.window) for t in setting.treatments}
    rows += [
        {"apiary": cut.apiary, "why": f"{cut.treatment} ({cut.window}): {cut.what}", "treatment": cut.treatment,
         "remedy": "choose a treatment the label allows, or ask the vet"}
        for cut in cuts if not cut.instead and (cut.apiary, cut.treatment, cut.window) not in planned
    ]  # fmt: skip
    here = {site.apiary for site in setting.ground.sites}
    rows += [
        {"apiary": a, "why": "no hives stand there by the records", "treatment": "",
         "remedy": "write the heads of the next visit into log if there are hives"}
        for a in records.apiaries if a not in here
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=list(LEFT_COLUMNS))


def _first_also(job: Job, rota: Rota) -> bool:
    return any(other.wish.key == job.wish.key and other.part == 1 for other in rota.left_out)


def _no_day(job: Job, setting: Setting) -> dict[str, str]:
    why, remedy = reason_of(job, setting)
    part = f", part {job.part} of {job.parts}" if job.parts > 1 else ""
    return {
        "apiary": job.site.apiary,
        "why": f"{job.wish.word}{part}: {why}",
        "remedy": remedy,
        "treatment": job.wish.word,
    }


def reason_of(job: Job, setting: Setting) -> tuple[str, str]:
    """Why a job found no day, and what to do about it."""
    means: Means = setting.means
    drive = 2 * float(setting.ground.roads.minutes[0, setting.ground.at(job.site.apiary) + 1])
    if not means.work_days or means.hours <= 0:
        return "there is no working day", "set work_days and work_hours_per_day in settings"
    if job.window.opens > job.window.closes:
        return f"its days are over: it had to begin by {job.window.closes}", "plan it in the season after"
    if drive + job.minutes > means.hours * 60:
        text = (
            f"{drive:.0f} minutes of driving and {job.minutes:.0f} at the hives do not fit into {means.hours:g} hours"
        )
        return text, "a longer day there, a helper, or move the hives nearer"
    if job.from_battery and job.hives > means.hives_a_day:
        text = f"{job.hives} hives need more charge than a day's {means.hives_a_day:.0f} doses"
        return text, "one more battery, or another supply there"
    if not any(d.weekday() in means.work_days for d in pd.date_range(job.window.opens, job.window.closes)):
        said = f"no working day is left from {job.window.opens} to {job.window.closes}"
        return said, "another working day, or an earlier start"
    return "the working days of its window are full", "see what mends it: a helper, a battery, a longer week"
