"""From treatments wanted to a visit problem and back: each treatment at each apiary is one job of several visits.

An apiary too big for one day's minutes or charge is split into parts that are driven to on days of their own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from kit.constants import plan, weather
from kit.constants.treatment_words import SUBLIMATION
from kit.plan.ahead import Ahead, Window, work_minutes
from kit.plan.programme.windows import window_at
from kit.plan.programme.wishes import Begun, Wanted
from kit.plan.sites import WET, Ground, Site
from kit.plan.solver.problem import Floats, VisitProblem
from kit.plan.weather import Odds, spare_days
from kit.plan.work import Charge, Hands, minutes_at

AFTER_GAP_DAYS = 14
"""A visit that missed its gap is still worth going for so long; each day counts as late."""


class Job(NamedTuple):
    """One treatment at one apiary, or a part of it.

    Parameters
    ----------
    wish : Wanted
        The treatment.
    site : Site
        The apiary.
    window : Window
        When it may begin.
    hives, part, parts : int
        Hives of this part, its number from 1, and how many parts there are.
    minutes : float
        One visit [min].
    from_battery : bool
        Whether its hives draw on the day's charge.
    """

    wish: Wanted
    site: Site
    window: Window
    hives: int
    part: int
    parts: int
    minutes: float
    from_battery: bool


@dataclass(frozen=True)
class Means:
    """What the work can be done with: time, hands, charge and money.

    Parameters
    ----------
    work_days : tuple of int
        Weekdays worked, Monday 0.
    hours : float
        Work in a day [h].
    hands : Hands
        Crew and pace.
    charge : Charge
        Doses by charge and batteries.
    doses_a_charge : float
        Of the range, what is counted on.
    money_per_min : float
        Of driving, labour of all and vehicle.
    labour_per_hour : float
        Of one person.
    colony_value : float
        Of a hive lost.
    weather : Odds
        Of days that can be worked.
    lost_days : tuple of date
        Days that cannot be worked.
    supers_shift : int
        Days the supers come off later (or earlier, negative) than expected.
    """

    work_days: tuple[int, ...]
    hours: float
    hands: Hands
    charge: Charge
    doses_a_charge: float
    money_per_min: float
    labour_per_hour: float
    colony_value: float
    weather: Odds
    lost_days: tuple[date, ...] = ()
    supers_shift: int = 0

    @property
    def hives_a_day(self) -> float:
        """Hives the batteries do between two nights on the charger."""
        return self.charge.batteries * self.doses_a_charge


class Risk(NamedTuple):
    """Hives lost at one apiary: for each day its main treatment is late [%/d], and without one [%]."""

    late_pct_per_day: float = plan.LOSS_PER_LATE_DAY_PCT.value
    untreated_pct: float = plan.LOSS_UNTREATED_MAIN_PCT.value


Risks = Mapping[str, Risk]
"""By apiary."""


@dataclass(frozen=True)
class Task:
    """A visit problem with what its numbers stand for; `spare` are working days kept free for what weather pushes."""

    problem: VisitProblem
    jobs: tuple[Job, ...]
    first: date
    spare: frozenset[date] = frozenset()

    def day(self, index: int) -> date:
        """The date of a day of the problem."""
        return self.first + timedelta(days=index)


def jobs_of(treatments: Sequence[Wanted], ground: Ground, ahead: Ahead, means: Means) -> list[Job]:
    """Every treatment as jobs, in the order of the sheet and of the year; parts with nothing left to do are over."""
    found: list[Job] = []
    for wish in treatments:
        site = ground.sites[ground.at(wish.apiary)]
        parts = parts_of(wish, ground, means)
        whole, rest = divmod(wish.at(site.hives), parts)
        for part in range(1, parts + 1):
            mine = replace(wish, begun=wish.begun.of_part(part, parts)) if wish.begun else wish
            if mine.visits > 0:
                window = _window(mine, site, ahead, means)
                found.append(_job(mine, site, window, (whole + (part <= rest), part, parts), means))
    return found


def _window(wish: Wanted, site: Site, ahead: Ahead, means: Means) -> Window:
    if wish.begun:
        return begun_window(wish, wish.begun, ahead)
    return window_at(wish, site, ahead, supers_shift=means.supers_shift)


def begun_window(wish: Wanted, begun: Begun, ahead: Ahead) -> Window:
    """When the next visit of a treatment begun is due: its gap counted from the day of the last one done.

    It may be due before the first day that is left: then it is late already.
    """
    least, most = (begun.last + timedelta(days=gap) for gap in wish.gaps)
    opens = max(least, ahead.earliest)
    why = f"{wish.gaps[0]} to {wish.gaps[1]} days after the visit of {begun.last:%-d %B}"
    return Window(wish.window, opens, most, max(most, opens) + timedelta(days=AFTER_GAP_DAYS), why)


def _job(wish: Wanted, site: Site, window: Window, share: tuple[int, int, int], means: Means) -> Job:
    """`share` is hives, part and parts."""
    minutes = minutes_at(wish.word, share[0], site.carry(wish.window), means.hands)
    return Job(wish, site, window, *share, minutes, on_battery(wish, site))


def on_battery(wish: Wanted, site: Site) -> bool:
    """Whether its hives draw on the day's charge."""
    return wish.word == SUBLIMATION and site.supply(wish.window) in ("battery", "")


def parts_of(wish: Wanted, ground: Ground, means: Means) -> int:
    """Parts in which an apiary is worked, each with a day's minutes and charge; 1 where no part would fit."""
    site = ground.sites[ground.at(wish.apiary)]
    hives = wish.at(site.hives)
    fitting = (n for n in range(1, hives + 1) if _fits(wish, math.ceil(hives / n), site, ground, means))
    return next(fitting, 1)


def _fits(wish: Wanted, hives: int, site: Site, ground: Ground, means: Means) -> bool:
    there_min = 2 * float(ground.roads.minutes[0, ground.at(site.apiary) + 1])
    minutes = there_min + minutes_at(wish.word, hives, site.carry(wish.window), means.hands)
    return minutes <= means.hours * 60 and not (on_battery(wish, site) and hives > means.hives_a_day)


def task_of(jobs: Sequence[Job], ground: Ground, ahead: Ahead, means: Means, risks: Risks) -> Task:
    """The visit problem of all jobs over the days they may need."""
    first = min((job.window.opens for job in jobs), default=ahead.earliest)
    last = max((_last_day(job) for job in jobs), default=first)
    days = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    minutes = [0.0 if day in means.lost_days else work_minutes(day, means.work_days, means.hours) for day in days]
    spare = spare_days([day for day, there in zip(days, minutes, strict=True) if there > 0], means.weather)
    calendar = Calendar(days, minutes, spare)
    nodes = [0] + [ground.at(job.site.apiary) + 1 for job in jobs]
    problem = VisitProblem(
        travel_min=np.ascontiguousarray(ground.roads.minutes[np.ix_(nodes, nodes)]),
        service_min=np.array([job.minutes for job in jobs], dtype=np.float64),
        colonies=np.array([job.hives if job.from_battery else 0 for job in jobs], dtype=np.float64),
        rounds=np.array([job.wish.visits for job in jobs], dtype=np.int64),
        gap_days=np.array([job.wish.gaps for job in jobs], dtype=np.int64).reshape(-1, 2),
        release_day=np.array([_release_day(job, first) for job in jobs], dtype=np.int64),
        close_day=np.array([max((job.window.closes - first).days, 0) for job in jobs], dtype=np.int64),
        day_minutes=np.array(minutes),
        colonies_per_day=np.full(len(days), max(means.hives_a_day, 0.0)),
        lateness_cost=np.array([_cost_by_day(job, calendar, means, risks) for job in jobs]).reshape(
            len(jobs), len(days)
        ),
        untreated_cost=np.array([_untreated(job, calendar, means, risks) for job in jobs], dtype=np.float64),
        travel_cost_per_min=means.money_per_min,
    )
    return Task(problem, tuple(jobs), first, spare)


def _release_day(job: Job, first: date) -> int:
    """Its first day; one behind its last where its days are over, so that none is found."""
    over = job.window.opens > job.window.closes
    return max((job.window.opens - first).days, max((job.window.closes - first).days, 0) + 1 if over else 0)


def _last_day(job: Job) -> date:
    return job.window.closes + timedelta(days=job.wish.gaps[1] * (job.wish.visits - 1))


def late_pct_per_day(job: Job, risks: Risks) -> float:
    """Share of hives lost for each day a job begins late; a main treatment that has begun is no late one [%/d]."""
    if job.wish.window == "main" and not job.wish.begun:
        return risks.get(job.site.apiary, Risk()).late_pct_per_day
    return plan.LOSS_PER_LATE_DAY_OTHER_PCT.value


def untreated_pct(job: Job, risks: Risks) -> float:
    """Share of hives lost when a job is left out [%]."""
    if job.wish.window == "main" and not job.wish.begun:
        return risks.get(job.site.apiary, Risk()).untreated_pct
    return plan.LOSS_UNTREATED_OTHER_PCT.value


class Calendar(NamedTuple):
    """Days, the minutes of work each holds, and those kept spare."""

    days: Sequence[date]
    minutes: Sequence[float]
    spare: frozenset[date]


def needs_firm(job: Job) -> bool:
    """Whether the plan drives in where only dry ground carries the vehicle; from autumn on it reckons with carrying."""
    return job.site.access == "dry ground" and job.wish.window not in WET


def _cost_by_day(job: Job, calendar: Calendar, means: Means, risks: Risks) -> Floats:
    """Money by day planned, spread over the visits: lateness to be expected of weather, and giving up a spare day.

    What is late already goes first: it takes a spare day for nothing.
    """
    per_day = _late_day(job, means, risks)
    missed = _day_of_driving(means) if job.wish.begun else 0.0
    likely = _pushed_on(_lateness(job, calendar.days, per_day, missed), job, calendar, means)
    worth = weather.SPARE_WORTH_LATE_DAYS.value * per_day + weather.SPARE_WORTH_MIN.value * means.money_per_min
    return likely + worth * np.array([day in calendar.spare and day <= job.window.due for day in calendar.days])


def _late_day(job: Job, means: Means, risks: Risks) -> float:
    return late_pct_per_day(job, risks) / 100 * job.hives * means.colony_value / job.wish.visits


def _day_of_driving(means: Means) -> float:
    """Money no plan can save on one visit's roads."""
    return 2 * means.hours * 60 * means.money_per_min


def _lateness(job: Job, days: Sequence[date], per_day: float, missed: float) -> Floats:
    """Money by day worked: nothing up to the due day but a tenth of a late day's cost for waiting.

    `missed` is once for a gap of a series begun: no drive saved is worth it.
    """
    waited = np.array([max((day - job.window.opens).days, 0) for day in days])
    over = np.array([max((day - job.window.due).days, 0) for day in days])
    return np.asarray(per_day * (over + 0.1 * waited) + missed * (over > 0))


def _pushed_on(cost: Floats, job: Job, calendar: Calendar, means: Means) -> Floats:
    """Expected cost by day planned, when a visit waits from one working day to the next until one can be worked."""
    expected, onward = cost.copy(), float(cost[-1])
    for k in range(len(cost) - 1, -1, -1):
        likely = means.weather.chance(calendar.days[k], firm=needs_firm(job)) if calendar.minutes[k] > 0 else 0.0
        onward = expected[k] = likely * cost[k] + (1 - likely) * onward
    return expected


def _untreated(job: Job, calendar: Calendar, means: Means, risks: Risks) -> float:
    """Money lost when a job is left out: never less than beginning on the dearest day would cost."""
    by_loss = untreated_pct(job, risks) / 100 * job.hives * means.colony_value
    latest = float(_cost_by_day(job, calendar, means, risks).max(initial=0.0)) * job.wish.visits
    return max(by_loss, latest) + _day_of_driving(means) * job.wish.visits
