"""Odds that the plan holds: days that cannot be worked push a first round on, as far as it may bend."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from kit.constants import plan
from kit.plan.jobs import Means
from kit.plan.rota import Rota
from kit.plan.visits import bend

DRAWS = 4000
_BY_WINDOW = {"autumn": plan.WORKABLE_AUTUMN_PCT, "winter": plan.WORKABLE_WINTER_PCT}


def holds_pct(rota: Rota, means: Means, *, seed: int) -> float | None:
    """Chance that every main treatment begins on its day or a working day it may bend to; None without one.

    Returns
    -------
    float or None
        [%]. A day is workable or not for all apiaries alike, independent of other days; who is pushed on is assumed to
        find room there.
    """
    spans = {
        _span(rota, visit, means) for visit in rota.visits if visit.number == 1 and visit.job.wish.window == "main"
    }
    if not spans:
        return None
    days = sorted({day for span in spans for day in span})
    at = {day: k for k, day in enumerate(days)}
    open_days = np.random.default_rng([seed, len(days)]).random((DRAWS, len(days))) < workable_pct("main") / 100
    held = np.ones(DRAWS, dtype=bool)
    for span in sorted(spans):
        held &= open_days[:, [at[day] for day in span]].any(axis=1)
    return float(100 * held.mean())


def _span(rota: Rota, visit: object, means: Means) -> tuple[date, ...]:
    first = visit.day  # type: ignore[attr-defined]
    _, last = bend(rota, visit)  # type: ignore[arg-type]
    days = [first + timedelta(days=k) for k in range(max((last - first).days, 0) + 1)]
    return tuple(day for day in days if day == first or day.weekday() in means.work_days)


def workable_pct(window: str) -> float:
    """Chance that a day of a window can be worked [%]."""
    return _BY_WINDOW.get(window, plan.WORKABLE_MAIN_PCT).value
