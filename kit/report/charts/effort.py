"""Where the hours went."""

from __future__ import annotations

import altair as alt
import pandas as pd

from kit.report.charts.marks import first_rows, rows_of, tips
from kit.report.charts.phrases import number
from kit.report.show import Note
from kit.report.style import INK, WORK, finish, rows_px
from kit.season.findings import Findings


def hours(review: Findings, by: str = "task") -> alt.LayerChart | Note:
    """Hours by task or by apiary, the longest first.

    Parameters
    ----------
    review : Findings
        Whole or sliced.
    by : str
        A column of the table `effort`: `task` or `apiary`.
    """
    effort = review.tables["effort"]
    spent = effort.groupby(by, sort=False)["hours"].sum(min_count=1).dropna().sort_values(ascending=False)
    spent = spent[spent > 0]
    if spent.empty:
        return Note("No hours are recorded: neither start and end of visits nor drives.")
    known = pd.DataFrame({by: spent.index, "hours": spent.to_numpy(), "word": [f"{number(h)} h" for h in spent]})
    rows, others = first_rows(known, "with fewer hours")
    room = alt.Scale(domain=[0, 1.25 * float(rows["hours"].max())], nice=False)
    base = alt.Chart(rows).encode(
        y=rows_of(rows[by].tolist(), by, led=False),
        x=alt.X("hours:Q", title="hours", scale=room, axis=alt.Axis(grid=False)),
        tooltip=tips(rows, **{by: by}, hours="hours"),
    )
    bar = base.mark_bar(color=WORK.colour, height=14)
    word = base.mark_text(align="left", dx=6, color=INK).encode(text="word:N")
    total = float(spent.sum())
    return finish(
        alt.layer(bar, word).properties(height=rows_px(len(rows)) + 10),
        f"Most hours: {rows[by].iloc[0]}, {rows['word'].iloc[0]} of {number(total)}",
        f"hours of one person, by {by}{others}",
        f"Hours by {by}. " + " ".join(f"{name}: {word}." for name, word in zip(rows[by], rows["word"], strict=True)),
    )
