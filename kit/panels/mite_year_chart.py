"""How "the mite year" is drawn: mites per 100 bees with its band, the limits, treatments, and the scenarios kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from kit.calc.scenario import Bands, Course, Winter
from kit.calc.treatments import Treatment
from kit.panels.marks import band_and_line, day_rules, fitted, limit_rule
from kit.report.charts.marks import months, tips
from kit.report.charts.phrases import number
from kit.report.style import BEES, BROOD, EXPECTED, LIMIT, LOSS, MITES, TREATMENT, WORK, Meaning

NOW = "now"
KEPT_AS = (BROOD, WORK._replace(dash=(8, 3)), LOSS._replace(dash=(2, 2)), BEES._replace(dash=(10, 3, 2, 3)))


@dataclass(frozen=True)
class Kept:
    """A scenario kept under a name, with its answer."""

    name: str
    values: dict[str, Any]
    run: Course
    winter: Winter


def year_chart(
    run: Course,
    treatments: Sequence[Treatment],
    winter_bees: tuple[date, date],
    limits: tuple[float, float],
    kept: Sequence[Kept],
) -> alt.LayerChart:
    """Mites per 100 bees by day; the band is that of the scenario on the controls."""
    rows = pd.concat([_rows(run, NOW), *(_rows(one.run, one.name) for one in kept)])
    meanings: dict[str, Meaning] = {NOW: MITES}
    meanings |= {one.name: meaning for one, meaning in zip(kept, KEPT_AS, strict=False)}
    scale = alt.Scale(type="sqrt", domainMin=0)
    same = limits[0] == limits[1]
    that_day = "dots: your limit, on 1 October too" if same else f"short stroke: that of 1 October, {limits[1]:g}"
    limit = limit_rule(limits[0], f"your limit, {limits[0]:g}")
    october = [] if same else [_october(october_first(winter_bees), limits[1])]
    curves = band_and_line(rows, meanings, "mites per 100 bees", scale, bands=[NOW])
    layers = [_window(winter_bees), *_rules(treatments), curves, limit, *october]
    top = rows[rows["which"] == NOW]["p50"].max()
    return fitted(
        alt.layer(*layers),
        f"At the highest {number(top)} mites per 100 bees",
        f"line: the middle; band: 5 to 95 %; shaded: winter bees are raised; dashes: rounds; {that_day}; a root scale",
        f"Mites per 100 bees by day, at most {number(top)} in the middle.",
        height=290,
    )


def _rules(treatments: Sequence[Treatment]) -> list[Any]:
    words = {treatment.word for treatment in treatments}
    return [day_rules([t.day for t in treatments if t.word == word], word, TREATMENT) for word in sorted(words)]


def _window(winter_bees: tuple[date, date]) -> Any:
    first, last = winter_bees
    rows = pd.DataFrame({"date": pd.to_datetime([first]), "end": pd.to_datetime([last])})
    return alt.Chart(rows).mark_rect(color=EXPECTED.colour, opacity=0.12).encode(x=months(), x2="end:T")


def october_first(winter_bees: tuple[date, date]) -> date:
    """1 October of the year in which these winter bees are raised."""
    return date(winter_bees[0].year, 10, 1)


def _october(day: date, limit: float) -> Any:
    """The limit of one day: a short stroke."""
    rows = pd.DataFrame({"date": [pd.Timestamp(day)], "limit": [limit]})
    stroke = alt.Chart(rows).mark_point(shape=LIMIT.symbol, size=500, strokeWidth=3, color=LIMIT.colour)
    return stroke.encode(x=months(), y="limit:Q", tooltip=tips(rows, date="day", limit="your limit"))


def _rows(run: Course, name: str) -> pd.DataFrame:
    bands = Bands.of(run.infestation_pct)
    days = pd.to_datetime(run.dates())
    return pd.DataFrame({"date": days, "p05": bands.p05, "p50": bands.p50, "p95": bands.p95, "which": name})
