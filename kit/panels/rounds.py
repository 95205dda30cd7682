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
from kit.report.words.trying import Said, all_of, control, few_likely, likely, share, trying

NOTEBOOK = "try_rounds"
SEALS = (("good", "good"), ("fair", "fair"), ("poor", "poor"))
BROODS = ("usual", "none")
USUAL_MITES = Band(mite_numbers.START_MITES.low, mite_numbers.START_MITES.value, mite_numbers.START_MITES.high)


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
        assumes=all_of("rounds_assumes"),
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
        say, most, why = trying(), *self._most_g()
        apiaries = [(apiary, apiary) for apiary in self.own.apiaries] + [(say("panel.free_case"), FREE)]
        broods = [(say(f"rounds.brood_{brood}"), brood) for brood in BROODS]
        last = self.next_season - timedelta(days=law.AFTER_DAYS + 1)
        return (
            Choice("apiary", _said("apiary"), apiaries),
            Day("start", _said("start"), self.first, last),
            Number("rounds", _said("rounds"), 1, 12, 1, whole=True),
            Number("interval_days", _said("interval_days"), 1, 60, 1, whole=True),
            Number("dose_g", _said("dose_g", why=why), 0, most, 0.05),
            Choice("seal", _said("seal"), SEALS),
            Choice("brood", _said("brood"), broods),
            Number("strength_pct", _said("strength_pct"), 30, 150, 5, more=True),
            Number("mites", _said("mites"), 1, 10_000, 10, more=True),
            Number("hives", _said("hives"), 1, 500, 1, whole=True, more=True),
        )

    def _most_g(self) -> tuple[float, str]:
        label = self.label
        if label is not None and label.max_crystals_g is not None:
            return label.max_crystals_g, trying()("label.allows", product=label.product)
        return numbers.MAX_DOSE_G.value, trying()("label.unknown")

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
        say, series, label, found = trying(), series_of(values), self.label, {}
        if series.judged >= self.next_season:
            last, end = (say.date(day.isoformat(), year=True) for day in (series.last, self.next_season))
            found["interval_days"] = say("rounds.too_long", last=last, end=end)
        if label is not None and label.max_rounds is not None and series.rounds > label.max_rounds:
            found["rounds"] = say("rounds.label_rounds", product=label.product, most=label.max_rounds)
        if series.dose_g == 0:
            found["dose_g"] = say("rounds.no_dose")
        return found

    def answers(self, values: Values) -> Iterator[Answer]:
        """Sentences, the way there, and the map, which takes a moment longer."""
        series, brood = series_of(values), brood_of(values)
        left = left_by(series, mites=self.spread(values), brood=brood, next_season=self.next_season)
        yield Answer("words", self._words(left, series, values))
        yield Answer("course", course_chart(left, series))
        yield Answer("map", map_chart(kill_map(series.start, series.dose_g, series.seal, brood), series))

    def _words(self, left: Left, series: Series, values: Values) -> Words:
        say = trying()
        facts = (self.own.plan or self.own.review).apiary_facts.get(self.own.apiary(values["apiary"]), {})
        drive, carry = (float(facts.get(name) or 0.0) for name in ("drive_min", "carry_min"))
        taken = taken_by(series, hives=values["hives"], drive_min=drive, carry_min=carry)
        unknown = facts.get("drive_min") is None
        driving = "unknown_driving" if unknown else "driving" if drive else "no_driving"
        takes = say(
            "rounds.takes", work=f"{taken.work_h:.1f}", crystals=f"{taken.crystals_g:.0f}",
            drive=say(f"rounds.{driving}", hours=f"{taken.drive_h:.1f}"),
        )  # fmt: skip
        return Words([_kill_said(left, series), _left_said(left, series), takes], _minds(self.label))


def _said(name: str, **parts: str) -> Said:
    return control("rounds", name, **parts)


def _minds(label: Label | None) -> list[str]:
    return [] if label else [trying()("label.none")]


def _kill_said(left: Left, series: Series) -> str:
    kill = left.kill_pct
    key = "rounds.series" if series.rounds > 1 else "rounds.one_round"
    middle, low, high = (share(point) for point in (kill.p50, kill.p05, kill.p95))
    said = likely(middle, low, high, " %")
    return trying()(key, n=series.rounds, gap=series.gap_days, kill=middle, likely=said)


def _left_said(left: Left, series: Series) -> str:
    after, spring = left.mites, left.next_start
    return trying()(
        "rounds.left", day=trying().date(series.judged.isoformat()),
        after=few_likely(after), spring=few_likely(spring),
    )  # fmt: skip


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
