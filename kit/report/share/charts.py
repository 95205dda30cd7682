"""The pooled report's charts, in the language of all the others; every one tells what it shows in words."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from kit.report.charts.marks import BREAK, interval, rows_of, tips
from kit.report.charts.phrases import number
from kit.report.share.form import ACCESS, ALL, OTHER
from kit.report.share.groups import regions_told
from kit.report.share.words import place_words, week_words
from kit.report.show import Note
from kit.report.style import EDGED, LOSS, MITES, ROW_PX, TREATMENT, WORK, Meaning, finish
from kit.season.findings import Findings

PER_100 = "mites on bees per 100 bees"
NEW = {"typical": "typical", "new_p05": "a new member: at least", "new_p95": "at most"}
LUCK = "bar: allowing for luck (95 %)"
_GROUND = {word: at for at, word in enumerate((ALL, *ACCESS))}
TOO_FEW = "Too few members told this for a group that may be shown."


def weeks(pool: Findings) -> alt.LayerChart | Note:
    """All members through the season: the typical member, its interval, and where a new one is likely to lie."""
    rows = _dated(pool.tables["loads"])
    rows = rows[rows["region"] == ALL]
    if rows.empty:
        return Note(TOO_FEW)
    top: Any = rows.sort_values("typical", ascending=False, kind="stable").iloc[0]
    told = bool(rows["new_p95"].notna().any())
    new = ", light band: where nine new members in ten would lie" * told
    cut = f"; cut at {number(_ceiling(rows))}" * bool(
        (rows[["typical_high", "new_p95"]] > _ceiling(rows)).any(axis=None)
    )
    return finish(
        alt.layer(*_through_the_year(rows, told=told)).properties(height=300),
        f"Highest in {week_words(top['week'])}: typically {number(top['typical'])} per 100 bees",
        f"{PER_100}; line: the typical member, dark band: how well that is known (90 %){new}{cut}",
        f"Typical member's {PER_100} by week. Highest in {week_words(top['week'])}: {number(top['typical'])}, known to "
        f"{number(top['typical_low'])} to {number(top['typical_high'])}.",
    )


def _through_the_year(rows: pd.DataFrame, *, told: bool) -> list[Any]:
    axis = alt.Axis(format="%b", tickCount="month", labelOverlap="greedy", labelSeparation=8)
    ceiling = _ceiling(rows)
    drawn = rows.assign(**{name: rows[name].clip(upper=ceiling) for name in ("new_p95", "typical_high")})
    base = alt.Chart(drawn).encode(x=alt.X("date:T", title=None, axis=axis), tooltip=tips(drawn, week="week", **NEW))
    y = alt.Y("typical_low:Q", title=PER_100, scale=alt.Scale(domain=[0, ceiling]))
    near = base.mark_area(color=MITES.colour, fillOpacity=0.3, stroke=MITES.colour, **EDGED).encode(
        y=y, y2="typical_high:Q"
    )
    line = base.mark_line(color=MITES.colour, strokeWidth=2.5).encode(y="typical:Q")
    wide = base.mark_area(color=MITES.colour, fillOpacity=0.16, stroke=MITES.colour, **EDGED).encode(
        y="new_p05:Q", y2="new_p95:Q"
    )
    return [near, line, wide] if told else [near, line]


def _ceiling(rows: pd.DataFrame) -> float:
    """As high as the bands go, but a very wide one would press the line flat."""
    highest = float(np.nanmax(rows[["typical_high", "new_p95"]].to_numpy()))
    return min(4 * float(rows["typical"].max()), 1.05 * highest)


def regions(pool: Findings) -> alt.LayerChart | Note:
    """Regions by month: the bigger the disc, the more mites at the typical member."""
    rows = _dated(pool.tables["loads"])
    rows = rows[rows["region"] != ALL]
    if rows["region"].nunique() < 2:
        told = regions_told(pool.tables["regions"]["region"])
        told_of_one = "One region alone has enough members to be told."
        return Note(told_of_one if told else "No region is told, for the reason given under who sent a pack.")
    rows = rows.assign(row=rows["region"].map(place_words), month=rows["date"].dt.to_period("M"))
    monthly = rows.drop_duplicates(["region", "month"]).drop(columns="month")
    size = alt.Size("typical:Q", scale=alt.Scale(domain=[0, float(monthly["typical"].max())], range=[0, 420]))
    base = alt.Chart(monthly).encode(
        x=alt.X("date:T", title=None, axis=alt.Axis(format="%b", tickCount="month", labelOverlap="greedy")),
        y=rows_of(sorted(monthly["row"].unique()), "row"),
        tooltip=tips(monthly, row="region", week="week", members="members", **NEW),
    )
    disc = base.mark_circle(color=MITES.colour, opacity=0.75, stroke="white", strokeWidth=0.5).encode(size=size)
    tops = rows.sort_values("typical", ascending=False, kind="stable").drop_duplicates("region")
    return finish(
        alt.layer(disc).properties(height=ROW_PX * monthly["row"].nunique() + 30),
        f"Most mites: members {tops['row'].iloc[0]}",
        f"disc: {PER_100} of the typical member, first week of each month; squares of one degree by their south-west "
        "corner",
        "Highest week by region. "
        + " ".join(
            f"{row['row']}: {number(row['typical'])} in {week_words(row['week'])}, {row['members']} members."
            for row in tops.to_dict("records")
        ),
    )


def kills(pool: Findings) -> alt.LayerChart | Note:
    """The kill of each treatment: the typical member and where a new one is likely to lie."""
    rows = pool.tables["kills"]
    names = rows["treatment"].replace({OTHER: "other treatments"})
    rows = rows.assign(row=names + BREAK + rows["members"].astype(str) + " members")
    return _rows(
        _barred(rows),
        "kill [%]",
        TREATMENT,
        (_most("Highest typical kill", rows, "treatment", " %"), f"triangle: the typical member, {_bar(rows)}"),
        top=100,
    )


def losses(pool: Findings) -> alt.LayerChart | Note:
    """Hives lost by cause over all members, with quasi-binomial intervals."""
    rows = _lost(pool.tables["losses"])
    return _rows(
        rows.assign(row=rows["cause"].replace({ALL: "all causes", OTHER: "other causes"})),
        "hives lost [% of those wintered]",
        LOSS,
        (_most("Lost most to", rows, "cause", " %"), f"cross: over all members, {LUCK}"),
    )


def lateness(pool: Findings) -> alt.LayerChart | Note:
    """Hives lost by weeks late, over all grounds first, then within each way a vehicle gets there."""
    rows = _lost(pool.tables["lateness"])
    rows = rows[rows["late"] != ALL].sort_values("access", key=lambda words: words.map(_GROUND), kind="stable")
    access = rows["access"].replace({ALL: "all grounds", OTHER: "ground not told"})
    whole = rows[rows["access"] == ALL]
    said = ", ".join(f"{late} {number(lost)} %" for late, lost in zip(whole["late"], whole["typical"], strict=True))
    return _rows(
        rows.assign(row=access + BREAK + rows["late"]),
        "hives lost [% of those wintered]",
        LOSS,
        (
            f"Hives lost: {said}" if said else "Hives lost by ground and weeks late",
            f"cross: all members' apiaries of the group, {LUCK}",
        ),
    )


def work(pool: Findings) -> alt.LayerChart | Note:
    """Hours a hive by kind of work."""
    rows = pool.tables["work"]
    rows = rows[rows["unit"] == "h a hive"]
    return _rows(
        _barred(rows.assign(row=rows["what"])),
        "hours a hive over the season",
        WORK,
        (
            _most("Most hours", rows, "what", " a hive"),
            f"square: the typical member, {_bar(rows)}",
        ),
    )


def _dated(loads: pd.DataFrame) -> pd.DataFrame:
    return loads.assign(date=pd.to_datetime(loads["week"] + "-1", format="%G-W%V-%u"))


def _barred(rows: pd.DataFrame) -> pd.DataFrame:
    """Where a new member's range is told of every row, that is the bar; the typical member's interval otherwise."""
    if rows["new_p05"].notna().all():
        return rows
    return rows.assign(new_p05=rows["typical_low"], new_p95=rows["typical_high"])


def _bar(rows: pd.DataFrame) -> str:
    told = rows["new_p05"].notna().all()
    return "bar: where nine new members in ten would lie" if told else "bar: how well that is known (90 %)"


def _most(what: str, rows: pd.DataFrame, by: str, unit: str) -> str:
    """The headline: the group with the most, of those that are neither all nor the rest."""
    named = rows[~rows[by].isin([ALL, OTHER, "all work"])].sort_values("typical", ascending=False, kind="stable")
    return f"{what}: {named[by].iloc[0]}, {number(named['typical'].iloc[0])}{unit}" if len(named) else what


def _lost(rows: pd.DataFrame) -> pd.DataFrame:
    return rows.rename(columns={"loss_pct": "typical", "loss_pct_low": "new_p05", "loss_pct_high": "new_p95"})


def _rows(
    rows: pd.DataFrame, axis: str, meaning: Meaning, told: tuple[str, str], top: float | None = None
) -> alt.LayerChart | Note:
    """A row for each group with its middle and its bar; `told` is the headline, and what is drawn."""
    if rows.empty:
        return Note(TOO_FEW)
    drawn = rows.rename(columns={"new_p05": "of_p05", "typical": "of_p50", "new_p95": "of_p95"})
    drawn = drawn.assign(of_p50=drawn["of_p50"].map(lambda value: float(f"{value:.2g}")))  # as the sentences say it
    shown = tips(drawn, row="", members="members", of_p05="at least", of_p50="about", of_p95="at most")
    base = alt.Chart(drawn[["row", "members", "of_p05", "of_p50", "of_p95"]]).encode(
        y=rows_of(drawn["row"].tolist(), "row"), tooltip=shown
    )
    scale = alt.Scale(domain=[0, top or 1.05 * float(drawn["of_p95"].max())])
    return finish(
        interval(base, "of", axis, meaning, scale).properties(height=(ROW_PX + 10) * len(drawn) + 20),
        told[0],
        f"{axis}; {told[1]}",
        f"{axis}. "
        + " ".join(
            f"{str(row['row']).replace(BREAK, ', ')}: {number(row['of_p50'])}, {number(row['of_p05'])} to "
            f"{number(row['of_p95'])}."
            for row in drawn.to_dict("records")
        ),
    )
