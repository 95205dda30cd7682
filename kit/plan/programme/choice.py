"""Which programme at each apiary: the least work that keeps a hive below its limits with the chance wanted.

Every candidate runs over the same draws of the apiary's hives, on the days it would usually begin. Once the season is
under way only the limits that are still judged count. When none reaches the chance, it is said, and of those as good as
the best the one is taken that costs least, work and colonies lost together. A programme that an earlier plan chose goes
on unless another is better by more than draws can mistake.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from kit.constants.treatment_words import LAYING_STOPS, OXALIC
from kit.plan.again.done import Series, left_to_do, over
from kit.plan.ahead import Ahead
from kit.plan.programme.futures import Futures, Given, Outlook
from kit.plan.programme.options import Candidate
from kit.plan.programme.toil import Toil
from kit.plan.programme.windows import window_at
from kit.plan.programme.wishes import AFTER_CAGING, IN_SPLITS, Wanted
from kit.plan.sites import Site

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
    colonies_cost : float
        Of the colonies it is expected to lose, by all causes [currency].
    """

    candidate: Candidate
    outlook: Outlook
    toil: Toil
    colonies_cost: float = 0.0

    @property
    def money(self) -> float:
        """Of work, medicines as far as their prices are recorded, and colonies lost."""
        medicine = self.toil.medicine_cost
        return self.toil.cost.p50 + (0.0 if math.isnan(medicine) else medicine) + self.colonies_cost


class Choice(NamedTuple):
    """One apiary's candidates, the place of the chosen one, and whether it reaches the chance wanted.

    `before` is the place of the one that an earlier plan chose, None without one or where it is no longer weighed;
    `named_before` its treatments in full, '' without an earlier plan.
    """

    weighed: tuple[Weighed, ...]
    chosen: int
    reached: bool
    before: int | None = None
    named_before: str = ""

    @property
    def wishes(self) -> tuple[Wanted, ...]:
        """The treatments chosen."""
        return self.weighed[self.chosen].candidate.wishes


def chosen_from(weighed: Sequence[Weighed], wanted_pct: float, before: int | None = None) -> Choice:
    """The least work among those that reach the chance; else the least money of those as good as the best.

    One that may not be chosen is taken only where nothing else that may has a main treatment and it does. The one in
    the place `before`, of an earlier plan, is kept where it may be, reaches the chance or is as good as the best.
    """
    may = [n for n, one in enumerate(weighed) if not one.candidate.why_not]
    if not any(_has_main(weighed[n]) for n in may):
        may += [n for n, one in enumerate(weighed) if one.candidate.did and n not in may]
    chance = [one.outlook.chances.still_open for one in weighed]
    enough = [n for n in may if chance[n] >= wanted_pct]
    near = [n for n in may if chance[n] >= max(chance[n] for n in may) - NEAR_BEST_POINTS]
    if before in (*enough, *near):
        return Choice(tuple(weighed), before, before in enough, before)
    if enough:
        chosen = min(enough, key=lambda n: (*_work(weighed[n]), n))
    else:
        chosen = min(near, key=lambda n: (weighed[n].money, *_work(weighed[n]), n))
    return Choice(tuple(weighed), chosen, bool(enough), before)


def _has_main(one: Weighed) -> bool:
    return any(wish.window == "main" for wish in one.candidate.wishes)


def _work(one: Weighed) -> tuple[float, float]:
    return one.toil.minutes.p50, one.toil.cost.p50


def usual_days(
    wishes: Sequence[Wanted], site: Site, ahead: Ahead, done: Sequence[Series] = (),
    begun: Mapping[str, date] | None = None,
) -> list[Given]:  # fmt: skip
    """A programme on the days it would usually begin, or on those on which its window's visit is planned.

    What is done stays on its days and goes on from them; what may no longer begin is not given.

    Parameters
    ----------
    wishes : sequence of Wanted
        The programme.
    site : Site
        The apiary.
    ahead : Ahead
        The season planned.
    done : sequence of Series
        What of the season is done there.
    begun : mapping, optional
        First day of the plan's own treatment by window.
    """
    left = left_to_do(wishes, done)
    found = [given_already(one) for one in over(done, left)]
    for wish in left:
        if wish.begun:
            found.append(gone_on(wish, ahead.earliest))
        elif wish.basis == AFTER_CAGING and found and found[-1].until is not None:
            found.append(Given(wish.word, (found[-1].until,), dose_g=wish.dose_g, window=wish.window))
        else:
            found.append(_begun_anew(wish, site, ahead, begun or {}))
    return found


def _begun_anew(wish: Wanted, site: Site, ahead: Ahead, begun: Mapping[str, date]) -> Given:
    window = window_at(wish, site, ahead)
    if window.opens > window.closes:
        return Given(wish.word, (), window=wish.window)
    day = begun.get(wish.window) if wish.word not in LAYING_STOPS and wish.basis != IN_SPLITS else None
    return begun_on(wish, day if day is not None and _allows(wish, day) else usual_day(wish, site, ahead))


def given_already(one: Series) -> Given:
    """What is done and over, on its days."""
    days = tuple(visit[-1].day for visit in one.rounds)
    return Given(one.word, days, one.out, one.dose_g, one.window, one.in_parts)


def gone_on(wish: Wanted, earliest: date) -> Given:
    """A treatment begun with what is left of it, in the middle of what its gaps allow."""
    if wish.begun is None:
        return begun_on(wish, earliest)
    every = timedelta(days=sum(wish.gaps) // 2)
    next_day = max(wish.begun.last + every, earliest)
    return given_on(wish, (*wish.begun.days, *(next_day + k * every for k in range(wish.visits))))


def _allows(wish: Wanted, day: date) -> bool:
    return wish.warm is None or wish.warm.first <= day <= wish.warm.last


def usual_day(wish: Wanted, site: Site, ahead: Ahead) -> date:
    """Two weeks before it is late, in winter as soon as the odds are good; a caged queen is out when supers are off."""
    window = window_at(wish, site, ahead)
    if wish.window == "winter" or wish.basis == IN_SPLITS:
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
    return Given(wish.word, days, dose_g=wish.dose_g, window=wish.window, in_parts=wish.basis == IN_SPLITS)


DRONE_DAYS = 7


def weigh(
    candidates: Sequence[Candidate], futures: Futures, place: tuple[Site, Ahead], toils: Sequence[Toil],
    done: Sequence[Series] = (), colony_value: float = 0.0,
) -> list[Weighed]:  # fmt: skip
    """Every candidate of one apiary in its season run over its draws, with what is done there."""
    outlooks = [futures.outlook(usual_days(one.wishes, *place, done)) for one in candidates]
    stake = place[0].hives * colony_value / 100
    return [
        Weighed(one, outlook, toil, outlook.loss_mean_pct * stake)
        for one, outlook, toil in zip(candidates, outlooks, toils, strict=True)
    ]
