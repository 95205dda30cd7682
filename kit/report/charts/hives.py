"""The hives of one apiary side by side through the season, each on the same scale."""

from __future__ import annotations

import math

import altair as alt
import pandas as pd

from kit.report.charts.load import BAND, BAND_TIPS, PER_100
from kit.report.charts.marks import months, tips
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.style import COUNT, EDGED, HAIRLINE, INK, MITES, TREATMENT, finish
from kit.season.findings import Findings

MOST = 24
"""So many hives have a panel; the heaviest first."""
PANEL_PX, LEAST_PX, SHEET_PX, GAP = 78, 44, 900, 0.28
"""A panel's height, its least, and that of all together where they can keep to one sheet of paper, in pixels."""
EVERY_DAYS = 14
KEPT = ("hive", "date", "floor", "colony", "method", "mites", "reading", *BAND)
"""Columns that a chart needs, so that its page stays light."""


def hives(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """Small panels one below the other: a hive's likely range and middle, its counts, the rounds of the apiary.

    Parameters
    ----------
    review : Findings
        Whole or sliced.
    apiary : str
        Id.
    """
    courses = _courses(review, apiary)
    if courses["hive"].nunique() < 2:
        return Note("Fewer than two hives carry a number here, so they cannot be told apart.")
    order = courses.groupby("hive")["per_100_bees_p50"].max().sort_values(ascending=False).index[:MOST].tolist()
    top = float(courses["per_100_bees_p95"].quantile(0.98))
    shown = _stacked(courses[courses["hive"].isin(order)], order, top)
    counts = _stacked(_counts(review, apiary, order), order, top)
    rounds = review.tables["rounds"].query("apiary == @apiary").dropna(subset=["date"])
    first, more = order[0], courses["hive"].nunique() - len(order)
    peaks = courses.groupby("hive")["per_100_bees_p50"].max()
    return finish(
        alt.layer(*_rounds(rounds), *_panels(shown), *_points(counts), _names(shown, order)).properties(
            height=max(LEAST_PX, min(PANEL_PX, SHEET_PX // len(order))) * len(order)
        ),
        f"Highest through the season: {first}",
        f"{PER_100}, every hive on one scale up to {number(top)}; line: the middle, band: likely range (5 to 95 %), "
        "diamond: a count, dashed: a treatment round" + (f"; {more} lighter hives not drawn" if more else ""),
        f"Hives of {apiary} by their highest, in {PER_100}: "
        + "; ".join(f"{hive} {number(peaks[hive])}" for hive in order)
        + ".",
    )


def _courses(review: Findings, apiary: str) -> pd.DataFrame:
    loads = review.tables["loads"].dropna(subset=BAND)
    mine = loads[(loads["apiary"] == apiary) & (loads["scope"] == "colony")].sort_values("date", kind="stable")
    fortnight = (mine["date"] - mine["date"].min()).dt.days // EVERY_DAYS
    return mine.assign(hive=mine["colony"], at=fortnight).groupby(["hive", "at"], sort=False).head(1)


def _counts(review: Findings, apiary: str, order: list[str]) -> pd.DataFrame:
    counts = review.tables["readings"].dropna(subset=BAND)
    return counts[(counts["apiary"] == apiary) & counts["colony"].isin(order)].assign(hive=lambda rows: rows["colony"])


def _stacked(rows: pd.DataFrame, order: list[str], top: float) -> pd.DataFrame:
    """Heights as parts of a panel on a square-root scale, the panel of the first hive on top."""
    place = rows["hive"].map({hive: len(order) - 1 - n for n, hive in enumerate(order)}).astype(float)
    part = {f"y_{p}": place + (1 - GAP) * (rows[f"per_100_bees_{p}"].clip(upper=top) / top).map(math.sqrt)
            for p in ("p05", "p50", "p95")}  # fmt: skip
    return rows.assign(floor=place, **part)[
        [name for name in (*KEPT, *part) if name in {*rows.columns, "floor", *part}]
    ]


def _panels(shown: pd.DataFrame) -> list[alt.Chart]:
    x = months()
    told = tips(shown, hive="hive", date="day", **BAND_TIPS)
    base = alt.Chart(shown).encode(x=x, detail="hive:N", tooltip=told)
    plain = alt.Axis(labels=False, ticks=False, domain=False, grid=False, title=None)
    y = alt.Y("y_p05:Q", axis=plain, scale=alt.Scale(domain=[0, float(shown["floor"].max()) + 1], nice=False))
    floor = base.mark_line(color=HAIRLINE, strokeWidth=1).encode(y="floor:Q")
    band = base.mark_area(color=MITES.colour, fillOpacity=0.22, stroke=MITES.colour, **EDGED).encode(y=y, y2="y_p95:Q")
    return [floor, band, base.mark_line(color=MITES.colour, strokeWidth=2).encode(y="y_p50:Q")]


def _points(counts: pd.DataFrame) -> list[alt.Chart]:
    if counts.empty:
        return []
    told = tips(counts, date="day", colony="hive", method="method", mites="mites", reading="read by")
    point = alt.Chart(counts).mark_point(shape=COUNT.symbol, color=COUNT.colour, fill="white", size=45, opacity=1)
    return [point.encode(x="date:T", y="y_p50:Q", tooltip=told)]


def _rounds(rounds: pd.DataFrame) -> list[alt.Chart]:
    if rounds.empty:
        return []
    told = tips(rounds, date="day", treatment="treatment", round="round")
    line = alt.Chart(rounds).mark_rule(color=TREATMENT.colour, strokeDash=list(TREATMENT.dash), strokeWidth=1)
    return [line.encode(x="date:T", tooltip=told)]


def _names(shown: pd.DataFrame, order: list[str]) -> alt.Chart:
    """The hive's name and its highest, at the upper left of its panel."""
    peak = shown.loc[shown.groupby("hive", sort=False)["per_100_bees_p50"].idxmax()].set_index("hive")
    words = [
        (row["floor"] + 1 - GAP / 2, f"{hive}: {number(row['per_100_bees_p50'])}, {row['date']:%-d %b}")
        for hive, row in peak.loc[order].iterrows()
    ]
    base = alt.Chart(pd.DataFrame(words, columns=["at", "word"])).encode(y="at:Q", text="word:N", x=alt.value(4))
    named: alt.Chart = base.mark_text(align="left", baseline="middle", color=INK, fontSize=12)
    return named
