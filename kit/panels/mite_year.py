"""The panel "the mite year": a year under treatments that are added, moved and taken away, scenarios compared."""

from __future__ import annotations

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
from kit.panels.controls import widgets
from kit.panels.fields import Choice, Day, Number, Values
from kit.panels.mite_year_chart import Kept, year_chart
from kit.panels.own import FREE, Own, own
from kit.panels.panel import Answer, Panel, Question, Tool, Words, written
from kit.plan.ahead import a_year_on
from kit.plan.labels import OXALIC, label_for
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.write import write_table, write_text

NOTEBOOK = "try_mite_year"
SLOTS = (1, 2, 3, 4)
NONE = "none"
MOST_KEPT = 4
USUAL_MITES = Band(mite_numbers.START_MITES.low, mite_numbers.START_MITES.value, mite_numbers.START_MITES.high)
WORDS = ((NONE, NONE), *((word, word) for word in SOURCED if word != "other"))
ASSUMES = (
    "Bees and brood: the default maritime year, times the strength and moved by the days you set.",
    "Treatments: the usual stay and kill of each kind with its sourced range; the dose is that of oxalic rounds. "
    "Resistance to strips is not known before a test and lies in the range.",
    "Mites brought in: the number set from July to October, a tenth of it in the other months.",
    "Loss: our own curve from what winter bees meet and the October load, with all other causes beside it; the range "
    "is that of the mites, the curve itself is wider.",
    "Every scenario meets the same luck, so that two differ by what you changed.",
)


def panel(given: Mapping[str, Any]) -> Panel:
    """The panel; `given` are the notebook's parameters by name, and may hold other names.

    Raises
    ------
    CannotGoOnError
        When the folder cannot be read.
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
        hidden=hidden,
        jurisdiction=mine.own.jurisdiction,
        tools=(
            Tool("Keep this scenario", mine.keep),
            Tool("Forget those kept", mine.forget),
            Tool("Save those kept", mine.save),
        ),
        above=mine.name,
    )
    return Panel(question, given)


@dataclass
class Mine:
    """The panel's questions to what is recorded, and the scenarios kept."""

    own: Own
    kept: list[Kept] = field(default_factory=list)
    name: Any = field(init=False)

    def __post_init__(self) -> None:
        self.name = widgets.Text(
            description="Name of the scenario", placeholder="A, B, C …", style={"description_width": "initial"},
            layout=widgets.Layout(width="335px"),
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
        """Mites per 100 bees while winter bees are raised, and in winter, as in the settings."""
        return float(self.own.settings["treat_above_pct"]), float(self.own.settings["winter_limit_pct"])

    def fields(self) -> tuple[Any, ...]:
        """The controls."""
        apiaries = [(apiary, apiary) for apiary in self.own.apiaries] + [("a free case", FREE)]
        most, why = self._most_g()
        carried = mite_numbers.REINVASION_PER_DAY
        slots = [control for slot in SLOTS for control in self._slot(slot)]
        return (
            Choice("apiary", "Apiary", apiaries, "its mites and treatments are put in"),
            Number(
                "mites", f"Mites on {self.first:%-d %B}", "in a colony", 1, 2000, 1, "with the spread of your counts"
            ),
            Number(
                "reinvasion_per_day",
                "Brought in, July to October",
                "mites a day",
                0,
                carried.high,
                0.1,
                "as measured; a tenth of it in other months",
            ),
            Number("strength_pct", "Strength", "% of a usual colony", 30, 150, 5, "40,000 bees in July are 100 %"),
            Number("shift_days", "Season later", "days", -45, 45, 1, "below 0 earlier", whole=True),
            *slots,
            Number("interval_days", "Days between rounds", "days", 1, 30, 1, "trials cover 3 to 8", whole=True),
            Number("dose_g", "Dose of oxalic rounds", "g crystals a hive", 0.1, most, 0.05, why),
        )

    def _slot(self, slot: int) -> tuple[Any, ...]:
        return (
            Choice(f"treatment_{slot}", f"Treatment {slot}", WORDS, "none takes it away"),
            Day(f"date_{slot}", f"Treatment {slot} begins", self.first, self.last, "the season of the records"),
            Number(f"rounds_{slot}", f"Treatment {slot}, rounds", "", 1, 12, 1, "strips and trays: 1", whole=True),
        )

    def _most_g(self) -> tuple[float, str]:
        labels = (
            [] if self.own.records is None else [label_for(self.own.records.tables["labels"], w, "") for w in OXALIC]
        )
        known = [label for label in labels if label is not None and label.max_crystals_g is not None]
        if known:
            return round(float(known[0].max_crystals_g or 0), 3), f"the label of {known[0].product} allows no more"
        return numbers.MAX_DOSE_G.value, "no label in the records says; beyond it nothing has a source"

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
        found = {}
        for slot in SLOTS:
            rounds = slot_days(values, slot)
            if rounds and rounds[-1] > self.last:
                found[f"rounds_{slot}"] = (
                    f"Treatment {slot}: its last round would fall on {rounds[-1]:%-d %b %Y}, after the season's end."
                )
        given = sum(values[f"rounds_{s}"] for s in SLOTS if values[f"treatment_{s}"] == OXALIC[0])
        label = None if self.own.records is None else label_for(self.own.records.tables["labels"], OXALIC[0], "")
        if label is not None and label.max_rounds is not None and given > label.max_rounds:
            slot = next(s for s in SLOTS if values[f"treatment_{s}"] == OXALIC[0])
            found[f"rounds_{slot}"] = (
                f"Rounds: {given} sublimations in all; the label of {label.product} allows {label.max_rounds} a year."
            )
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
        limit, exposure, loss = self.limits[0], winter.exposure_pct, winter.loss_pct
        spring = run.mites_on(self.last)
        stands = "within" if exposure.p50 <= limit else "over"
        return Words(
            [
                f"Winter bees would meet {number(exposure.p50)} mites per 100 bees, likely {number(exposure.p05)} to "
                f"{number(exposure.p95)}: {stands} your limit of {limit:g}.",
                f"{winter.spoiled_pct.p50:.0f} % of them would be raised beside a mite. The loss to expect is "
                f"{loss.p50:.0f} % of colonies, likely {loss.p05:.0f} to {loss.p95:.0f} %, whatever the cause; next "
                f"season starts with {number(spring.p50)} mites, likely {number(spring.p05)} to {number(spring.p95)}.",
            ]
        )

    def _table(self, run: Course, winter: Winter) -> Any:
        if not self.kept:
            return Note("No scenario is kept yet: give it a name and keep it, up to four, to see them side by side.")
        return comparison([*self.kept, Kept("now on the controls", {}, run, winter)])

    def keep(self, on: Panel) -> str:
        """Keep what stands on the controls under its name."""
        if len(self.kept) >= MOST_KEPT:
            return f"{MOST_KEPT} are kept already: forget them, or save them first."
        name = self.name.value.strip() or "ABCD"[len(self.kept)]
        if name in [kept.name for kept in self.kept]:
            return f"{name} is kept already: give this one another name."
        self.kept.append(Kept(name, dict(on.values), *self.run(on.values)))
        self.name.value = ""
        on.ask()
        return f"Kept as {name}."

    def forget(self, on: Panel) -> str:
        """Forget every scenario kept."""
        self.kept.clear()
        on.ask()
        return "Forgotten."

    def save(self, on: Panel) -> str:
        """The kept scenarios as a table, and each as parameters."""
        if not self.kept:
            return "Nothing is kept yet."
        write_table(Path("scenarios.csv"), comparison(self.kept).reset_index())
        for kept in self.kept:
            file = Path(f"{NOTEBOOK}-{''.join(c if c.isalnum() else '_' for c in kept.name)}.yaml")
            write_text(file, written(on.question, kept.values))
        return f"Saved scenarios.csv and a file of parameters for each: {', '.join(k.name for k in self.kept)}."


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
        return f"{number(band.p50)} ({number(band.p05)} to {number(band.p95)})"

    rows = [
        {
            "scenario": one.name,
            "mites per 100 bees, winter bees": said(one.winter.exposure_pct),
            "winter bees beside a mite, %": said(one.winter.spoiled_pct),
            "October, mites per 100 bees": said(one.winter.october_pct),
            "expected loss, %": said(one.winter.loss_pct),
            "mites at the end": said(one.run.mites_on(one.run.dates()[-1])),
        }
        for one in kept
    ]
    return pd.DataFrame(rows).set_index("scenario")
