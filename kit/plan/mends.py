"""What breaks first and what mends it: the season solved again with one thing changed, and the difference said."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any, NamedTuple

import pandas as pd

from kit.calc.effort import Crew
from kit.constants import effort, plan
from kit.plan.again.done import Series
from kit.plan.ahead import Ahead
from kit.plan.grounds import OtherGround, moved, powered
from kit.plan.jobs import Means, Risks
from kit.plan.programme.wishes import Wanted
from kit.plan.rota import Figures, Rota, Work, figures, main_starts, plan_with
from kit.plan.sites import Ground

MEND_COLUMNS = [
    "mend",
    "cost",
    "apiaries_late",
    "apiaries_saved",
    "late_days",
    "late_days_saved",
    "colonies_saved",
    "hours",
    "hours_saved",
    "money_saved",
    "worth_it",
    "against",
    "note",
]
STEPS = (2000, 60)
"""Steps of the search for each thing changed, at least and for each job; it begins from the plan as it stands."""
LEAST_HOURS = 0.5
"""Less saved in a season lies within what two searches differ by (0.7 % of 56 h on the demo); so does its money."""


@dataclass(frozen=True)
class Setting:
    """All that a plan is solved from, and what is done of it."""

    treatments: Sequence[Wanted]
    ground: Ground
    ahead: Ahead
    means: Means
    risks: Risks
    seed: int
    done: Sequence[Series] = ()


class Change(NamedTuple):
    """One thing changed: its name, the means with it, its price, what to mind, and the ground where that changes."""

    name: str
    means: Means
    price: Callable[[Figures], float]
    note: str
    ground: Ground | None = None


class Tried(NamedTuple):
    """A change and the figures of the plan with it."""

    change: Change
    figures: Figures


def solve_again(setting: Setting, base: Rota, change: Change) -> Tried:
    """The season with one thing changed, beginning from the plan as it stands."""
    return Tried(change, figures(_solved(setting, base, change), setting.ahead, change.means, setting.risks))


def _solved(setting: Setting, base: Rota, change: Change) -> Rota:
    ground, work = change.ground or setting.ground, Work(*STEPS, setting.seed, base)
    return plan_with(setting.treatments, ground, setting.ahead, change.means, setting.risks, work)


def possible_mends(means: Means, gear: pd.DataFrame) -> list[Change]:
    """One more battery, machine, helper, working day a week, and a week earlier: what changes the means."""
    crew, charge = means.hands.crew, means.charge
    cost = gear.loc[gear["kind"] == "battery", "cost"].dropna()
    battery = float(cost.iloc[-1]) if len(cost) else plan.BATTERY_PRICE.value
    found = [
        Change(
            "one more battery",
            replace(means, charge=charge._replace(batteries=charge.batteries + 1)),
            lambda _: battery,
            "" if len(cost) else "price assumed",
        ),
        _machine(means, gear),
        Change(
            "a helper",
            _with_crew(means, replace(crew, people=crew.people + 1)),
            lambda f: plan.HELPER_KIT_PRICE.value + plan.INSURANCE_PRICE.value,
            "a fitted mask, a fit test and insurance are priced in; the hours are in the hours' cost",
        ),
        Change(
            "supers off a week earlier",
            replace(means, supers_shift=-7),
            lambda _: 0.0,
            "honey given up by it is not priced: yours to judge",
        ),
    ]
    spare = [day for day in range(7) if day not in means.work_days]
    if spare:
        name = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"][spare[0]]
        more = replace(means, work_days=tuple(sorted((*means.work_days, spare[0]))))
        found.append(Change(f"working on {name}s too", more, lambda _: 0.0, "the hours are in the hours' cost"))
    return found


def _of_ground(setting: Setting, base: Rota, gear: pd.DataFrame) -> list[Change]:
    """An apiary moved, and a supply for all weather."""
    ground, means = setting.ground, setting.means
    found = (moved(base, ground, means), powered(base, ground, gear))
    return [_on_it(other, means) for other in found if other is not None]


def _on_it(other: OtherGround, means: Means) -> Change:
    return Change(other.name, means, lambda _: other.price, other.note, other.ground)


def _machine(means: Means, gear: pd.DataFrame) -> Change:
    crew = means.hands.crew
    cost = gear.loc[gear["kind"] == "sublimator", "cost"].dropna()
    price = float(cost.iloc[-1]) if len(cost) else effort.HEATED_OUTLAY.value
    helped = (
        "" if crew.people > crew.machines else "one pair of hands works one machine: it needs a helper to gain time"
    )
    more = _with_crew(means, replace(crew, machines=crew.machines + 1))
    return Change("one more sublimator", more, lambda _: price, helped or ("" if len(cost) else "price assumed"))


def _with_crew(means: Means, crew: Crew) -> Means:
    per_min = means.money_per_min + (crew.people - means.hands.crew.people) * means.labour_per_hour / 60
    return replace(means, hands=means.hands._replace(crew=crew), money_per_min=per_min)


def mends_table(
    setting: Setting, base: Rota, gear: pd.DataFrame, worst: Change | None, progress: Callable[[str], None]
) -> pd.DataFrame:
    """One row for each mend, the most money saved first; columns `MEND_COLUMNS`.

    Where the plan as it stands has nothing late and nothing left out, mends are tried against the `worst` shortage, and
    `against` names it.
    """
    against = ""
    if worst is not None and not figures(base, setting.ahead, setting.means, setting.risks).late_cost > 0:
        setting, base, against = replace(setting, means=worst.means), _solved(setting, base, worst), worst.name
    now = figures(base, setting.ahead, setting.means, setting.risks)
    rows = []
    for change in [*possible_mends(setting.means, gear), *_of_ground(setting, base, gear)]:
        progress(change.name)
        rows.append(_row(now, solve_again(setting, base, change), setting.means.money_per_min) | {"against": against})
    table = pd.DataFrame(rows, columns=MEND_COLUMNS)
    return table.sort_values(["money_saved", "mend"], ascending=[False, True], kind="stable", ignore_index=True)


def _row(now: Figures, tried: Tried, money_per_min: float) -> dict[str, Any]:
    then = tried.figures
    price = tried.change.price(then)
    money = now.cost + now.late_cost - then.cost - then.late_cost - price
    saved = len(now.late) - len(then.late)
    days = now.late_days - then.late_days
    return {
        "mend": tried.change.name,
        "cost": price,
        "apiaries_late": len(then.late),
        "apiaries_saved": saved,
        "late_days": then.late_days,
        "late_days_saved": days,
        "colonies_saved": _clean(now.hives_lost - then.hives_lost, 2),
        "hours": then.hours,
        "hours_saved": _clean(now.hours - then.hours, 1),
        "money_saved": _clean(money, 0),
        "worth_it": worth_it(money, money_per_min),
        "note": tried.change.note,
    }


def worth_it(money_saved: float, money_per_min: float) -> str:
    """Whether money saved is more than two searches differ by, with a minute of work and driving at that price.

    >>> worth_it(2.0, 0.4), worth_it(78.0, 0.4), worth_it(-70.0, 0.4)
    ('no', 'yes', 'no')
    """
    return "yes" if money_saved >= 60 * LEAST_HOURS * money_per_min else "no"


def _clean(difference: float, digits: int) -> float:
    """A difference of two plans no finer than it is known, and no minus before a zero."""
    return round(difference, digits) + 0.0


def cheapest(mends: pd.DataFrame, most: int = 3) -> list[dict[str, Any]]:
    """The cheapest mends that save late days or colonies, or hours worth their price, each with what it saves."""
    in_time = (mends["late_days_saved"] > 0) | (mends["colonies_saved"] > 0.05)
    pays = (mends["hours_saved"] >= LEAST_HOURS) & (mends["worth_it"] == "yes")
    helps = mends[(in_time | pays) & (mends["late_days_saved"] >= 0) & (mends["colonies_saved"] > -0.05)]
    picked = helps.sort_values(["cost", "money_saved"], ascending=[True, False], kind="stable").head(most)
    columns = ["mend", "cost", "apiaries_saved", "late_days_saved", "colonies_saved", "hours_saved", "money_saved"]
    whole = {"apiaries_saved", "late_days_saved"}
    return [
        {
            name: int(row[name]) if name in whole else row[name] if name == "mend" else float(row[name])
            for name in columns
        }
        for _, row in picked.iterrows()
    ]


def shortages(means: Means, base: Rota, ahead: Ahead) -> list[Change]:
    """What may go wrong with the season, one thing at a time."""
    starts = [day for day in main_starts(base).values() if day]
    first = min(starts, default=ahead.treat_by)
    rain = tuple(first + timedelta(days=k) for k in range(10))
    slower = means.hands._replace(own_pace=means.hands.own_pace * 1.1)
    found = [
        ("a day in ten lost to weather", replace(means, lost_days=_every_tenth(means, base))),
        ("visits a tenth slower", replace(means, hands=slower)),
        ("supers off a week later", replace(means, supers_shift=7)),
        ("ten days of rain", replace(means, lost_days=rain)),
    ]
    if any(job.from_battery for job in base.task.jobs):
        found.append(("batteries in their poor case", replace(means, doses_a_charge=max(means.charge.doses.p05, 1.0))))
    return [Change(name, changed, lambda _: 0.0, "") for name, changed in found]


def _every_tenth(means: Means, base: Rota) -> tuple[Any, ...]:
    days = [base.task.day(d) for d in range(base.task.problem.days)]
    return tuple([day for day in days if day.weekday() in means.work_days][4::10])


def breaks_first(setting: Setting, base: Rota, progress: Callable[[str], None]) -> Tried | None:
    """The shortage that costs most, None when none costs anything."""
    now = figures(base, setting.ahead, setting.means, setting.risks)
    tried = []
    for change in shortages(setting.means, base, setting.ahead):
        progress(change.name)
        tried.append(solve_again(setting, base, change))
    worst = max(tried, key=lambda t: (t.figures.late_cost - now.late_cost, t.figures.late_days - now.late_days))
    more = worst.figures.late_cost - now.late_cost
    if more <= 0 and worst.figures.late_days <= now.late_days:
        return None
    return worst


def breaks_facts(worst: Tried | None) -> dict[str, Any] | None:
    """The shortage that costs most as facts."""
    if worst is None:
        return None
    return {
        "what": worst.change.name,
        "apiaries_late": len(worst.figures.late),
        "apiaries_left_out": len(worst.figures.left_out),
        "late_days": worst.figures.late_days,
        "late_cost": worst.figures.late_cost,
    }
