"""The panel "the round": the season's visits solved again with other hands, gear, days and start."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import pandas as pd

from kit.errors import CannotGoOnError, ValidityError
from kit.panels.fields import Choice, Number, Text, Values
from kit.panels.own import Own, own
from kit.panels.panel import Answer, Panel, Question, Words
from kit.panels.round_chart import days_chart
from kit.plan.mends import Setting
from kit.plan.programme.supposed import Programme, programme_from
from kit.plan.programme.wishes import Cut
from kit.plan.rota import Figures, Rota
from kit.plan.tried import (
    Basis,
    Broken,
    Supposed,
    as_recorded,
    basis_of,
    better_and_better,
    figures_of,
    programmed,
    under,
    what_breaks,
)
from kit.report.charts.phrases import number
from kit.report.words.phrases import a_count, money
from kit.report.words.trying import Said, all_of, control, trying

NOTEBOOK = "try_round"
SEED = 1
ALL = "all"
WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SETS = ((0, 1, 2, 3, 4), (0, 1, 2, 3, 4, 5), (0, 1, 2, 3, 4, 5, 6), (5, 6), (4, 5, 6), (0, 2, 4))


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
        assumes=all_of("round_assumes"),
        data=mine.own.said,
        jurisdiction=mine.own.jurisdiction,
    )
    return Panel(question, given)


@dataclass
class Mine:
    """The panel's questions to what is recorded."""

    own: Own

    @cached_property
    def basis(self) -> Basis:
        """What the plan is solved from."""
        if self.own.records is None:
            raise CannotGoOnError("the round is planned from the record sheets; give their folder, not that of a run")
        return basis_of(self.own.records, self.own.review, seed=SEED)

    @property
    def setting(self) -> Setting:
        """The same, with the programmes of the plan."""
        return self.basis.setting

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
        say, known = trying(), ", ".join(self.usual.apiaries)
        sets = dict.fromkeys([self.usual.work_days, *SETS])
        days = [(days_said(days), days_said(days)) for days in sets]
        return (
            Number("people", _said("people"), 1, 6, 1, whole=True),
            Number("machines", _said("machines"), 1, 6, 1, whole=True),
            Number("batteries", _said("batteries"), 0, 12, 1, whole=True),
            Choice("work_days", _said("work_days"), days),
            Number("hours", _said("hours"), 1, 14, 0.5),
            Number("supers_shift", _said("supers_shift"), -28, 28, 1, whole=True),
            Text("apiaries", _said("apiaries", known=known), say("round.apiaries_example"), more=True),
            Text("programme", _said("programme"), say("round.programme_example"), more=True),
        )

    def recorded(self, _: str) -> Values:
        """The means as recorded."""
        usual = self.usual
        return {
            "people": usual.people, "machines": usual.machines, "batteries": usual.batteries,
            "work_days": days_said(usual.work_days), "hours": usual.hours, "supers_shift": 0, "apiaries": ALL,
            "programme": "",
        }  # fmt: skip

    def refused(self, values: Values) -> Mapping[str, str]:
        """Means that do not fit together."""
        say, here = trying(), self._apiaries(values)
        unknown = [apiary for apiary in here if apiary not in self.usual.apiaries]
        if unknown or not here:
            known, names = ", ".join(self.usual.apiaries), ", ".join(unknown) or say("control.nothing")
            return {"apiaries": say("round.unknown", names=names, known=known)}
        if values["machines"] > values["people"]:
            people = a_count(values["people"], "person", "people")
            return {"machines": say("round.machines", people=people, machines=a_count(values["people"], "machine"))}
        try:
            self.programme(values)
        except ValidityError as error:
            return {"programme": say("round.programme", why=error)}
        return {}

    def programme(self, values: Values) -> Programme | None:
        """The other programme on the controls, if there is one.

        Raises
        ------
        ValidityError
            When it cannot be read.
        """
        first = date.fromisoformat(str(self.own.review.facts["season_start"]))
        text = values["programme"].strip()
        return programme_from(text, apiaries=self.usual.apiaries, first=first) if text else None

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
        programme = self.programme(values)
        setting, cuts = (self.setting, []) if programme is None else programmed(self.basis, programme)
        tried = under(setting, self.supposed(values))
        rota, shown = None, None
        for rota in better_and_better(tried, self.base):
            if shown is None or rota.schedule.cost < shown:
                shown = rota.schedule.cost
                now = figures_of(tried, rota)
                yield Answer("words", self._words(now, rota, cuts, trying()("round.searching")))
                yield Answer("days", days_chart(rota, tried.ahead.treat_by, tried.means.hours))
                yield Answer("breaks", breaks_table(now, []))
        if rota is None:
            return
        broken: list[Broken] = []
        for one in what_breaks(tried, rota):
            broken.append(one)
            yield Answer("breaks", breaks_table(now, broken))
        yield Answer("words", self._words(now, rota, cuts, _first_to_break(now, broken, self.currency)))

    def _words(self, now: Figures, rota: Rota, cuts: Sequence[Cut], breaks: str) -> Words:
        say = trying()
        none = say("round.none_late")
        late = say("round.late", names=say.listed(list(now.late)), days=now.late_days) if now.late else none
        left = sorted({job.site.apiary for job in rota.left_out})
        days = a_count(len(rota.days), "day", "days")
        out = say("round.days_out", days=days, hours=f"{now.hours:.0f}", drive=f"{now.drive_hours:.0f}", late=late)
        cost, late_cost = money(now.cost, self.currency), money(now.late_cost, self.currency)
        minds = [say("round.no_day", names=say.listed(left))] if left else []
        minds += [say("round.label_took", what=f"{cut.treatment}: {cut.what}") for cut in cuts]
        return Words([out, say("round.cost", cost=cost, late_cost=late_cost, breaks=breaks)], minds)


def _said(name: str, **parts: str) -> Said:
    return control("round", name, **parts)


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
    heads = trying().file["round_columns"]
    rows = [
        {
            heads["when"]: what,
            heads["late"]: len(figures.late),
            heads["days"]: figures.late_days,
            heads["lost"]: number(figures.hives_lost),
            heads["hours"]: round(figures.hours),
        }
        for what, figures in [(trying()("round.nothing_wrong"), now), *broken]
    ]
    return pd.DataFrame(rows).set_index(heads["when"])


def _first_to_break(now: Figures, broken: list[Broken], currency: str) -> str:
    say = trying()
    worst = max(broken, key=lambda one: (one.figures.late_cost, one.figures.late_days), default=None)
    if worst is None or (worst.figures.late_cost, worst.figures.late_days) <= (now.late_cost, now.late_days):
        return say("round.holds")
    if not worst.figures.late:
        more = money(worst.figures.late_cost - now.late_cost, currency)
        return say("round.dearer", what=worst.what, more=more)
    late = a_count(len(worst.figures.late), "apiary", "apiaries")
    return say("round.breaks", what=worst.what, late=late, days=worst.figures.late_days)
