"""The plan solved again under other means: other hands, gear, days or start; better answers one after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from kit.calc.effort import Crew
from kit.plan.make import means_of
from kit.plan.mends import Setting, shortages, solve_again
from kit.plan.prepared import prepared, setting_of
from kit.plan.programme.futures import Futures
from kit.plan.programme.risks import risks_of
from kit.plan.programme.supposed import Programme, wishes_of
from kit.plan.programme.wishes import Cut
from kit.plan.rota import Figures, Rota, Work, figures, plan_with
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records

STEPS_A_PIECE, PIECES = 1500, 6
"""Steps of the search between two answers, and how many answers are sought."""


@dataclass(frozen=True)
class Supposed:
    """What is supposed of the means.

    Parameters
    ----------
    people, machines, batteries : int
        Who and what works; no more machines work than people.
    work_days : tuple of int
        Weekdays worked, Monday 0.
    hours : float
        Work in a day [h].
    supers_shift : int
        Days the supers come off later, negative for earlier.
    apiaries : tuple of str
        Those of the round.
    """

    people: int
    machines: int
    batteries: int
    work_days: tuple[int, ...]
    hours: float
    supers_shift: int
    apiaries: tuple[str, ...]


class Broken(NamedTuple):
    """What goes wrong with the season when one thing does: its name and the figures of the best plan left."""

    what: str
    figures: Figures


@dataclass(frozen=True)
class Basis:
    """What a season is planned from, and what another programme is weighed with."""

    setting: Setting
    records: Records
    futures: Mapping[str, Futures]


def basis_of(records: Records, review: Findings, *, seed: int) -> Basis:
    """All that `kit.plan.make.make` solves from."""
    means = means_of(records, review, seed=seed)
    base = prepared(records, review, means, seed=seed)
    return Basis(setting_of(base, means, seed=seed), records, base.futures)


def programmed(basis: Basis, programme: Programme) -> tuple[Setting, list[Cut]]:
    """The setting with another programme at one apiary, priced by its own mites, and what labels took away from it."""
    setting = basis.setting
    wishes, cuts = wishes_of(programme, basis.records, setting.treatments)
    others = [t for t in setting.treatments if t.apiary != programme.apiary]
    risks = {**setting.risks, **risks_of(basis.futures, wishes, setting.ground, setting.ahead)}
    return replace(setting, treatments=[*others, *wishes], risks=risks), cuts


def as_recorded(setting: Setting) -> Supposed:
    """The means as the records have them."""
    means = setting.means
    crew = means.hands.crew
    apiaries = tuple(dict.fromkeys(t.apiary for t in setting.treatments))
    return Supposed(
        crew.people, crew.machines, means.charge.batteries, means.work_days, means.hours, means.supers_shift, apiaries
    )


def under(setting: Setting, supposed: Supposed) -> Setting:
    """The setting with the means supposed; labour is paid for everybody who comes along.

    Raises
    ------
    ValidityError
        For fewer than one person or machine.
    """
    means, crew = setting.means, setting.means.hands.crew
    more = (supposed.people - crew.people) * means.labour_per_hour / 60
    hands = means.hands._replace(crew=Crew(supposed.people, min(supposed.machines, supposed.people), crew.group_size))
    changed = replace(
        means,
        work_days=supposed.work_days,
        hours=supposed.hours,
        supers_shift=supposed.supers_shift,
        hands=hands,
        charge=means.charge._replace(batteries=supposed.batteries),
        money_per_min=means.money_per_min + more,
    )
    treatments = [t for t in setting.treatments if t.apiary in supposed.apiaries]
    return replace(setting, treatments=treatments, means=changed)


def better_and_better(setting: Setting, start: Rota | None = None) -> Iterator[Rota]:
    """Plans, each as good as the one before or better; the first one within a second on an operation of ten apiaries.

    `start` is an earlier plan to begin from. The same setting and start give the same plans.
    """
    best: Rota | None = None
    for piece in range(PIECES):
        work = Work(STEPS_A_PIECE, 1, setting.seed + piece, best or start)
        found = plan_with(setting.treatments, setting.ground, setting.ahead, setting.means, setting.risks, work)
        if best is None or found.schedule.cost < best.schedule.cost:
            best = found
        yield best


def figures_of(setting: Setting, rota: Rota) -> Figures:
    """The figures of a plan under its setting."""
    return figures(rota, setting.ahead, setting.means, setting.risks)


def what_breaks(setting: Setting, rota: Rota) -> Iterator[Broken]:
    """Each thing that may go wrong, one at a time, with the plan solved again for it."""
    for change in shortages(setting.means, rota, setting.ahead):
        yield Broken(change.name, solve_again(setting, rota, change).figures)
