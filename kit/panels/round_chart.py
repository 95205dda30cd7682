"""How "the round" is drawn: the days out through the season, with the hours of each."""

from __future__ import annotations

from datetime import date

import altair as alt
import pandas as pd

from kit.panels.marks import day_rules, fitted, limit_rule
from kit.plan.rota import Rota
from kit.report.charts.marks import months, tips
from kit.report.style import LIMIT, WASTED, WORK


def days_chart(rota: Rota, treat_by: date, hours: float) -> alt.LayerChart:
    """A bar for each day out: hours at the hives, and of driving on top."""
    rows = pd.DataFrame(
        [
            {"date": pd.Timestamp(day.day), "hours": minutes / 60, "part": part, "apiaries": ", ".join(day.apiaries)}
            for day in rota.days
            for part, minutes in (("at the hives", day.work_min), ("driving", day.drive_min))
        ],
        columns=["date", "hours", "part", "apiaries"],
    )
    colour = alt.Color(
        "part:N", scale=alt.Scale(domain=["at the hives", "driving"], range=[WORK.colour, WASTED.colour]),
        legend=alt.Legend(),
    )  # fmt: skip
    bars = alt.Chart(rows).mark_bar(width=5).encode(
        x=months(), y=alt.Y("hours:Q", title="hours in the day"), color=colour,
        order=alt.Order("part:N"),
        tooltip=tips(rows, date="day", part="of it", hours="hours", apiaries="apiaries"),
    )  # fmt: skip
    first = [visit for visit in rota.visits if visit.number == 1 and visit.job.wish.window == "main"]
    last = max((visit.day for visit in first), default=None)
    begun = "no main treatment is planned" if last is None else f"The last main treatment begins on {last:%-d %B}"
    return fitted(
        alt.layer(bars, day_rules([treat_by], "treat by", LIMIT), limit_rule(hours, f"{hours:g} h in a day")),
        begun,
        f"a bar for each day out; the upright dots are {treat_by:%-d %B}, the day that matters",
        f"{len(rota.days)} days out. {begun}.",
        height=200,
    )
