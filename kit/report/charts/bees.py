"""Bees and brood through the season beside the treatments and the weather: what a treatment met."""

from __future__ import annotations

from datetime import date
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from kit.calc.brood import default_year
from kit.report.charts.marks import months, rounds_along, tips
from kit.report.charts.phrases import day, number
from kit.report.show import Note
from kit.report.style import BEES, BROOD, QUIET, finish
from kit.season.findings import Findings

WEEK = 7
LINES = {"bees": BEES, "capped brood": BROOD}
THOUSANDS = "a usual colony [thousand]"


def bees(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """A usual colony's bees and capped brood by week, the treatment rounds of `apiary`, and the warmth of each month.

    The bees are those of the usual year of the climate, not counted here; the warmth is that of the sheet `weather`.

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
    year, warmth = _year(review), _warmth(review, apiary)
    scale = alt.Scale(domain=list(LINES), range=[meaning.colour for meaning in LINES.values()])
    dash = alt.StrokeDash(
        "what:N", scale=alt.Scale(domain=list(LINES), range=[list(m.dash) or [1, 0] for m in LINES.values()])
    ).legend(None)
    base = alt.Chart(year).encode(x=months(), color=alt.Color("what:N", scale=scale, legend=None))
    line = base.mark_line(strokeWidth=2.5).encode(
        y=alt.Y("thousand:Q", title=THOUSANDS),
        strokeDash=dash,
        tooltip=tips(year, date="week from", thousand="thousand"),
    )
    name = alt.Chart(_peaks(year)).mark_text(dy=18, color=QUIET).encode(x=months(), y="thousand:Q", text="what:N")
    least = year[year["what"] == "capped brood"].sort_values("thousand", kind="stable").iloc[0]
    return finish(
        alt.layer(line, name, *rounds_along(rounds), *_warm(warmth)).properties(height=220),
        f"Least brood to hide in: around {day(least['date'])}",
        "solid: adult bees, dashed: capped brood cells, of a usual colony, not counted here; triangle: a round given"
        + ("; above: mean of the days' highest °C" if len(warmth) else "; no weather is recorded"),
        _says(apiary, year, rounds, warmth),
    )


def _year(review: Findings) -> pd.DataFrame:
    first = date.fromisoformat(str(review.facts["season_start"]))
    days = (date.fromisoformat(str(review.facts["season_end"])) - first).days + 1
    curves = default_year().curves(first, days)
    at = np.arange(0, days, WEEK)
    dates = pd.Timestamp(first) + pd.to_timedelta(at, unit="D")
    values = {"bees": curves.adults, "capped brood": curves.capped_worker + curves.capped_drone}
    return pd.concat(
        [pd.DataFrame({"date": dates, "what": what, "thousand": v[at] / 1000}) for what, v in values.items()],
        ignore_index=True,
    )


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
    return year.loc[year.groupby("what", sort=False)["thousand"].idxmax()]


def _warm(warmth: pd.DataFrame) -> list[Any]:
    if warmth.empty:
        return []
    text = alt.Chart(warmth).mark_text(color=QUIET, fontSize=12)
    return [text.encode(x=months(), y=alt.value(-8), text="word:N", tooltip=tips(warmth, warm="highest, mean [°C]"))]


def _says(apiary: str, year: pd.DataFrame, rounds: pd.DataFrame, warmth: pd.DataFrame) -> str:
    peaks = "; ".join(
        f"{p['what']} {number(p['thousand'])} thousand, {day(p['date'])}" for _, p in _peaks(year).iterrows()
    )
    given = "; ".join(_round(row) for _, row in rounds.sort_values("date", kind="stable").iterrows())
    warm = ", ".join(f"{row['date'].strftime('%b')} {row['word']}C" for _, row in warmth.iterrows())
    told = f" Mean of the days' highest: {warm}." if warm else " No weather is recorded."
    return f"A usual colony at its height: {peaks}. Rounds at {apiary}: {given}.{told}"


def _round(row: pd.Series) -> str:
    air = f" at {row['air_c']:g} °C" if pd.notna(row["air_c"]) else ""
    return f"{row['treatment']} {day(row['date'])}{air}"
