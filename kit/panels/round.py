"""The panel "the round": the season's visits solved again with other hands, gear, days and start."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd

from kit.errors import CannotGoOnError
from kit.panels.fields import Choice, Number, Text, Values
from kit.panels.own import Own, own
from kit.panels.panel import Answer, Panel, Question, Words
from kit.panels.round_chart import days_chart
from kit.plan.mends import Setting
from kit.plan.rota import Figures, Rota
from kit.plan.tried import (
    Broken,
    Supposed,
    as_recorded,
    better_and_better,
    figures_of,
    setting_of,
    under,
    what_breaks,
)
from kit.report.charts.phrases import number
from kit.report.words.phrases import a_count, listed, money

NOTEBOOK = "try_round"
SEED = 1
ALL = "all"
WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SETS = ((0, 1, 2, 3, 4), (0, 1, 2, 3, 4, 5), (0, 1, 2, 3, 4, 5, 6), (5, 6), (4, 5, 6), (0, 2, 4))
ASSUMES = (
    "Treatments, dates allowed and hives are those of the plan that stands on your records.",
    "Everybody who comes along is paid, wears a fitted mask and counts for the minutes at the hives.",
    "One more battery gives what those you have give in the middle.",
    "What breaks: one thing goes wrong at a time, and the rest of the season is planned again knowing it.",
    "The search is not a proof: the written plan, which searches longer, carries a bound on how far off it may be.",
)


def panel(given: Mapping[str, Any]) -> Panel:
    """The panel; `given` are the notebook's parameters by name, and may hold other names.

    Raises
    ------
    CannotGoOnError
        When the folder cannot be read, or holds the pages of a run without the records.
    """
    mine = Mine(own(given.get("folder", "")))
    question = Question(
        notebook=NOTEBOOK,
        context={"folder": given.get("folder", "")},
        fields=mine.fields(),
        recorded=mine.recorded,
        refused=mine.refused,
        answers=mine.answers,
        assumes=ASSUMES,
        data=mine.own.said,
        jurisdiction=mine.own.jurisdiction,
    )
    return Panel(question, given)


@dataclass
class Mine:
    """The panel's questions to what is recorded."""

    own: Own

    @cached_property
    def setting(self) -> Setting:
        """What the plan is solved from."""
        if self.own.records is None:
            raise CannotGoOnError("the round is planned from the record sheets; give their folder, not that of a run")
        return setting_of(self.own.records, self.own.review, seed=SEED)

    @cached_property
    def usual(self) -> Supposed:
        """The means as recorded."""
        return as_recorded(self.setting)

    @property
    def currency(self) -> str:
        """As in the settings."""
        return str(self.own.settings["currency"])

    @cached_property
    def base(self) -> Rota:
        """The plan with the means as recorded, from which every search begins: the same question, the same answer."""
        return list(better_and_better(self.setting))[-1]

    def fields(self) -> tuple[Any, ...]:
        """The controls."""
        sets = dict.fromkeys([self.usual.work_days, *SETS])
        days = [(days_said(days), days_said(days)) for days in sets]
        known = ", ".join(self.usual.apiaries)
        return (
            Number("people", "People", "", 1, 6, 1, "each with mask, fit test and insurance", whole=True),
            Number("machines", "Machines", "", 1, 6, 1, "no more work than people", whole=True),
            Number("batteries", "Batteries", "", 0, 12, 1, "charged overnight", whole=True),
            Choice("work_days", "Days worked", days, "yours first"),
            Number("hours", "Hours in a day", "h", 1, 14, 0.5, "driving with it"),
            Number("supers_shift", "Supers off later", "days", -28, 28, 1, "below 0 earlier", whole=True),
            Text("apiaries", "Apiaries", "all, or ids with commas between", f"all, or some of: {known}"),
        )

    def recorded(self, _: str) -> Values:
        """The means as recorded."""
        usual = self.usual
        return {
            "people": usual.people, "machines": usual.machines, "batteries": usual.batteries,
            "work_days": days_said(usual.work_days), "hours": usual.hours, "supers_shift": 0, "apiaries": ALL,
        }  # fmt: skip

    def refused(self, values: Values) -> Mapping[str, str]:
        """Means that do not fit together."""
        unknown = [apiary for apiary in self._apiaries(values) if apiary not in self.usual.apiaries]
        if unknown or not self._apiaries(values):
            known = ", ".join(self.usual.apiaries)
            return {"apiaries": f"Apiaries: {', '.join(unknown) or 'none'} is not planned for; there are: {known}."}
        if values["machines"] > values["people"]:
            return {"machines": f"Machines: {values['people']} people work no more than {values['people']} machines."}
        return {}

    def supposed(self, values: Values) -> Supposed:
        """The means that the controls stand for."""
        days = tuple(WEEK.index(day) for day in values["work_days"].split())
        means = (values["people"], values["machines"], values["batteries"], days, values["hours"])
        return Supposed(*means, values["supers_shift"], self._apiaries(values))

    def _apiaries(self, values: Values) -> tuple[str, ...]:
        if values["apiaries"].strip().casefold() == ALL:
            return self.usual.apiaries
        return tuple(name.strip() for name in values["apiaries"].split(",") if name.strip())

    def answers(self, values: Values) -> Iterator[Answer]:
        """The plan, better and better, then what breaks it; each answer stands until the next."""
        tried = under(self.setting, self.supposed(values))
        rota, shown = None, None
        for rota in better_and_better(tried, self.base):
            if shown is None or rota.schedule.cost < shown:
                shown = rota.schedule.cost
                now = figures_of(tried, rota)
                yield Answer("words", _words(now, rota, self.currency, "still looking for what breaks it"))
                yield Answer("days", days_chart(rota, tried.ahead.treat_by, tried.means.hours))
        if rota is None:
            return
        broken: list[Broken] = []
        for one in what_breaks(tried, rota):
            broken.append(one)
            yield Answer("breaks", breaks_table(now, broken))
        yield Answer("words", _words(now, rota, self.currency, _first_to_break(now, broken)))


def days_said(days: tuple[int, ...]) -> str:
    """Weekdays as a parameter holds them.

    Examples
    --------
    >>> days_said((0, 5))
    'Mon Sat'
    """
    return " ".join(WEEK[day] for day in days)


def breaks_table(now: Figures, broken: list[Broken]) -> pd.DataFrame:
    """A row for each thing that may go wrong, the plan as it stands first."""
    rows = [
        {
            "when": what,
            "apiaries late": len(figures.late),
            "days late in all": figures.late_days,
            "hives lost by it": number(figures.hives_lost),
            "hours": round(figures.hours),
        }
        for what, figures in [("nothing goes wrong", now), *broken]
    ]
    return pd.DataFrame(rows).set_index("when")


def _first_to_break(now: Figures, broken: list[Broken]) -> str:
    worst = max(broken, key=lambda one: (one.figures.late_cost, one.figures.late_days), default=None)
    if worst is None or (worst.figures.late_cost, worst.figures.late_days) <= (now.late_cost, now.late_days):
        return "nothing that may go wrong makes it later"
    late = a_count(len(worst.figures.late), "apiary", "apiaries")
    return f"what breaks it first is {worst.what}: {late} late, {worst.figures.late_days} days in all"


def _words(now: Figures, rota: Rota, currency: str, breaks: str) -> Words:
    late = f"{listed(list(now.late))} late, {now.late_days} days in all" if now.late else "no apiary late"
    left = sorted({job.site.apiary for job in rota.left_out})
    return Words(
        [
            f"{a_count(len(rota.days), 'day', 'days')} out and {now.hours:.0f} hours, {now.drive_hours:.0f} of them "
            f"driving: {late}.",
            f"Hours and driving cost {money(now.cost, currency)}, lateness {money(now.late_cost, currency)} in hives; "
            f"{breaks}.",
        ],
        [f"no day was found for a treatment at {listed(left)}."] if left else [],
    )
