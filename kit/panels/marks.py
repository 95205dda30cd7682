"""Marks that several panels draw with: a band with its line, rules on days, limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import months, tips
from kit.report.style import INK, LIMIT, Meaning, finish

WIDTH_PX = 520
"""Leaves room for the controls beside it on a laptop."""


def fitted(chart: Any, title: str, subtitle: str, says: str, *, height: int) -> alt.LayerChart:
    """A chart ready to be shown beside the controls; as `kit.report.style.finish`."""
    return finish(chart.properties(height=height), title, subtitle, says).properties(width=WIDTH_PX)


def band_and_line(
    rows: pd.DataFrame, meanings: Mapping[str, Meaning], title: str, scale: alt.Scale, *, bands: Sequence[str] = ()
) -> Any:
    """By day: a line at `p50` for each name in `which`, and a band from `p05` to `p95` (for `bands`, all if empty)."""
    names = list(meanings)
    colour = alt.Color(
        "which:N", scale=alt.Scale(domain=names, range=[m.colour for m in meanings.values()]), legend=alt.Legend()
    )
    dash = alt.StrokeDash(
        "which:N", scale=alt.Scale(domain=names, range=[list(m.dash) or [1, 0] for m in meanings.values()]), legend=None
    )
    axis = alt.Y("p50:Q", title=title, scale=scale)
    banded = rows if not bands else rows[rows["which"].isin(bands)]
    area = (
        alt.Chart(banded)
        .mark_area(opacity=0.18)
        .encode(x=months(), y=alt.Y("p05:Q", title=title, scale=scale), y2="p95:Q", color=colour)
    )
    line = alt.Chart(rows).mark_line(strokeWidth=2.5).encode(
        x=months(), y=axis, color=colour, strokeDash=dash,
        tooltip=tips(rows, date="day", which="which", p50="middle", p05="from", p95="to"),
    )  # fmt: skip
    return area + line


def day_rules(days: Sequence[date], said: str, meaning: Meaning) -> Any:
    """An upright rule on each day, told as `said`."""
    rows = pd.DataFrame({"date": pd.to_datetime(list(days)), "what": said})
    rule = alt.Chart(rows).mark_rule(color=meaning.colour, strokeDash=list(meaning.dash), strokeWidth=1.5)
    return rule.encode(x=months(), tooltip=tips(rows, what="", date="day"))


def limit_rule(value: float, said: str) -> Any:
    """A level rule with its words at the left."""
    rows = pd.DataFrame({"value": [value], "what": [said]})
    rule = alt.Chart(rows).mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash), strokeWidth=2).encode(y="value:Q")
    words = (
        alt.Chart(rows)
        .mark_text(align="left", dx=4, dy=-7, color=INK)
        .encode(x=alt.value(0), y="value:Q", text="what:N")
    )
    return rule + words
