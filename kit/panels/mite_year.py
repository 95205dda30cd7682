"""The panel "the mite year": a year under treatments that are added, moved and taken away, scenarios compared."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd

from kit.calc.actions import SOURCED
from kit.calc.brood import default_year
from kit.calc.ranges import Band
from kit.calc.scenario import Course, Scenario, Winter, around, course, winter_of
from kit.calc.treatments import Treatment
from kit.constants import mites as mite_numbers
from kit.constants import treatments as numbers
from kit.constants.treatment_words import OXALIC
from kit.errors import CannotGoOnError
from kit.panels.controls import widgets
from kit.panels.fields import Choice, Day, Number, Values, starting
from kit.panels.look import WIDE_PX
from kit.panels.mite_year_chart import Kept, october_first, year_chart
from kit.panels.own import FREE, Own, own
from kit.panels.panel import Answer, Panel, Question, Tool, Words, free, parameter_lines, written
from kit.plan.ahead import a_year_on
from kit.plan.labels import label_for
from kit.plan.programme.supposed import Programme, Step, programme_text
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.words.trying import Said, all_of, control, few_likely, trying
from kit.report.write import write_table, write_text

NOTEBOOK, PLAN = "try_mite_year", "try_round"
KEPT = "kept"
"""The notebook's parameter that holds scenarios kept earlier."""
SLOTS = (1, 2, 3, 4)
NONE = "none"
MOST_KEPT = 4
USUAL_MITES = Band(mite_numbers.START_MITES.low, mite_numbers.START_MITES.value, mite_numbers.START_MITES.high)
WORDS = ((NONE, NONE), *((word, word) for word in SOURCED if word != "other"))


def panel(given: Mapping[str, Any]) -> Panel:
    """The panel; `given` are the notebook's parameters by name, and may hold other names.

    Raises
    ------
    CannotGoOnError
        When the folder, or what was kept earlier, cannot be read.
    """
    mine, say = Mine(own(given.get("folder", ""))), trying()
    mine.context["folder"] = given.get("folder", "")
    mine.keep_earlier(given.get(KEPT, ""))
    question = Question(
        notebook=NOTEBOOK,
        context=mine.context,
        fields=mine.fields(),
        recorded=mine.recorded,
        refused=mine.refused,
        answers=mine.answers,
        assumes=all_of("mite_year_assumes"),
        data=mine.own.said,
        hidden=hidden,
        jurisdiction=mine.own.jurisdiction,
        tools=(
            Tool(say("mite_year.keep"), mine.keep),
            Tool(say("mite_year.forget"), mine.forget),
            Tool(say("mite_year.save"), mine.save),
        ),
        above=mine.name,
    )
    return Panel(question, given)


@dataclass
class Mine:
    """The panel's questions to what is recorded, and the scenarios kept."""

    own: Own
    kept: list[Kept] = field(default_factory=list)
    context: dict[str, Any] = field(default_factory=lambda: {"folder": "", KEPT: ""})
    name: Any = field(init=False)

    def __post_init__(self) -> None:
        say = trying()
        self.name = widgets.Text(
            description=say("mite_year.name"), placeholder=say("mite_year.name_example"),
            style={"description_width": "initial"}, layout=widgets.Layout(width=f"{WIDE_PX}px"),
        )  # fmt: skip
        self.name.add_class("kit-typed")

    @property
    def first(self) -> date:
        """First day of the season reviewed."""
        return date.fromisoformat(str(self.own.review.facts["season_start"]))

    @property
    def last(self) -> date:
        """Its last day."""
        return a_year_on(self.first) - timedelta(days=1)

    @property
    def winter_bees(self) -> tuple[date, date]:
        """First and last day on which winter bees are raised, as in the settings."""
        first, last = (date.fromisoformat(str(self.own.settings[f"winter_bees_{end}"])) for end in ("from", "to"))
        return first, last

    @property
    def limits(self) -> tuple[float, float]:
        """Mites per 100 bees while winter bees are raised, and on 1 October, as in the settings."""
        return float(self.own.settings["treat_above_pct"]), float(self.own.settings["winter_limit_pct"])

    def fields(self) -> tuple[Any, ...]:
        """The controls."""
        say, most, why = trying(), *self._most_g()
        apiaries = [(apiary, apiary) for apiary in self.own.apiaries] + [(say("panel.free_case"), FREE)]
        first = say.date(self.first.isoformat())
        carried = mite_numbers.REINVASION_PER_DAY
        slots = [control for slot in SLOTS for control in self._slot(slot)]
        return (
            Choice("apiary", _said("apiary"), apiaries),
            *slots,
            Number("mites", _said("mites", first=first), 1, 2000, 1),
            Number("reinvasion_per_day", _said("reinvasion_per_day"), 0, carried.high, 0.1, more=True),
            Number("strength_pct", _said("strength_pct"), 30, 150, 5, more=True),
            Number("shift_days", _said("shift_days"), -45, 45, 1, whole=True, more=True),
            Number("interval_days", _said("interval_days"), 1, 30, 1, whole=True, more=True),
            Number("dose_g", _said("dose_g", why=why), 0.1, most, 0.05, more=True),
        )

    def _slot(self, slot: int) -> tuple[Any, ...]:
        treatment, rounds, begins = (_said(name, n=slot) for name in ("treatment", "rounds", "date"))
        return (
            Choice(f"treatment_{slot}", treatment, WORDS),
            Number(f"rounds_{slot}", rounds, 1, 12, 1, whole=True, beside=True),
            Day(f"date_{slot}", begins, self.first, self.last),
        )

    def _most_g(self) -> tuple[float, str]:
        labels = (
            [] if self.own.records is None else [label_for(self.own.records.tables["labels"], w, "") for w in OXALIC]
        )
        known = [label for label in labels if label is not None and label.max_crystals_g is not None]
        if known:
            return round(float(known[0].max_crystals_g or 0), 3), trying()("label.allows", product=known[0].product)
        return numbers.MAX_DOSE_G.value, trying()("label.unknown")

    def recorded(self, apiary: str) -> Values:
        """An apiary's mites at the season's start and what was done there; the trade's usual where none is recorded."""
        apiary = self.own.apiary(apiary)
        most, _ = self._most_g()
        august = date(self.first.year, 8, 15)
        slots = {f"treatment_{s}": NONE for s in SLOTS} | {f"rounds_{s}": 1 for s in SLOTS}
        found: dict[str, Any] = slots | {f"date_{s}": august for s in SLOTS}
        found |= {
            "apiary": apiary or FREE, "mites": round(self._mites(apiary).p50), "strength_pct": 100.0, "shift_days": 0,
            "reinvasion_per_day": mite_numbers.REINVASION_PER_DAY.value, "interval_days": 5,
            "dose_g": min(numbers.SUBLIMATION_USUAL_G.value, most),
        }  # fmt: skip
        return found | (self._done(apiary, most) if apiary else {})

    def _done(self, apiary: str, most_g: float) -> dict[str, Any]:
        rounds = self.own.review.tables["rounds"]
        mine = rounds[(rounds["apiary"] == apiary) & rounds["treatment"].isin([word for word, _ in WORDS])]
        found: dict[str, Any] = {}
        series = list(mine.sort_values("date").groupby("treatment_no", sort=True))[: len(SLOTS)]
        for slot, (_, part) in zip(SLOTS, series, strict=False):
            found |= {
                f"treatment_{slot}": str(part["treatment"].iloc[0]), f"date_{slot}": part["date"].iloc[0].date(),
                f"rounds_{slot}": min(len(part), 12),
            }  # fmt: skip
        gaps = mine.sort_values("date").groupby("treatment_no")["date"].diff().dt.days.dropna()
        doses = mine.loc[mine["treatment"].isin(OXALIC), "dose_g"].dropna()
        found |= {"interval_days": round(gaps.median())} if len(gaps) else {}
        return found | ({"dose_g": min(float(doses.median()), most_g)} if len(doses) else {})

    def _mites(self, apiary: str) -> Band:
        loads = self.own.review.tables["loads"]
        mine = loads[(loads["apiary"] == apiary) & (loads["scope"] == "apiary")].sort_values("date")
        if not apiary or mine.empty:
            return USUAL_MITES
        return Band(*(max(float(mine.iloc[0][f"mites_{point}"]), 0.1) for point in ("p05", "p50", "p95")))

    def refused(self, values: Values) -> Mapping[str, str]:
        """Treatments that the season does not hold, or the label does not allow."""
        say, found = trying(), {}
        for slot in SLOTS:
            rounds = slot_days(values, slot)
            if rounds and rounds[-1] > self.last:
                last = say.date(rounds[-1].isoformat(), year=True)
                found[f"rounds_{slot}"] = say("mite_year.too_late", n=slot, last=last)
        given = sum(values[f"rounds_{s}"] for s in SLOTS if values[f"treatment_{s}"] == OXALIC[0])
        label = None if self.own.records is None else label_for(self.own.records.tables["labels"], OXALIC[0], "")
        if label is not None and label.max_rounds is not None and given > label.max_rounds:
            slot = next(s for s in SLOTS if values[f"treatment_{s}"] == OXALIC[0])
            allowed = {"product": label.product, "most": label.max_rounds}
            found[f"rounds_{slot}"] = say("mite_year.label_rounds", given=given, **allowed)
        return found

    def run(self, values: Values) -> tuple[Course, Winter]:
        """The year that the controls stand for."""
        year = default_year().scaled(values["strength_pct"] / 100).shifted(values["shift_days"])
        spread = around(float(values["mites"]), self._mites(self.own.apiary(values["apiary"])))
        treatments = treatments_of(values)
        days = (self.last - self.first).days + 1
        tried = Scenario(self.first, days, spread, values["reinvasion_per_day"], year, treatments)
        run = course(tried, winter_bees=self.winter_bees)
        return run, winter_of(run, self.winter_bees)

    def answers(self, values: Values) -> Iterator[Answer]:
        """Sentences, the year against the limits, and the table of scenarios."""
        run, winter = self.run(values)
        yield Answer("words", self._words(run, winter))
        yield Answer("year", year_chart(run, treatments_of(values), self.winter_bees, self.limits, self.kept))
        yield Answer("kept", self._table(run, winter))

    def _words(self, run: Course, winter: Winter) -> Words:
        say, limit, exposure, loss = trying(), self.limits[0], winter.exposure_pct, winter.loss_pct
        spring = run.mites_on(self.last)
        stands = "mite_year.exposed_within" if exposure.p50 <= limit else "mite_year.exposed_over"
        met = {"middle": number(exposure.p50), "low": number(exposure.p05), "high": number(exposure.p95)}
        rest = say(
            "mite_year.winter", spoiled=f"{winter.spoiled_pct.p50:.0f}", loss=f"{loss.p50:.0f}",
            loss_low=f"{loss.p05:.0f}", loss_high=f"{loss.p95:.0f}",
            spring=few_likely(spring),
        )  # fmt: skip
        return Words([say(stands, limit=f"{limit:g}", **met), self._october_said(run), rest])

    def _october_said(self, run: Course) -> str:
        met, limit = run.infestation_on_pct(october_first(self.winter_bees)), self.limits[1]
        stands = "mite_year.october_within" if met.p50 <= limit else "mite_year.october_over"
        points = {"middle": number(met.p50), "low": number(met.p05), "high": number(met.p95)}
        return trying()(stands, limit=f"{limit:g}", **points)

    def _table(self, run: Course, winter: Winter) -> Any:
        if not self.kept:
            return Note(trying()("mite_year.none_kept"))
        return comparison([*self.kept, Kept(trying()("mite_year.now"), {}, run, winter)])

    def keep(self, on: Panel) -> str:
        """Keep what stands on the controls under its name."""
        say = trying()
        if len(self.kept) >= MOST_KEPT:
            return say("mite_year.full", most=MOST_KEPT)
        name = self.name.value.strip() or "ABCD"[len(self.kept)]
        if name in [kept.name for kept in self.kept]:
            return say("mite_year.taken", scenario=name)
        self._hold(name, on.values)
        self.name.value = ""
        on.ask()
        return say("mite_year.kept", scenario=name)

    def keep_earlier(self, text: str) -> None:
        """Keep again what an earlier visit kept: the notebook's parameter of that name.

        Raises
        ------
        CannotGoOnError
            When the text holds something else.
        """
        for name, given in earlier(text).items():
            values = starting(self.fields(), self.recorded(str(given.get("apiary", ""))), given)
            refused = [said for f in self.fields() if (said := f.refuse(values[f.name]))]
            if problems := refused or list(self.refused(values).values()):
                raise CannotGoOnError(f"{KEPT}: {name}: {' '.join(problems)}")
            self._hold(name, values)

    def _hold(self, name: str, values: Values) -> None:
        self.kept.append(Kept(name, dict(values), *self.run(values)))
        plain = {one.name: {f.name: f.written(one.values[f.name]) for f in self.fields()} for one in self.kept}
        self.context[KEPT] = json.dumps(plain, ensure_ascii=False)

    def forget(self, on: Panel) -> str:
        """Forget every scenario kept."""
        self.kept.clear()
        self.context[KEPT] = ""
        on.ask()
        return trying()("mite_year.forgotten")

    def save(self, on: Panel) -> str:
        """The kept scenarios as a table, as parameters to report them, and each as parameters for the plan."""
        if not self.kept:
            return trying()("mite_year.nothing")
        say, table, file = trying(), free(Path("scenarios.csv")), free(Path(f"{NOTEBOOK}-kept.yaml"))
        write_table(table, comparison(self.kept).reset_index())
        write_text(file, written(on.question, on.values))
        plans = [self._save_plan(one) for one in self.kept if self._for_plan(one)]
        planned = say("mite_year.planned", plans=say.listed(plans)) if plans else say("mite_year.none_planned")
        return f"{say('mite_year.saved', table=table, file=file, stem=file.stem)} {planned}"

    def _for_plan(self, kept: Kept) -> bool:
        """Whether a scenario is one of an apiary that is treated: there is nothing to plan for another."""
        return bool(self.own.apiary(kept.values["apiary"]) and treatments_of(kept.values))

    def _save_plan(self, kept: Kept) -> str:
        safe = "".join(c if c.isalnum() else "_" for c in kept.name)
        file = free(Path(f"{PLAN}-{safe}.yaml"))
        asked = {"folder": self.context["folder"], "programme": programme_text(programme_of(kept.values))}
        write_text(file, parameter_lines(asked))
        return str(file)


def earlier(text: str) -> dict[str, dict[str, Any]]:
    """Scenarios by name, as they were kept in the notebook's parameter.

    Raises
    ------
    CannotGoOnError
        When it is not what this notebook writes, or too many.
    """
    try:
        found = json.loads(text or "{}")
    except ValueError:
        found = None
    whole = isinstance(found, dict) and all(isinstance(given, dict) for given in found.values())
    if not whole or len(found) > MOST_KEPT:
        raise CannotGoOnError(f"{KEPT}: up to {MOST_KEPT} scenarios are needed as this notebook saves them")
    return dict(found)


def programme_of(values: Values) -> Programme:
    """The treatments on the controls as a programme for the plan."""
    steps = [
        Step(str(values[f"treatment_{slot}"]), days[0], len(days), values["interval_days"])
        for slot in SLOTS
        if (days := slot_days(values, slot))
    ]
    return Programme(str(values["apiary"]), tuple(sorted(steps, key=lambda step: step.day)))


def _said(name: str, **parts: object) -> Said:
    return control("mite_year", name, **parts)


def hidden(values: Values) -> frozenset[str]:
    """Controls of treatments that are not given, and all but the first of the empty places."""
    names: set[str] = set()
    empty = [slot for slot in SLOTS if values[f"treatment_{slot}"] == NONE]
    for slot in empty:
        names |= {f"date_{slot}", f"rounds_{slot}"} | ({f"treatment_{slot}"} if slot != empty[0] else set())
    return frozenset(names)


def slot_days(values: Values, slot: int) -> list[date]:
    """The days of a treatment's rounds; none where it is not given."""
    if values[f"treatment_{slot}"] == NONE:
        return []
    gap = timedelta(days=values["interval_days"])
    return [values[f"date_{slot}"] + n * gap for n in range(values[f"rounds_{slot}"])]


def treatments_of(values: Values) -> tuple[Treatment, ...]:
    """The treatments on the controls."""
    found = []
    for slot in SLOTS:
        word = values[f"treatment_{slot}"]
        dose = values["dose_g"] if word in OXALIC else None
        found += [Treatment(word, day, dose_g=dose) for day in slot_days(values, slot)]
    return tuple(found)


def comparison(kept: list[Kept]) -> pd.DataFrame:
    """One row for each scenario; bands as text "middle (low to high)"."""

    def said(band: Band) -> str:
        points = {"middle": number(band.p50), "low": number(band.p05), "high": number(band.p95)}
        return trying()("mite_year.band", **points)

    heads = trying().file["mite_year_columns"]
    rows = [
        {
            heads["scenario"]: one.name,
            heads["exposure"]: said(one.winter.exposure_pct),
            heads["spoiled"]: said(one.winter.spoiled_pct),
            heads["october"]: said(one.winter.october_pct),
            heads["loss"]: said(one.winter.loss_pct),
            heads["end"]: said(one.run.mites_on(one.run.dates()[-1])),
        }
        for one in kept
    ]
    return pd.DataFrame(rows).set_index(heads["scenario"])
