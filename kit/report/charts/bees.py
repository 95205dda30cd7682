"""Bees and brood through the season beside the treatments and the weather: what a treatment met."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import months, rounds_along, tips
from kit.report.charts.phrases import day, number
from kit.report.show import Note
from kit.report.style import BEES, BROOD, EDGED, QUIET, finish
from kit.season import strength as strong
from kit.season.findings import Findings

LINES = {strong.BEES: BEES, strong.BROOD: BROOD}
THOUSANDS = "the mean hive [thousand]"


def bees(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """Bees and capped brood of the mean hive of `apiary` by week as read, its treatment rounds, each month's warmth.

    Where no look at frames is recorded the bees are those of the usual year of the climate with its spread; the warmth
    is that of the sheet `weather`.

    Parameters
    ----------
    review : Findings
        Whole or sliced.
    apiary : str
        Id.
    """
    rounds = review.tables["rounds"]
    rounds = rounds[rounds["apiary"] == apiary].dropna(subset=["date"])
    if rounds.empty:
        return Note(f"No treatment round at {apiary} is recorded, so there is none to set beside bees and brood.")
    year, warmth = review.tables["strength"].query("apiary == @apiary"), _warmth(review, apiary)
    if year.empty:
        return Note(f"No hive stood at {apiary} by the records, so there are no bees to draw.")
    named = alt.Chart(_peaks(year)).mark_text(dy=-10, color=QUIET)
    name = named.encode(x=months(), y="thousand_p50:Q", text="what:N")
    layers = [*_lines(year), name, *rounds_along(rounds), *_warm(warmth)]
    return finish(
        alt.layer(*layers).properties(height=220),
        f"Least brood to hide in: around {day(_least(year)['date'])}",
        f"solid: adult bees, dashed: capped brood cells, of the mean hive, {_basis(year)}; band: likely, 5 to 95 %; "
        "triangle: a round given"
        + ("; above: mean of the days' highest °C" if len(warmth) else "; no weather is recorded"),
        _says(apiary, year, rounds, warmth),
    )


def _lines(year: pd.DataFrame) -> list[Any]:
    scale = alt.Scale(domain=list(LINES), range=[meaning.colour for meaning in LINES.values()])
    dashes = alt.Scale(domain=list(LINES), range=[list(m.dash) or [1, 0] for m in LINES.values()])
    base = alt.Chart(year).encode(x=months(), color=alt.Color("what:N", scale=scale, legend=None))
    edges = alt.Stroke("what:N", scale=scale, legend=None)
    band = base.mark_area(fillOpacity=0.16, **EDGED).encode(
        y=alt.Y("thousand_p05:Q", title=THOUSANDS), y2="thousand_p95:Q", stroke=edges
    )
    line = base.mark_line(strokeWidth=2.5).encode(
        y="thousand_p50:Q",
        strokeDash=alt.StrokeDash("what:N", scale=dashes, legend=None),
        tooltip=tips(year, date="week from", thousand_p50="thousand", thousand_p05="at least", thousand_p95="at most"),
    )
    return [band, line]


def _basis(year: pd.DataFrame) -> str:
    looks = int(year["looks"].iloc[0])
    if not looks:
        return "as in a usual year: no look at frames is recorded here"
    return f"read with {looks} {'look' if looks == 1 else 'looks'} at frames"


def _least(year: pd.DataFrame) -> pd.Series:
    return year[year["what"] == strong.BROOD].sort_values(["thousand_p50", "date"], kind="stable").iloc[0]


def _warmth(review: Findings, apiary: str) -> pd.DataFrame:
    """The middle day of each month and the mean of its days' highest temperatures; no rows when none are recorded."""
    weather = review.tables.get("weather", pd.DataFrame({"date": [], "max_c": []}))
    known = weather.dropna(subset=["date", "max_c"])
    if "apiary" in known:
        its_own = known["apiary"] == apiary
        known = known[its_own if its_own.any() else known["apiary"] == ""]
    if known.empty:
        return pd.DataFrame({"date": pd.to_datetime([]), "warm": [], "word": []})
    middle = known["date"].dt.to_period("M").dt.to_timestamp() + pd.Timedelta(days=14)
    means = known.groupby(middle)["max_c"].mean()
    return pd.DataFrame({"date": means.index, "warm": means.to_numpy(), "word": [f"{c:.0f}°" for c in means]})


def _peaks(year: pd.DataFrame) -> pd.DataFrame:
    return year.loc[year.groupby("what", sort=False)["thousand_p50"].idxmax()]


def _warm(warmth: pd.DataFrame) -> list[Any]:
    if warmth.empty:
        return []
    text = alt.Chart(warmth).mark_text(color=QUIET, fontSize=12)
    return [text.encode(x=months(), y=alt.value(-8), text="word:N", tooltip=tips(warmth, warm="highest, mean [°C]"))]


def _says(apiary: str, year: pd.DataFrame, rounds: pd.DataFrame, warmth: pd.DataFrame) -> str:
    peaks = "; ".join(
        f"{p['what']} about {number(p['thousand_p50'])} thousand (likely {number(p['thousand_p05'])} to "
        f"{number(p['thousand_p95'])}), {day(p['date'])}"
        for _, p in _peaks(year).iterrows()
    )
    given = "; ".join(_round(row) for _, row in rounds.sort_values("date", kind="stable").iterrows())
    warm = ", ".join(f"{row['date'].strftime('%b')} {row['word']}C" for _, row in warmth.iterrows())
    told = f" Mean of the days' highest: {warm}." if warm else " No weather is recorded."
    return f"The mean hive of {apiary} at its height, {_basis(year)}: {peaks}. Rounds at {apiary}: {given}.{told}"


def _round(row: pd.Series) -> str:
    air = f" at {row['air_c']:g} °C" if pd.notna(row["air_c"]) else ""
    return f"{row['treatment']} {day(row['date'])}{air}"
