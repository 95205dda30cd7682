"""What a battery charge is good for and what moves it; a visit laid out as bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast

import altair as alt
import pandas as pd

from kit.calc.timeline import Bar, length_min
from kit.report.charts.marks import BREAK, rows_of, tips
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.style import INK, WORK, finish, rows_px
from kit.season.findings import Findings

SHOWN_INPUTS = 6
VISIT_ROWS = (
    "drive",
    "carry in",
    "set up",
    "warm up",
    "seal",
    "dose",
    "wait",
    "unseal",
    "pack",
    "carry out",
    "drive home",
)


TRAVEL = ("drive", "carry in", "carry out", "drive home")


def charge_swings(review: Findings) -> alt.LayerChart | Note:
    """Which input moves the doses of a charge most, for the battery that carries the fewest."""
    outlook = review.tables["charge"].dropna(subset=["doses_p50"])
    if outlook.empty:
        return Note("No sublimation from a battery is recorded, so there is no charge to reckon.")
    weakest = outlook.sort_values("doses_p05", kind="stable").iloc[0]
    swings = review.tables["charge_swings"]
    mine = swings[swings["battery"] == weakest["battery"]].head(SHOWN_INPUTS)
    rows = _moved(mine, "doses_at_low", "doses_at_high")
    drawn = _one_at_a_time(rows, "doses of a charge", ("fewest doses", "most doses"))
    return finish(
        drawn,
        f"{rows['input'].iloc[0].capitalize()} moves the doses of a charge most",
        f"battery {weakest['battery']}: likely {number(weakest['doses_p05'])} to {number(weakest['doses_p95'])} doses, "
        "here one input at a time over its range, the others at their middle",
        f"Doses of a charge of {weakest['battery']}. " + _told(rows, "doses"),
    )


def _moved(swings: pd.DataFrame, low: str, high: str) -> pd.DataFrame:
    """Fewest and most that an input leads to, and its range in words."""
    return swings.assign(
        fewest=swings[[low, high]].min(axis=1),
        most=swings[[low, high]].max(axis=1),
        range=[
            f"{number(least)} to {number(most)} {unit}".strip()
            for least, most, unit in zip(swings["low"], swings["high"], swings["unit"], strict=True)
        ],
    )


def _one_at_a_time(rows: pd.DataFrame, along: str, ends: tuple[str, str]) -> alt.LayerChart:
    """Bars from fewest to most, one input each with its range below its name, both ends written."""
    rows = rows.assign(row=rows["input"] + BREAK + rows["range"], least=rows["fewest"].map(number))
    rows = rows.assign(greatest=rows["most"].map(number))
    shown = tips(rows, input="input", range="likely range", fewest=ends[0], most=ends[1])
    base = alt.Chart(rows).encode(y=rows_of(rows["row"].tolist(), "row", led=False), tooltip=shown)
    scale = alt.Scale(domain=[0, 1.2 * float(rows["most"].max())], nice=False)
    x = alt.X("fewest:Q", title=along, scale=scale, axis=alt.Axis(grid=False))
    bar = base.mark_bar(color=WORK.colour, height=12).encode(x=x, x2="most:Q")
    low = base.mark_text(align="right", dx=-5, color=INK, fontSize=12).encode(x=x, text="least:N")
    high = base.mark_text(align="left", dx=5, color=INK, fontSize=12).encode(x="most:Q", text="greatest:N")
    drawn = alt.layer(bar, low, high).properties(height=rows_px(len(rows), more=8) + 10)
    return cast("alt.LayerChart", drawn)


def _told(rows: pd.DataFrame, what: str) -> str:
    columns = (rows[name] for name in ("input", "range", "fewest", "most"))
    return " ".join(f"{i}, {r}: {number(f)} to {number(m)} {what}." for i, r, f, m in zip(*columns, strict=True))


def visit_bars(bars: Sequence[Bar]) -> alt.LayerChart | Note:
    """A visit as bars, one row for each kind of work; filled bars make the visit longer when they do."""
    if not bars:
        return Note("No colony to treat, so there is no visit to lay out.")
    rows = pd.DataFrame([bar._asdict() for bar in bars])
    rows = rows.assign(path=rows["critical"].map({True: "makes the visit longer", False: "has time to spare"}))
    names = [name for name in VISIT_ROWS if name in set(rows["what"])]
    fill = alt.condition("datum.critical", alt.value(WORK.colour), alt.value("white"))
    base = alt.Chart(rows).encode(
        y=rows_of(names, "what"),
        x=alt.X("start_min:Q", title="minutes since leaving"),
        x2="end_min:Q",
        tooltip=tips(rows, what="what", group="group", start_min="from [min]", end_min="to [min]", path="path"),
    )
    bar = base.mark_bar(height=14, stroke=WORK.colour, strokeWidth=1).encode(fill=fill)
    title, says = bars_told(bars)
    return finish(
        alt.layer(bar).properties(height=rows_px(len(names)) + 10),
        title,
        "filled: makes the visit longer when it takes longer; hollow: has time to spare",
        says,
    )


def bars_told(bars: Sequence[Bar]) -> tuple[str, str]:
    """A visit's bars as a title and as words, for a page that cannot show them."""
    total = length_min(tuple(bars))
    there = [bar for bar in bars if bar.what not in TRAVEL]
    at_hives = max(bar.end_min for bar in there) - min(bar.start_min for bar in there)
    longest: dict[str, float] = {}
    for bar in bars:
        longest[bar.what] = longest.get(bar.what, 0.0) + bar.critical * (bar.end_min - bar.start_min)
    path = " ".join(f"{what}: {number(m)} minutes on the longest path." for what, m in longest.items() if m > 0)
    return (
        f"About {number(total)} minutes, {number(at_hives)} of them at the hives",
        f"A visit of about {number(total)} minutes. {path}",
    )


def first_sublimation(plan: Findings) -> alt.LayerChart | Note:
    """The time line of the first sublimation planned, as bars; of the longest where there are several apiaries."""
    table = plan.tables.get("bars", pd.DataFrame())
    if table.empty:
        return Note("No sublimation is planned, so there is no visit to lay out.")
    lengths = table.groupby("visit_id", sort=False)["end_min"].max()
    chosen = lengths.index[0] if len(plan.apiary_facts) == 1 else lengths.idxmax()
    mine = table[table["visit_id"] == chosen]
    return visit_bars([Bar(*values) for values in mine[list(Bar._fields)].itertuples(index=False)])


def break_even(plan: Findings) -> alt.LayerChart | Note:
    """From how many colonies a machine that holds its heat pays, one input at a time over its range."""
    swings = plan.tables.get("machine_swings", pd.DataFrame())
    if swings.empty:
        return Note("No sublimation is planned, so there are no machines to compare.")
    rows = _moved(swings, "pays_from_at_low", "pays_from_at_high")
    rows = rows[rows["most"].map(math.isfinite)]
    middle = float(plan.tables["machines"]["pays_from_colonies"].max())
    drawn = _one_at_a_time(rows, "colonies from which it pays", ("pays from, at best", "pays from, at worst"))
    return finish(
        drawn,
        f"A machine that holds its heat pays from about {number(middle)} colonies",
        "here one input at a time over its range, the others at their middle",
        f"It pays from about {number(middle)} colonies. {_told(rows, 'colonies')}",
    )
