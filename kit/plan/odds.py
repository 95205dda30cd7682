"""Odds that the plan holds: the season's weather drawn many times, and what cannot be done moved on to the next day.

What waits is done first, on the next working day that is fit for its ground and has time and charge left, mostly a day
kept spare. A moved visit takes its share of the driving of the day it was planned on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from kit.constants.treatment_words import SUBLIMATION
from kit.plan.calendar import reminder
from kit.plan.jobs import Means, needs_firm
from kit.plan.rota import Rota, Visit
from kit.plan.solver.problem import Bools, Floats
from kit.plan.visit.visits import bend
from kit.plan.weather import Out, odds_table

DRAWS = 2000
WAITS_DAYS = 42
"""A visit that found no day within so many is lost to the weather."""
MOST_SPARE = 3
"""Spare days named for one visit."""


@dataclass(frozen=True)
class Held:
    """What the draws say.

    Parameters
    ----------
    mains_pct : float or None
        Draws in which every main treatment begins by the last day it may bend to; None without one [%].
    in_time_pct : tuple of float
        Of each visit of the plan, the draws in which it is done by the last day it may bend to [%].
    """

    mains_pct: float | None
    in_time_pct: tuple[float, ...]


class Asked(NamedTuple):
    """What one visit takes of a day, and when: planned for, done by, needing firm ground."""

    planned: int
    until: int
    minutes: float
    charge: float
    firm: bool


def held(rota: Rota, means: Means, *, seed: int) -> Held:
    """Draw the season's weather `DRAWS` times and move on what it holds up; days are alike for all apiaries."""
    if not rota.visits:
        return Held(None, ())
    first = rota.visits[0].day
    asked = [_asked(rota, visit, first) for visit in rota.visits]
    late = max(max(a.planned + WAITS_DAYS, a.until) for a in asked)
    days = [first + timedelta(days=k) for k in range(late + 1)]
    weather = means.weather.draw(days, np.random.default_rng([seed, len(days)]), DRAWS)
    done = _drawn(asked, weather, (_minutes(days, means), means.hives_a_day))
    in_time = done <= np.array([a.until for a in asked])
    mains = [v.number == 1 and v.job.wish.window == "main" for v in rota.visits]
    all_mains = float(100 * in_time[:, mains].all(axis=1).mean()) if any(mains) else None
    return Held(all_mains, tuple(float(x) for x in 100 * in_time.mean(axis=0)))


def _asked(rota: Rota, visit: Visit, first: date) -> Asked:
    day = next(day for day in rota.days if day.day == visit.day)
    stops = sum(other.day == visit.day for other in rota.visits)
    until = max((bend(rota, visit)[1] - first).days, (visit.day - first).days)
    charge = float(visit.job.hives) if visit.job.from_battery else 0.0
    minutes = visit.job.minutes + day.drive_min / stops
    return Asked((visit.day - first).days, until, minutes, charge, needs_firm(visit.job))


def _minutes(days: Sequence[date], means: Means) -> Floats:
    working = [day.weekday() in means.work_days and day not in means.lost_days for day in days]
    return np.where(working, means.hours * 60, 0.0)


def _drawn(asked: Sequence[Asked], weather: tuple[Bools, Bools], holds: tuple[Floats, float]) -> Floats:
    """Day each visit is done in each draw, infinite when it is not, shape (draws, visits)."""
    (fit, firm), (minutes, charge) = weather, holds
    done = np.full((len(fit), len(asked)), np.inf)
    order = sorted(range(len(asked)), key=lambda v: asked[v].planned)
    for d in np.flatnonzero(minutes > 0):
        time_left, charge_left = np.full(len(fit), minutes[d] + 1e-6), np.full(len(fit), charge + 1e-6)
        for v in (v for v in order if asked[v].planned <= d <= asked[v].planned + WAITS_DAYS):
            a = asked[v]
            can = (firm if a.firm else fit)[:, d] & np.isinf(done[:, v])
            can &= (time_left >= a.minutes) & (charge_left >= a.charge)
            done[can, v] = d
            time_left[can] -= a.minutes
            charge_left[can] -= a.charge
    return done


def season_odds(rota: Rota, means: Means) -> pd.DataFrame:
    """The odds by half month over the days of the plan; columns `ODDS_COLUMNS` of `kit.plan.weather`."""
    if not rota.days:
        return odds_table(means.weather, Out((), frozenset(), dry_ground=False))
    first, last = rota.days[0].day, rota.days[-1].day
    between = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    working = [day for day, minutes in zip(between, _minutes(between, means), strict=True) if minutes > 0]
    dry = any(v.job.site.access == "dry ground" for v in rota.visits)
    return odds_table(means.weather, Out(working, frozenset(day.day for day in rota.days), dry))


def with_odds(visits: pd.DataFrame, rota: Rota, means: Means, found: Held) -> pd.DataFrame:
    """The table of visits with the chance that its day can be worked, that it is done in time, and its spare days."""
    likely = [100 * means.weather.chance(v.day, firm=needs_firm(v.job)) for v in rota.visits]
    spare = ["; ".join(day.isoformat() for day in spare_for(rota, v)) for v in rota.visits]
    stop = [stop_rules(v, means) for v in rota.visits]
    odds = {"workable_pct": likely, "in_time_pct": list(found.in_time_pct), "spare_days": spare, "stop_rules": stop}
    return visits.assign(**{name: pd.Series(column, dtype=KINDS[name]) for name, column in odds.items()})


KINDS = {"workable_pct": "float64", "in_time_pct": "float64", "spare_days": "str", "stop_rules": "str"}


def stop_rules(visit: Visit, means: Means) -> str:
    """When not to begin, and when to stop and go home."""
    limits = means.weather.limits
    soft = needs_firm(visit.job)
    said = [f"air below {limits.air_c:g} °C", "rain", *(["ground that does not carry the vehicle"] if soft else [])]
    if visit.job.wish.word != SUBLIMATION:
        return f"Not today with {listed(said)}; stop when robbing begins."
    wind = f"wind above {limits.wind}" if math.isfinite(limits.wind_kmh) else "wind that carries the vapour at you"
    return (
        f"Not today with {listed([wind, *said])}. Stop when vapour comes back at you, when eyes or throat sting, "
        "when the machine heats slower than at the power-up check, or when the daylight left is less than the way out."
    )


def listed(parts: Sequence[str]) -> str:
    """Parts as alternatives."""
    return " or ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def spare_for(rota: Rota, visit: Visit) -> list[date]:
    """The next days kept spare to which a visit may bend."""
    last = bend(rota, visit)[1]
    return [day for day in kept_spare(rota) if visit.day < day <= last][:MOST_SPARE]


def spare_reminders(rota: Rota, label: int) -> list[dict[str, Any]]:
    """Rows of the calendar for the spare days that come while visits may still move on to them."""
    free = {day for visit in rota.visits for day in spare_for(rota, visit)}
    return [
        reminder(day, "", "spare day", f"spare-{label}-{day:%m%d}", "kept free for what the weather pushes on")
        for day in sorted(free)
    ]


def kept_spare(rota: Rota) -> list[date]:
    """The spare days on which nothing was planned after all, in the order of the year."""
    return sorted(rota.task.spare - {day.day for day in rota.days})
