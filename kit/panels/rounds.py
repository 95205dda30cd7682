"""The panel "dose, rounds and interval": what another round, a longer interval or another day would have left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

import pandas as pd

from kit.calc import rounds as law
from kit.calc.brood import BroodYear, default_year
from kit.calc.ranges import Band
from kit.calc.scenario import around
from kit.calc.series import Left, Series, left_by, taken_by, without_brood
from kit.constants import mites as mite_numbers
from kit.constants import treatments as numbers
from kit.panels.fields import Choice, Day, Number, Values
from kit.panels.own import FREE, Own, own
from kit.panels.panel import Answer, Panel, Question, Words
from kit.panels.rounds_chart import course_chart, map_chart
from kit.plan.ahead import a_year_on
from kit.plan.labels import Label, label_for
from kit.report.charts.phrases import number

NOTEBOOK = "try_rounds"
SEALS = (("good", "good"), ("fair", "fair"), ("poor", "poor"))
BROODS = (("as usual on those days", "usual"), ("none for two months", "none"))
USUAL_MITES = Band(mite_numbers.START_MITES.low, mite_numbers.START_MITES.value, mite_numbers.START_MITES.high)
NO_LABEL = "no label is in the records, so the kit does not know your limit; the label decides."
ASSUMES = (
    "The bees: the default maritime year, times the strength you set; brood follows the day of the year.",
    "The kill: dose, seal and brood by the law of the mites, with the sourced ranges of every number. Trials with "
    "brood contradict each other, so lean on the range and count.",
    "The kill is read 14 days after the last round, against the same colony left alone.",
    "Nothing is brought in by other bees, and nothing else is done until next season.",
    "Hours: one person, one machine, each round a drive of its own.",
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
        jurisdiction=mine.own.jurisdiction,
    )
    return Panel(question, given)


@dataclass(frozen=True)
class Mine:
    """The panel's questions to what is recorded."""

    own: Own

    @property
    def first(self) -> date:
        """First day of the season reviewed."""
        return date.fromisoformat(str(self.own.review.facts["season_start"]))

    @property
    def next_season(self) -> date:
        """The day after the season's last."""
        return a_year_on(self.first)

    @property
    def label(self) -> Label | None:
        """The label's entry of an oxalic product for sublimation, if there is one."""
        return None if self.own.records is None else label_for(self.own.records.tables["labels"], law.WORD, "")

    def fields(self) -> tuple[Any, ...]:
        """The controls."""
        apiaries = [(apiary, apiary) for apiary in self.own.apiaries] + [("a free case", FREE)]
        most, why = self._most_g()
        last = self.next_season - timedelta(days=law.AFTER_DAYS + 1)
        return (
            Choice("apiary", "Apiary", apiaries, "its last series and mites are put in"),
            Day("start", "First round", self.first, last, "the season of the records"),
            Number("rounds", "Rounds", "", 1, 12, 1, "more is nowhere tried", whole=True),
            Number("interval_days", "Days between", "days", 1, 60, 1, "trials cover 3 to 8", whole=True),
            Number("dose_g", "Dose", "g crystals a hive", 0, most, 0.05, why),
            Choice("seal", "Seal", SEALS, "how well the hive holds the vapour"),
            Choice("brood", "Brood", BROODS, "brood shelters mites from each round"),
            Number("strength_pct", "Strength", "% of a usual colony", 30, 150, 5, "40,000 bees in July are 100 %"),
            Number("mites", "Mites that morning", "in a colony", 1, 10_000, 10, "with the spread of your counts"),
            Number("hives", "Hives", "", 1, 500, 1, "for hours and crystals", whole=True),
        )

    def _most_g(self) -> tuple[float, str]:
        label = self.label
        if label is not None and label.max_crystals_g is not None:
            return label.max_crystals_g, f"the label of {label.product} allows no more"
        return numbers.MAX_DOSE_G.value, "no label in your records says; beyond it nothing has a source"

    def recorded(self, apiary: str) -> Values:
        """The last series at an apiary and its mites before it; the trade's usual numbers where nothing is recorded."""
        apiary = self.own.apiary(apiary)
        most, _ = self._most_g()
        usual = {
            "apiary": apiary or FREE, "start": date(self.first.year, 8, 15), "rounds": 3, "interval_days": 5,
            "dose_g": min(numbers.SUBLIMATION_USUAL_G.value, most), "seal": "good", "brood": "usual",
            "strength_pct": 100.0, "mites": USUAL_MITES.p50, "hives": 1,
        }  # fmt: skip
        if not apiary:
            return usual
        found = usual | self._series_at(apiary, most)
        hives = self.own.review.apiary_facts[apiary].get("hives")
        return found | {
            "mites": round(self._mites(apiary, date.fromisoformat(str(found["start"]))).p50),
            "hives": int(hives or 1),
        }

    def _series_at(self, apiary: str, most_g: float) -> dict[str, Any]:
        rounds = self.own.review.tables["rounds"]
        mine = rounds[(rounds["apiary"] == apiary) & (rounds["treatment"] == law.WORD)]
        if mine.empty:
            return {}
        series = mine[mine["treatment_no"] == mine["treatment_no"].min()].sort_values("date")
        gaps, doses = series["date"].diff().dt.days.dropna(), series["dose_g"].dropna()
        dose = min(float(doses.median()), most_g) if len(doses) else min(numbers.SUBLIMATION_USUAL_G.value, most_g)
        seals = [seal for seal in series["seal"] if seal]
        return {
            "start": series["date"].iloc[0].date(), "rounds": len(series),
            "interval_days": round(gaps.median()) if len(gaps) else 5, "dose_g": dose,
            "seal": seals[0] if seals else "good",
        }  # fmt: skip

    def _mites(self, apiary: str, day: date) -> Band:
        """The review's band of mites at an apiary nearest to a day; a spring without counts for a free case."""
        loads = self.own.review.tables["loads"]
        mine = loads[(loads["apiary"] == apiary) & (loads["scope"] == "apiary")]
        if not apiary or mine.empty:
            return USUAL_MITES
        row = mine.iloc[int((mine["date"] - pd.Timestamp(day)).abs().to_numpy().argmin())]
        return Band(*(max(float(row[f"mites_{point}"]), 0.1) for point in ("p05", "p50", "p95")))

    def spread(self, values: Values) -> Band:
        """The mites on the controls, as uncertain as the review's reading of that apiary."""
        return around(float(values["mites"]), self._mites(self.own.apiary(values["apiary"]), values["start"]))

    def refused(self, values: Values) -> Mapping[str, str]:
        """Pairs that cannot go together."""
        series, label, found = series_of(values), self.label, {}
        if series.judged >= self.next_season:
            found["interval_days"] = (
                f"Days between: the last round would fall on {series.last:%-d %b %Y} and could not be judged before "
                f"the season ends on {self.next_season:%-d %b}; fewer rounds, shorter intervals or an earlier start."
            )
        if label is not None and label.max_rounds is not None and series.rounds > label.max_rounds:
            found["rounds"] = f"Rounds: the label of {label.product} allows {label.max_rounds} a year."
        if series.dose_g == 0:
            found["dose_g"] = "Dose: above 0."
        return found

    def answers(self, values: Values) -> Iterator[Answer]:
        """Sentences, the way there, and the map, which takes a moment longer."""
        series, brood = series_of(values), brood_of(values)
        left = left_by(series, mites=self.spread(values), brood=brood, next_season=self.next_season)
        yield Answer("words", self._words(left, series, values))
        yield Answer("course", course_chart(left, series))
        yield Answer("map", map_chart(kill_map(series.start, series.dose_g, series.seal, brood), series))

    def _words(self, left: Left, series: Series, values: Values) -> Words:
        facts = (self.own.plan or self.own.review).apiary_facts.get(self.own.apiary(values["apiary"]), {})
        drive, carry = (float(facts.get(name) or 0.0) for name in ("drive_min", "carry_min"))
        taken = taken_by(series, hives=values["hives"], drive_min=drive, carry_min=carry)
        kill, after, spring = left.kill_pct, left.mites, left.next_start
        share = f"{kill.p50:.0f}" if kill.p50 < 99 else f"{kill.p50:.1f}"
        said = f"{series.rounds} rounds {series.gap_days} days apart" if series.rounds > 1 else "One round"
        return Words(
            [
                f"{said} {'kill' if series.rounds > 1 else 'kills'} {share} % of the mites, likely "
                f"{kill.p05:.0f} to {kill.p95:.0f} %.",
                f"{number(after.p50)} are left in a colony on {series.judged:%-d %B}, likely {number(after.p05)} to "
                f"{number(after.p95)}; next season starts with {number(spring.p50)}, likely {number(spring.p05)} to "
                f"{number(spring.p95)}.",
                f"It takes {taken.work_h:.1f} hours at the hives, {taken.drive_h:.1f} hours of driving and "
                f"{taken.crystals_g:.0f} g of crystals.",
            ],
            [] if self.label else [NO_LABEL],
        )


def series_of(values: Values) -> Series:
    """The series that the controls stand for."""
    return Series(values["start"], values["rounds"], values["interval_days"], values["dose_g"], values["seal"])


def brood_of(values: Values) -> BroodYear:
    """The bees that the controls stand for."""
    year = default_year().scaled(values["strength_pct"] / 100)
    return year if values["brood"] == "usual" else without_brood(year, values["start"])


@lru_cache(maxsize=64)
def kill_map(start: date, dose_g: float, seal: str, brood: BroodYear) -> law.RoundsGrid:
    """The map of `kit.calc.rounds.grid`, kept for what was asked before: rounds and interval move only the box."""
    return law.grid(start=start, dose_g=dose_g, seal=seal, brood=brood)
