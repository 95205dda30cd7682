"""Will the weather let me: the odds by half month of a day that can be worked, and the days planned in it."""

from __future__ import annotations

import altair as alt
import pandas as pd

from kit.report.charts.marks import months, tips
from kit.report.show import Note
from kit.report.style import BEES, IN_TIME, INK, finish
from kit.season.findings import Findings

ANY_OTHER = "any other"
"""Way in that needs no dry ground, as the table `weather_odds` has it."""
FIRM, ON_DRY = "firm way in, or on foot", "driven in on dry ground"
LINES = {FIRM: IN_TIME, ON_DRY: BEES}
CHANCE = "days that can be worked [of 100]"


def weather(plan: Findings) -> alt.LayerChart | Note:
    """The odds of a workable day by half month, apart for apiaries that need dry ground, over the days planned."""
    odds = plan.tables.get("weather_odds", pd.DataFrame())
    if odds.empty:
        return Note("No day is planned, so no odds of weather are asked for.")
    rows = _named(odds)
    used = [way for way in LINES if way in set(rows["way"])]
    scale = alt.Scale(domain=used, range=[LINES[way].colour for way in used])
    shapes = alt.Scale(domain=used, range=[LINES[way].symbol for way in used])
    told = tips(rows, half="half month", way="way in", workable_pct="can be worked [%]", cold_pct="too cold [%]")
    told += tips(rows, windy_pct="too windy [%]", wet_pct="too wet [%]", days_out="days planned")
    legend = alt.Legend(title=None, columns=1)
    base = alt.Chart(rows).encode(
        x=months(rows["date"]).scale(padding=14),
        y=alt.Y("workable_pct:Q", title=CHANCE, scale=alt.Scale(domain=[0, 100])),
        color=alt.Color("way:N", scale=scale, legend=legend),
        tooltip=told,
    )
    marks = base.mark_point(filled=True, size=90, opacity=1).encode(
        shape=alt.Shape("way:N", scale=shapes, legend=legend)
    )
    planned = alt.Chart(rows[rows["days_out"] > 0].drop_duplicates("date")).encode(
        x=months(rows["date"]), text="days_out:Q"
    )
    by_chance = rows.sort_values("workable_pct", kind="stable")
    least, most = by_chance.iloc[0], by_chance.iloc[-1]
    return finish(
        alt.layer(base.mark_line(strokeWidth=2), marks, planned.mark_text(color=INK, y=-8)).properties(height=220),
        f"At best {_days(most)}, at worst {_days(least)}",
        f"warm, calm and dry enough, by half month; figures on top: days planned in it; by {odds['basis'].iloc[0]}",
        "Days that can be worked, of 100. " + " ".join(_said(rows[rows["way"] == way], way) for way in used),
    )


def _named(odds: pd.DataFrame) -> pd.DataFrame:
    way = odds["access"].map(lambda access: FIRM if access == ANY_OTHER else ON_DRY)
    half = [f"{first.day} to {last:%-d %b}" for first, last in zip(odds["from"], odds["to"], strict=True)]
    return odds.assign(date=odds["from"] + (odds["to"] - odds["from"]) / 2, way=way, half=half)


def _days(row: pd.Series) -> str:
    return f"{row['workable_pct']:.0f} days of 100 ({row['half']})"


def _said(rows: pd.DataFrame, way: str) -> str:
    told = "; ".join(f"{row['half']} {row['workable_pct']:.0f}" for row in rows.to_dict("records"))
    return f"{way.capitalize()}: {told}."
