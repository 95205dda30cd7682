"""What a battery charge is good for and what moves it; a visit laid out as bars."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt
import pandas as pd

from kit.calc.timeline import Bar, length_min
from kit.report.charts.marks import rows_of, tips
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.style import INK, ROW_PX, WORK, finish
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
    rows = swings[swings["battery"] == weakest["battery"]].head(SHOWN_INPUTS)
    rows = rows.assign(
        fewest=rows[["doses_at_low", "doses_at_high"]].min(axis=1),
        most=rows[["doses_at_low", "doses_at_high"]].max(axis=1),
        range=[
            f"{number(low)} to {number(high)} {unit}".strip()
            for low, high, unit in zip(rows["low"], rows["high"], rows["unit"], strict=True)
        ],
    )
    base = alt.Chart(rows).encode(
        y=rows_of(rows["input"].tolist(), "input"),
        tooltip=tips(rows, input="input", range="likely range", fewest="fewest doses", most="most doses"),
    )
    scale = alt.Scale(domain=[0, 1.4 * float(rows["most"].max())])
    along = alt.X("fewest:Q", title="doses of a charge", scale=scale)
    bar = base.mark_bar(color=WORK.colour, height=12).encode(x=along, x2="most:Q")
    word = base.mark_text(align="left", dx=6, color=INK, fontSize=12).encode(x="most:Q", text="range:N")
    return finish(
        alt.layer(bar, word).properties(height=ROW_PX * len(rows) + 10),
        f"{rows['input'].iloc[0].capitalize()} moves the doses of a charge most",
        f"battery {weakest['battery']}: likely {number(weakest['doses_p05'])} to {number(weakest['doses_p95'])} doses, "
        "here one input at a time over its range, the others at their middle",
        f"Doses of a charge of {weakest['battery']}. "
        + " ".join(f"{r.input}, {r.range}: {number(r.fewest)} to {number(r.most)} doses." for r in rows.itertuples()),
    )


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
    total = length_min(tuple(bars))
    there = rows[~rows["what"].isin(TRAVEL)]
    at_hives = there["end_min"].max() - there["start_min"].min()
    longest = rows[rows["critical"]].assign(m=rows["end_min"] - rows["start_min"]).groupby("what")["m"].sum()
    return finish(
        alt.layer(bar).properties(height=ROW_PX * len(names) + 10),
        f"{number(total)} minutes, {number(at_hives)} of them at the hives",
        "filled: makes the visit longer when it takes longer; hollow: has time to spare",
        f"A visit of {number(total)} minutes. "
        + " ".join(f"{what}: {number(m)} minutes on the longest path." for what, m in longest.items()),
    )
