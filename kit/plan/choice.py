"""Which programme at each apiary: the least work that keeps a hive below its limits with the chance wanted.

Every candidate runs over the same draws of the apiary's hives, on the days it would usually begin. When none reaches
the chance, the best of them is taken and it is said.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from kit.calc.treatments import LAYING_STOPS
from kit.plan.ahead import Ahead
from kit.plan.futures import Futures, Given, Outlook
from kit.plan.labels import OXALIC
from kit.plan.options import AFTER_CAGING, Candidate
from kit.plan.sites import Site
from kit.plan.toil import Toil
from kit.plan.windows import window_at
from kit.plan.wishes import Wanted

BEFORE_DUE_DAYS = 14
"""A treatment usually begins so many days before it is late, if it may."""
NEAR_BEST_POINTS = 3.0
"""Chances that two hundred draws do not tell apart."""


class Weighed(NamedTuple):
    """A candidate with what it promises and what it asks for.

    Parameters
    ----------
    candidate : Candidate
        The programme.
    outlook : Outlook
        On usual days.
    toil : Toil
        Work, acid and money.
    """

    candidate: Candidate
    outlook: Outlook
    toil: Toil


class Choice(NamedTuple):
    """One apiary's candidates, the place of the chosen one, and whether it reaches the chance wanted."""

    weighed: tuple[Weighed, ...]
    chosen: int
    reached: bool

    @property
    def wishes(self) -> tuple[Wanted, ...]:
        """The treatments chosen."""
        return self.weighed[self.chosen].candidate.wishes


def chosen_from(weighed: Sequence[Weighed], wanted_pct: float) -> Choice:
    """The least work among those that reach the chance; else among those as good as the best, as far as draws tell.

    One that may not be chosen is taken only where nothing else that may has a main treatment and it does.
    """
    may = [n for n, one in enumerate(weighed) if not one.candidate.why_not]
    if not any(_has_main(weighed[n]) for n in may):
        may += [n for n, one in enumerate(weighed) if one.candidate.did and n not in may]
    enough = [n for n in may if weighed[n].outlook.chances.all >= wanted_pct]
    if enough:
        return Choice(tuple(weighed), min(enough, key=lambda n: (*_work(weighed[n]), n)), True)
    best = max(weighed[n].outlook.chances.all for n in may)
    near = [n for n in may if weighed[n].outlook.chances.all >= best - NEAR_BEST_POINTS]
    return Choice(tuple(weighed), min(near, key=lambda n: (*_work(weighed[n]), n)), False)


def _has_main(one: Weighed) -> bool:
    return any(wish.window == "main" for wish in one.candidate.wishes)


def _work(one: Weighed) -> tuple[float, float]:
    return one.toil.minutes.p50, one.toil.cost.p50


def usual_days(candidate: Candidate, site: Site, ahead: Ahead, begun: Mapping[str, date] | None = None) -> list[Given]:
    """A candidate on the days it would usually begin, or on those on which its window's visit is planned.

    Parameters
    ----------
    candidate : Candidate
        The programme.
    site : Site
        The apiary.
    ahead : Ahead
        The season planned.
    begun : mapping, optional
        First day of the plan's own treatment by window.
    """
    found: list[Given] = []
    for wish in candidate.wishes:
        if wish.basis == AFTER_CAGING and found and found[-1].until is not None:
            found.append(Given(wish.word, (found[-1].until,), dose_g=wish.dose_g, window=wish.window))
            continue
        day = (begun or {}).get(wish.window) if wish.word not in LAYING_STOPS else None
        found.append(begun_on(wish, day if day is not None and _allows(wish, day) else usual_day(wish, site, ahead)))
    return found


def _allows(wish: Wanted, day: date) -> bool:
    return wish.warm is None or wish.warm.first <= day <= wish.warm.last


def usual_day(wish: Wanted, site: Site, ahead: Ahead) -> date:
    """Two weeks before it is late, in winter as soon as the odds are good; a caged queen is out when supers are off."""
    window = window_at(wish, site, ahead)
    if wish.window == "winter":
        return window.opens
    due = window.due - timedelta(days=BEFORE_DUE_DAYS)
    if wish.word in LAYING_STOPS and wish.window == "main":
        due = max(due, site.off.day) - timedelta(days=wish.gaps[0])
    return max(window.opens, due)


def begun_on(wish: Wanted, day: date) -> Given:
    """A treatment begun on a day, its rounds in the middle of what its gaps allow."""
    every = timedelta(days=sum(wish.gaps) // 2)
    if wish.placed:
        return Given(wish.word, (day,), day + every, window=wish.window)
    days = tuple(day + k * every for k in range(wish.rounds))
    return given_on(wish, days)


def given_on(wish: Wanted, days: tuple[date, ...]) -> Given:
    """A treatment on its days; drone combs are cut once and again, which is one stretch of trapping."""
    if wish.placed or (wish.word not in OXALIC and len(days) > 1):
        return Given(
            wish.word, days[:1], days[-1] + timedelta(days=0 if wish.placed else DRONE_DAYS), window=wish.window
        )
    return Given(wish.word, days, dose_g=wish.dose_g, window=wish.window)


DRONE_DAYS = 7


def weigh(
    candidates: Sequence[Candidate], futures: Futures, site: Site, ahead: Ahead, toils: Sequence[Toil]
) -> list[Weighed]:
    """Every candidate of one apiary run over its draws."""
    return [
        Weighed(one, futures.outlook(usual_days(one, site, ahead)), toil)
        for one, toil in zip(candidates, toils, strict=True)
    ]
