"""The plan as visits on dates: a solved task read back, and the figures by which two plans are compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from kit.plan.ahead import Ahead
from kit.plan.jobs import Job, Means, Risks, Task, jobs_of, late_pct_per_day, task_of, untreated_pct
from kit.plan.programme.wishes import Wanted
from kit.plan.sites import Ground
from kit.plan.solver.bound import Allowance
from kit.plan.solver.schedule import NO_PROOF, Schedule, day_tours, solve_work


class Visit(NamedTuple):
    """One visit of a job.

    Parameters
    ----------
    job : Job
        What for.
    number : int
        Which of its visits, from 1.
    day : date
        When.
    order : int
        Stop of that day's tour, from 1.
    drive_min : float
        From the stop before, or from the base [min].
    """

    job: Job
    number: int
    day: date
    order: int
    drive_min: float


class Day(NamedTuple):
    """One day out: apiaries in driving order, driving and work [min], hives drawing on charge."""

    day: date
    apiaries: tuple[str, ...]
    drive_min: float
    work_min: float
    from_battery: int


class Figures(NamedTuple):
    """What two plans are compared by.

    Parameters
    ----------
    late : tuple of str
        Apiaries whose main treatment begins after treat_by or not at all.
    late_days : int
        Days late of all apiaries together; one left out counts from treat_by to its window's end.
    hives_lost : float
        Expected from lateness and from treatments left out.
    hours, drive_hours : float
        Driving and work; driving alone [h].
    cost : float
        Of hours and driving.
    late_cost : float
        Of `hives_lost`.
    left_out : tuple of str
        Apiaries with a treatment that found no day.
    """

    late: tuple[str, ...]
    late_days: int
    hives_lost: float
    hours: float
    drive_hours: float
    cost: float
    late_cost: float
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class Rota:
    """A solved plan."""

    task: Task
    schedule: Schedule
    visits: tuple[Visit, ...]
    days: tuple[Day, ...]
    left_out: tuple[Job, ...]


def plan_with(
    treatments: Sequence[Wanted], ground: Ground, ahead: Ahead, means: Means, risks: Risks, work: Work
) -> Rota:
    """Solve the season with the means given, within a fixed budget of work, beginning from an earlier plan if any."""
    task = task_of(jobs_of(treatments, ground, ahead, means), ground, ahead, means, risks)
    start = task_start(task, work.start) if work.start else _dated_start(task, ahead, work.dates)
    steps = max(work.least_steps, work.steps_a_job * len(task.jobs))
    schedule = solve_work(task.problem, steps=steps, seed=work.seed, start=start, proof=work.proof)
    tours = day_tours(task.problem, schedule)
    return Rota(
        task,
        schedule,
        tuple(_visits(task, schedule, tours)),
        tuple(_days(task, tours)),
        tuple(job for i, job in enumerate(task.jobs) if i not in schedule.visits),
    )


class Work(NamedTuple):
    """The budget of a search: its steps, its seed, a plan or dates of visits to begin from, and work on the bound."""

    least_steps: int
    steps_a_job: int
    seed: int
    start: Rota | None = None
    proof: Allowance = NO_PROOF
    dates: Mapping[str, date] = MappingProxyType({})


def _dated_start(task: Task, ahead: Ahead, dates: Mapping[str, date]) -> dict[int, tuple[int, ...]]:
    """The visits of an earlier plan by their keys and dates, where all that a job still needs are among them."""
    found = {}
    for i, job in enumerate(task.jobs):
        numbers = range(job.wish.done + 1, job.wish.done + job.wish.visits + 1)
        days = [dates.get(visit_key(job, number, ahead.label)) for number in numbers]
        if all(day is not None and 0 <= (day - task.first).days < task.problem.days for day in days):
            found[i] = tuple((day - task.first).days for day in days if day is not None)
    return found


def visit_key(job: Job, number: int, label: int) -> str:
    """A key of a visit that stays the same when the day moves."""
    wish = job.wish
    nth = f"-{wish.nth}th" if wish.nth > 1 else ""
    part = f"-part{job.part}" if job.parts > 1 else ""
    return f"{wish.apiary}-{label}-{wish.window}-{wish.word.replace(' ', '-')}{nth}{part}-{number}"


def task_start(task: Task, rota: Rota) -> dict[int, tuple[int, ...]]:
    """The visits of another plan in the days of this task, for the jobs they share."""
    known = {_key(job): i for i, job in enumerate(task.jobs)}
    shift = (rota.task.first - task.first).days
    return {
        known[_key(rota.task.jobs[i])]: tuple(d + shift for d in days)
        for i, days in rota.schedule.visits.items()
        if _key(rota.task.jobs[i]) in known and all(0 <= d + shift < task.problem.days for d in days)
    }


def _key(job: Job) -> tuple[str, str, str, int, int]:
    return job.site.apiary, f"{job.wish.window} {job.wish.nth}", job.wish.word, job.part, job.parts


Tours = Mapping[int, tuple[float, tuple[int, ...]]]


def _visits(task: Task, schedule: Schedule, tours: Tours) -> list[Visit]:
    found = []
    for d, (_, order) in tours.items():
        before = 0
        for place, i in enumerate(order, start=1):
            number = task.jobs[i].wish.done + schedule.visits[i].index(d) + 1
            found.append(Visit(task.jobs[i], number, task.day(d), place, float(task.problem.travel_min[before, i + 1])))
            before = i + 1
    return found


def _days(task: Task, tours: Tours) -> list[Day]:
    return [
        Day(
            task.day(d),
            tuple(dict.fromkeys(task.jobs[i].site.apiary for i in order)),
            drive,
            sum(task.jobs[i].minutes for i in order),
            sum(task.jobs[i].hives for i in order if task.jobs[i].from_battery),
        )
        for d, (drive, order) in tours.items()
    ]


def main_starts(rota: Rota) -> dict[str, date | None]:
    """First day of the main treatment by apiary (of its last part to begin); None where a part found no day."""
    starts: dict[str, date | None] = {}
    for i, job in enumerate(rota.task.jobs):
        if job.wish.window == "main":
            days = rota.schedule.visits.get(i)
            begun = job.wish.begun.first if job.wish.begun else None if days is None else rota.task.day(days[0])
            before = starts.get(job.site.apiary, date.min)
            starts[job.site.apiary] = None if begun is None or before is None else max(before, begun)
    return starts


def figures(rota: Rota, ahead: Ahead, means: Means, risks: Risks) -> Figures:
    """The figures of a plan."""
    starts = main_starts(rota)
    late_apiaries = tuple(a for a, day in starts.items() if day is None or day > ahead.treat_by)
    closes = {job.site.apiary: job.window.closes for job in rota.task.jobs if job.wish.window == "main"}
    late_days = sum(((starts[a] or closes[a]) - ahead.treat_by).days for a in late_apiaries)
    lost = sum(_lost(rota, i, job, risks) for i, job in enumerate(rota.task.jobs))
    drive = sum(day.drive_min for day in rota.days) / 60
    hours = drive + sum(day.work_min for day in rota.days) / 60
    cost = drive * 60 * means.money_per_min + (hours - drive) * means.labour_per_hour * means.hands.crew.people
    return Figures(late_apiaries, late_days, lost, hours, drive, cost, lost * means.colony_value, _left_out(rota))


def _left_out(rota: Rota) -> tuple[str, ...]:
    return tuple(dict.fromkeys(job.site.apiary for job in rota.left_out))


def _lost(rota: Rota, i: int, job: Job, risks: Risks) -> float:
    days = rota.schedule.visits.get(i)
    if days is None:
        return job.hives * untreated_pct(job, risks) / 100
    over = max((rota.task.day(days[0]) - job.window.due).days, 0)
    return job.hives * late_pct_per_day(job, risks) / 100 * over
