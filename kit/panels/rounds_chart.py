"""How "dose, rounds and interval" is drawn."""

from __future__ import annotations

from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from kit.calc.rounds import RoundsGrid
from kit.calc.scenario import Bands, Course
from kit.calc.series import Left, Series
from kit.panels.marks import band_and_line, day_rules, fitted
from kit.report.charts.marks import tips
from kit.report.style import EXPECTED, INK, MITES, TREATMENT
from kit.report.words.trying import few, few_likely, share

HEIGHT_PX, MAP_PX = 230, 170


def course_chart(left: Left, series: Series) -> alt.LayerChart:
    """Mites with the series and without it, from its first round to next season."""
    rows = pd.concat([_rows(left.untreated, "left alone"), _rows(left.treated, "with the series")])
    rounds = [treatment.day for treatment in series.treatments()]
    drawn = band_and_line(
        rows,
        {"with the series": MITES, "left alone": EXPECTED},
        "mites in a colony",
        alt.Scale(type="sqrt", domainMin=0),
    )
    return fitted(
        day_rules(rounds, "round", TREATMENT) + drawn,
        f"Mites left two weeks after the last round: {few(left.mites.p50)}",
        "lines: the middle; bands: 5 to 95 %; dashes: rounds; a root scale",
        f"Mites by day. On {series.judged:%-d %B} {few_likely(left.mites)} with the series; "
        f"at the end {few(left.next_start.p50)}.",
        height=HEIGHT_PX,
    )


def map_chart(grid: RoundsGrid, series: Series) -> alt.LayerChart:
    """Kill by rounds and interval, with where the series stands."""
    rows = pd.DataFrame(
        [
            {
                "rounds": n,
                "interval": gap,
                "kill": grid.p50[i, j],
                "low": grid.p05[i, j],
                "high": grid.p95[i, j],
                "told": share(float(grid.p50[i, j])),
            }
            for i, n in enumerate(grid.rounds)
            for j, gap in enumerate(grid.intervals_days)
        ]
    )
    here = pd.DataFrame({"rounds": [series.rounds], "interval": [series.interval_days]})
    base = alt.Chart(rows).encode(
        x=alt.X("interval:O", title="days between rounds", axis=alt.Axis(labelAngle=0)),
        y=alt.Y("rounds:O", title="rounds", sort="descending"),
        tooltip=tips(rows, rounds="rounds", interval="days between", kill="kill %", low="from", high="to"),
    )
    colour = alt.Color("kill:Q", scale=alt.Scale(scheme="blues", domain=[0, 100]), legend=None)
    dark = alt.condition("datum.kill > 55", alt.value("white"), alt.value(INK))
    layers: list[Any] = [
        base.mark_rect(stroke="white").encode(color=colour),
        base.mark_text(fontSize=13).encode(text="told:N", color=dark),
        alt.Chart(here)
        .mark_rect(filled=False, stroke=MITES.colour, strokeWidth=4)
        .encode(x="interval:O", y="rounds:O"),
    ]
    within = series.rounds in grid.rounds and series.interval_days in grid.intervals_days
    return fitted(
        alt.layer(*(layers if within else layers[:2])),
        "Kill by rounds and days between" + (": you are in the box" if within else ""),
        "% of the mites, the middle of the range" + ("" if within else "; what you try lies outside this map"),
        "Kill by rounds and days between. "
        + " ".join(f"{r.rounds} × {r.interval} days: {r.kill:.0f} %." for r in rows.itertuples()),
        height=MAP_PX,
    )


def _rows(run: Course, name: str) -> pd.DataFrame:
    bands = Bands.of(run.mites)
    days: list[date] = run.dates()
    return pd.DataFrame(
        {"date": pd.to_datetime(days), "p05": bands.p05, "p50": bands.p50, "p95": bands.p95, "which": name}
    )
