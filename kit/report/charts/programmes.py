"""Which programme: what each buys for its work, and the odds of brood that make the winter round a window."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import months, tips
from kit.report.charts.phrases import day, number
from kit.report.show import Note
from kit.report.style import BROOD, IN_TIME, INK, LIMIT, RANGE_OPACITY, TREATMENT, WORK, finish
from kit.season.findings import Findings

CHOSEN, DID, OTHER = "chosen", "what you did", "others weighed"
SYMBOLS = {CHOSEN: IN_TIME.symbol, DID: TREATMENT.symbol, OTHER: WORK.symbol}
COLOURS = {CHOSEN: IN_TIME.colour, DID: TREATMENT.colour, OTHER: WORK.colour}


def programmes(plan: Findings) -> alt.LayerChart | Note:
    """Every programme of one apiary: hours of a year along, chance of a hive to stay below all limits up."""
    table = plan.tables["programmes"]
    if table.empty:
        return Note("No programme was weighed here.")
    rows = table.assign(hours=table["minutes"] / 60, what=[_what(row) for row in table.to_dict("records")])
    wanted = alt.Chart(pd.DataFrame({"wanted": [float(rows["wanted_pct"].iloc[0])]})).encode(y="wanted:Q")
    scale = alt.Scale(domain=list(SYMBOLS), range=list(SYMBOLS.values()))
    colour = alt.Scale(domain=list(COLOURS), range=list(COLOURS.values()))
    legend = alt.Legend(title=None, columns=1, orient="bottom")
    marks = alt.Chart(rows).mark_point(size=90, strokeWidth=2).encode(
        x=alt.X("hours:Q", title="hours a year, driving there alone"),
        y=alt.Y("chance_pct:Q", title="chance a hive stays below all limits [%]", scale=alt.Scale(domain=[0, 100])),
        shape=alt.Shape("what:N", scale=scale, legend=legend),
        color=alt.Color("what:N", scale=colour, legend=legend),
        tooltip=tips(rows, programme="programme", chance_pct="chance [%]", minutes="minutes", given_up="against"),
    )  # fmt: skip
    chosen = rows[rows["chosen"] == "yes"].iloc[0]
    ring = alt.Chart(rows[rows["chosen"] == "yes"]).mark_point(size=260, color=INK, strokeWidth=1.5)
    return finish(
        alt.layer(
            wanted.mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash)),
            marks, ring.encode(x="hours:Q", y="chance_pct:Q"),
        ).properties(height=280),
        f"{chosen['programme']}: {number(chosen['chance_pct'])} % for {number(chosen['hours'])} hours",
        "ringed: the one chosen; triangle: what you did; dotted: the chance wanted",
        "Programmes by work and chance. " + " ".join(
            f"{r['programme']}: {number(r['chance_pct'])} %, {number(r['hours'])} hours."
            for r in rows[rows["shown"] == "yes"].to_dict("records")
        ),
    )  # fmt: skip


def _what(row: Mapping[Any, Any]) -> str:
    return CHOSEN if row["chosen"] == "yes" else DID if row["did"] == "yes" else OTHER


def broodless(plan: Findings) -> alt.LayerChart | Note:
    """The odds by date that a hive has hardly any brood, and the days for the winter round."""
    rows = plan.tables["broodless"]
    if rows.empty:
        return Note("No odds of brood could be worked out.")
    base = alt.Chart(rows)
    inside = rows[rows["in_window"] == "yes"]
    best = rows.sort_values("chance_pct", ascending=False, kind="stable").iloc[0]
    line = base.mark_line(color=BROOD.colour, strokeWidth=2, point=alt.OverlayMarkDef(color=BROOD.colour)).encode(
        x=months(),
        y=alt.Y("chance_pct:Q", title="hives with hardly any brood [%]", scale=alt.Scale(domain=[0, 100])),
        tooltip=tips(rows, date="week of", chance_pct="chance [%]", capped_cells_p50="capped cells"),
    )
    thick = alt.Chart(inside).mark_line(color=TREATMENT.colour, strokeWidth=7, opacity=RANGE_OPACITY)
    first, last = (day(inside["date"].min()), day(inside["date"].max())) if len(inside) else ("", "")
    return finish(
        alt.layer(thick.encode(x="date:T", y="chance_pct:Q"), line).properties(height=220),
        f"Best about {day(best['date'])}: {number(best['chance_pct'])} of 100 hives",
        f"thick: weeks for the winter round, {first} to {last}; look for crumbs before driving",
        "Odds of hardly any brood. " + " ".join(
            f"{day(r['date'])}: {number(r['chance_pct'])} %." for r in rows.to_dict("records")
        ),
    )  # fmt: skip
