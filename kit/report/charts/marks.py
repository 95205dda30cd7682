"""The marks that several charts share: a row for each name, an interval with its middle, tooltips in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import pandas as pd

from kit.report.style import HAIRLINE, INK, QUARTERS, RANGE_OPACITY, TREATMENT, Meaning

MOST_ROWS = 24
"""A chart with a row for each apiary ends here: more is more than one look, and less than legible on paper."""
NEAR_THE_NAMES = 0.12
"""Of the width: a word above a mark nearer to the names of the rows begins at its mark, so as not to cover them."""
BREAK = " · "
"""In the name of a row: what follows stands on a second line, where a phone has no room for it beside."""


def rows_of(names: Sequence[str], field: str = "apiary", *, led: bool = True) -> alt.Y:
    """One row for each name, in this order; `led` with a hairline to follow by eye, where no bar leads it."""
    axis = alt.Axis(grid=led, ticks=False, domain=False, labelPadding=10, labelExpr=f"split(datum.label, '{BREAK}')")
    return alt.Y(f"{field}:N", sort=list(names), title=None, axis=axis)


def first_rows(rows: pd.DataFrame, others: str, where: str = "in the rows") -> tuple[pd.DataFrame, str]:
    """As many rows as one look takes in, and in words how many more there are, what of, and where; '' for none."""
    more = len(rows) - MOST_ROWS
    return rows.head(MOST_ROWS), f"; {more} more, {others}, {where}" if more > 0 else ""


def months(days: pd.Series | None = None) -> alt.X:
    """Days along the bottom, named by month where there is room; by day where all `days` lie within two months."""
    short = days is not None and days.max() - days.min() < pd.Timedelta(days=62)
    if short:
        axis = alt.Axis(format="%-d %b", tickCount=4, labelOverlap="greedy", labelSeparation=8, gridColor=HAIRLINE)
    else:
        axis = alt.Axis(format="%b", tickCount="month", labelOverlap="greedy", labelSeparation=8, gridColor=HAIRLINE)
    return alt.X("date:T", title=None, axis=axis)


def interval(
    base: alt.Chart, quantity: str, title: str, meaning: Meaning, scale: alt.Scale, *, hollow: str = "false"
) -> Any:
    """Along x: a bar from `_p05` to `_p95`, a mark of the meaning's symbol at `_p50`, its value above it.

    `hollow` is a Vega expression that says of which rows the mark is not filled.
    """
    whole = scale.to_dict().get("domain") == [0, 100]
    axis = alt.Axis(format=",.3~g", values=list(QUARTERS)) if whole else alt.Axis(format=",.3~g", tickCount=4)
    low = alt.X(f"{quantity}_p05:Q", title=title, scale=scale, axis=axis)
    middle = alt.X(f"{quantity}_p50:Q", title=title, scale=scale, axis=axis)
    bar = base.mark_rule(color=meaning.colour, strokeWidth=4, opacity=RANGE_OPACITY, strokeCap="round")
    mark = base.mark_point(shape=meaning.symbol, stroke=meaning.colour, strokeWidth=1.5, size=90, opacity=1)
    fill = alt.condition(hollow, alt.value("white"), alt.value(meaning.colour))
    part = NEAR_THE_NAMES**2 if scale.to_dict().get("type") == "sqrt" else NEAR_THE_NAMES
    near = part * float(base.data[f"{quantity}_p95"].max())
    beside = alt.expr(f"datum.{quantity}_p50 < {near:.4g} ? 'left' : 'center'")
    word = base.mark_text(color=INK, dy=-12, fontSize=12, align=beside)
    return alt.layer(
        bar.encode(x=low, x2=f"{quantity}_p95:Q"),
        mark.encode(x=middle, fill=fill),
        word.encode(x=middle, text=alt.Text(f"{quantity}_p50:Q", format=".2~g")),
    )


def rounds_along(rounds: pd.DataFrame, rows: alt.Y | None = None) -> list[alt.Chart]:
    """Treatment rounds: triangles on the row of their apiary, or lines through the chart with a triangle on top."""
    dated = rounds.dropna(subset=["date"])
    if dated.empty:
        return []
    shown = tips(
        dated, apiary="apiary", date="day", treatment="treatment", round="round", seal="seal", wrong="went wrong"
    )
    base = alt.Chart(dated).encode(x=months(), tooltip=shown)
    head: dict[str, Any] = {"shape": TREATMENT.symbol, "color": TREATMENT.colour, "filled": True, "opacity": 1}
    if rows is not None:
        return [base.mark_point(**head, size=60, yOffset=-9).encode(y=rows)]
    line = base.mark_rule(color=TREATMENT.colour, strokeDash=list(TREATMENT.dash), strokeWidth=1.5)
    return [line, base.mark_point(**head, size=60).encode(y=alt.value(4))]


def tips(table: pd.DataFrame, **titles: str) -> list[alt.Tooltip]:
    """A tooltip for each column named, dates and numbers as a person writes them."""
    return [_tip(table, column, title) for column, title in titles.items()]


def _tip(table: pd.DataFrame, column: str, title: str) -> alt.Tooltip:
    if pd.api.types.is_datetime64_any_dtype(table[column]):
        return alt.Tooltip(f"{column}:T", title=title, format="%-d %b %Y")
    if pd.api.types.is_numeric_dtype(table[column]):
        return alt.Tooltip(f"{column}:Q", title=title, format=",.3~r")
    return alt.Tooltip(f"{column}:N", title=title)
