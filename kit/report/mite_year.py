"""Figures of the notebook "The mite year": the law, drawn, beside what was published about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from kit.calc.brood import broodless
from kit.calc.mites import MiteYear, simulate
from kit.constants import counts
from kit.report.charts.marks import months, tips
from kit.report.charts.phrases import number
from kit.report.style import BEES, BROOD, COUNT, EXPECTED, INK, LIMIT, MITES, QUIET, finish

ROOT = alt.Scale(type="sqrt", domainMin=0)
PERCENT = alt.Scale(domain=[0, 100])
SEASON_DAYS = 365


@dataclass(frozen=True)
class Story:
    """One colony left alone for a year.

    Parameters
    ----------
    start : date
        The first day.
    mites : float
        Mites in the colony that morning.
    reinvasion_per_day : float
        Mites brought in a day.
    """

    start: date
    mites: float
    reinvasion_per_day: float = 0.0

    @property
    def year(self) -> MiteYear:
        """What the law says."""
        return simulate(
            start=self.start, days=SEASON_DAYS, mites=self.mites, reinvasion_per_day=self.reinvasion_per_day
        )


def story(start: str, mites: float, reinvasion_per_day: float = 0.0) -> Story:
    """The year that the notebook tells, from its parameters (`start` as ISO text)."""
    return Story(date.fromisoformat(start), mites, reinvasion_per_day)


def bees_and_brood(told: Story) -> alt.LayerChart:
    """Adult bees and capped cells by day."""
    year = told.year
    curves = {
        "adult bees": year.adults,
        "capped worker cells": year.capped_worker,
        "capped drone cells": year.capped_drone,
    }
    rows = _long(year, curves, "of what")
    most, brood = (told.start + timedelta(days=int(np.argmax(c))) for c in (year.adults, year.capped_worker))
    return finish(
        _lines(rows, "of what", "bees or cells", [BEES.colour, BROOD.colour, QUIET]),
        f"Brood is most about {brood:%d %B}, bees about {most:%d %B}",
        "adult bees and capped cells of the default maritime year; a root scale, so that drones show",
        "Adult bees and capped cells by day. " + _peaks(rows, "of what"),
    )


def mites(told: Story) -> alt.LayerChart:
    """Mites on bees and in cells by day."""
    year = told.year
    rows = _long(year, {"in capped cells": year.in_brood, "on bees": year.on_bees}, "where")
    top = int(np.argmax(year.total))
    return finish(
        _lines(rows, "where", "mites", [BROOD.colour, MITES.colour]),
        f"{number(told.mites)} mites become {number(year.total[top])} by {told.start + timedelta(days=top):%d %B}",
        "mites in one colony left alone; the scale is a root, so that spring can be read too",
        "Mites on bees and in capped cells by day. " + _peaks(rows, "where"),
    )


def share_in_brood(told: Story) -> alt.LayerChart:
    """Share of the mites in capped cells, against the 65 to 80 % of the literature."""
    year = told.year
    rows = _long(year, {"law": 100 * year.in_brood / np.maximum(year.total, 1e-12)}, "of what")
    height = float(rows["value"].max())
    band = _box(date(told.start.year, 5, 1), date(told.start.year, 6, 30), 65, 80)
    return finish(
        band + _lines(rows, "of what", "% of the mites in capped cells", [MITES.colour], scale=PERCENT),
        f"At the height of the season {height:.0f} % of the mites are out of reach",
        "line: the law; box: 65 to 80 % at the season's height (several papers)",
        f"Share of the mites in capped cells by day; at most {height:.0f} %.",
    )


def drop_factors(told: Story) -> alt.LayerChart:
    """Mites in the colony for each mite that falls a day, by month, against the leaflet's three factors."""
    year = told.year
    rows = _factors(year)
    inside = int(((rows["factor"] >= rows["low"]) & (rows["factor"] <= rows["high"])).sum())
    base = alt.Chart(rows).encode(x=_by_month(rows))
    scale = alt.Scale(type="log", domain=[10, 1000])
    box = base.mark_bar(color=EXPECTED.colour, opacity=0.25, width=16).encode(
        y=alt.Y("low:Q", scale=scale, title="colony's mites per mite fallen a day"), y2="high:Q"
    )
    printed = base.mark_tick(color=EXPECTED.colour, thickness=2, width=16).encode(y=alt.Y("printed:Q", scale=scale))
    tooltip = tips(rows, month="month", factor="law", printed="leaflet")
    law = base.mark_point(shape="circle", filled=True, size=80, color=MITES.colour, opacity=1).encode(
        y=alt.Y("factor:Q", scale=scale), tooltip=tooltip
    )
    return finish(
        alt.layer(box, printed, law).properties(height=260),
        f"The law's drop factor lies within a factor of two of the leaflet's in {inside} of {len(rows)} months",
        "dot: the law; line: the leaflet's 400, 100, 30; box: half to twice that",
        "Drop factors by month. "
        + " ".join(f"{r.month}: {r.factor:.0f}, leaflet {r.printed:.0f}." for r in rows.itertuples()),
    )


def doubling(told: Story) -> alt.LayerChart:
    """Days in which mites double, by month of the season, against 20 to 33 days."""
    year = told.year
    rows = _doublings(year)
    base = alt.Chart(rows).encode(x=_by_month(rows))
    box = base.mark_bar(color=EXPECTED.colour, opacity=0.25, width=26).encode(
        y=alt.Y("low:Q", title="days to double", scale=alt.Scale(domain=[0, 70])), y2="high:Q"
    )
    dot = base.mark_point(shape="circle", filled=True, size=80, color=MITES.colour, opacity=1).encode(
        y="days:Q", tooltip=tips(rows, month="month", days="days to double")
    )
    middle = float(rows["days"].median())
    return finish(
        alt.layer(box, dot, dot.mark_text(dy=-14, color=INK).encode(text=alt.Text("days:Q", format=".0f"))),
        f"Mites double in about {middle:.0f} days in season",
        "dot: the law; box: 20 to 33 days in season (Martin 1998; Al Toufailia & Ratnieks 2016); April has only begun",
        "Days to double by month. " + " ".join(f"{r.month}: {r.days:.0f}." for r in rows.itertuples()),
    )


def rebound(told: Story) -> alt.LayerChart:
    """How fast what a treatment leaves is 1,000 mites again."""
    start = date(told.start.year, 5, 1)
    runs = {f"{left} left": simulate(start=start, days=130, mites=left) for left in (200, 100)}
    rows = pd.concat([_long(run, {name: run.total}, "run") for name, run in runs.items()])
    rows = rows[rows["value"] <= 1400]
    back = [int(np.argmax(run.total >= 1000)) for run in runs.values()]
    marks = pd.DataFrame({"date": [start + timedelta(days=65), start + timedelta(days=100)], "value": 1000.0})
    points = alt.Chart(marks.assign(date=pd.to_datetime(marks["date"]))).mark_point(
        shape=COUNT.symbol, size=110, color=COUNT.colour, filled=True
    )
    limit = alt.Chart(pd.DataFrame({"value": [1000.0]})).mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash))
    return finish(
        _lines(rows, "run", "mites", [MITES.colour, BROOD.colour])
        + limit.encode(y="value:Q")
        + points.encode(x="date:T", y="value:Q"),
        f"1,000 mites again {back[0]} days after 80 % kill, {back[1]} after 90 %",
        "lines: the law from 1 May; diamonds: the leaflet's 65 and 100 days",
        f"From 200 mites {back[0]} days, from 100 mites {back[1]} days to 1,000; the leaflet says 65 and 100.",
    )


def winter() -> alt.LayerChart:
    """Mites left through a broodless winter, against the 39.8 % lost in a trial."""
    start = date(2025, 10, 15)
    year = simulate(start=start, days=168, mites=1000, year=broodless())
    rows = _long(year, {"law": year.total / 10}, "of what")
    seen = pd.DataFrame({"date": pd.to_datetime([start + timedelta(days=167)]), "value": [60.2]})
    lost = 100 - float(year.total[-1]) / 10
    point = alt.Chart(seen).mark_point(shape=COUNT.symbol, size=110, filled=True, color=COUNT.colour)
    return finish(
        _lines(rows, "of what", "% of the autumn's mites left", [MITES.colour], scale=PERCENT)
        + point.encode(x="date:T", y="value:Q"),
        f"A winter without brood costs {lost:.0f} % of the mites",
        "line: the law; diamond: 39.8 % lost (Korpela et al. 1992)",
        f"Mites left through a broodless winter: {lost:.1f} % lost by the law, 39.8 % in the trial.",
    )


def _factors(year: MiteYear) -> pd.DataFrame:
    printed = {
        **dict.fromkeys((11, 12, 1, 2), counts.FACTOR_WINTER),
        **dict.fromkeys((3, 4, 9, 10), counts.FACTOR_SPRING_AUTUMN),
    }
    rows = []
    for first in pd.date_range(year.start, periods=12, freq="MS"):
        here = slice((first.date() - year.start).days, (first.date() - year.start).days + 28)
        value = printed.get(first.month, counts.FACTOR_SUMMER).value
        factor = float(year.total[here].mean() / year.board_drop_per_day[here].mean())
        rows.append({"month": f"{first:%b}", "factor": factor, "printed": value, "low": value / 2, "high": value * 2})
    return pd.DataFrame(rows)


def _doublings(year: MiteYear) -> pd.DataFrame:
    rows = []
    for month in (4, 5, 6, 7, 8):
        first = date(year.start.year, month, 1)
        a, b = year.at(first), year.at(first) + 28
        days = 28 * np.log(2) / np.log(year.total[b] / year.total[a])
        rows.append({"month": f"{first:%b}", "days": float(days), "low": 20, "high": 33})
    return pd.DataFrame(rows)


def _long(year: MiteYear, curves: dict[str, Any], name: str) -> pd.DataFrame:
    dates = pd.date_range(year.start, periods=len(year.on_bees))[::2]
    return pd.concat([pd.DataFrame({"date": dates, "value": values[::2], name: key}) for key, values in curves.items()])


def _by_month(rows: pd.DataFrame) -> alt.X:
    return alt.X("month:N", sort=rows["month"].tolist(), title=None, axis=alt.Axis(labelAngle=0))


def _lines(rows: pd.DataFrame, name: str, title: str, colours: list[str], *, scale: alt.Scale = ROOT) -> alt.Chart:
    names = list(rows[name].unique())
    key = alt.Legend(title=None) if len(names) > 1 else None
    drawn: alt.Chart = alt.Chart(rows).mark_line(strokeWidth=2.5)
    return drawn.encode(
        x=months(),
        y=alt.Y("value:Q", title=title, scale=scale),
        color=alt.Color(f"{name}:N", scale=alt.Scale(domain=names, range=colours), legend=key),
        strokeDash=alt.StrokeDash(f"{name}:N", scale=alt.Scale(domain=names), legend=key),
        tooltip=tips(rows, date="day", value=title),
    )


def _box(begin: date, end: date, low: float, high: float) -> alt.Chart:
    table = pd.DataFrame({"date": pd.to_datetime([begin]), "end": pd.to_datetime([end]), "low": low, "high": high})
    drawn: alt.Chart = alt.Chart(table).mark_rect(color=EXPECTED.colour, opacity=0.25)
    return drawn.encode(x="date:T", x2="end:T", y="low:Q", y2="high:Q")


def _peaks(rows: pd.DataFrame, name: str) -> str:
    tops = rows.sort_values("value").drop_duplicates(name, keep="last")
    return " ".join(
        f"{key}: at most {number(top)}, on {when:%d %b}."
        for key, top, when in zip(tops[name], tops["value"], tops["date"], strict=True)
    )
