"""Mites: where every apiary stands, how it came there, and what was counted on the way."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import first_rows, interval, months, rounds_along, rows_of, tips
from kit.report.charts.phrases import day, listing, number
from kit.report.show import Note
from kit.report.style import COUNT, EDGED, LIMIT, MITES, QUIET, RANGE_OPACITY, finish, rows_px
from kit.report.words.phrases import a_date
from kit.season.findings import Findings

PER_100 = "mites on bees per 100 bees"
BAND = ["per_100_bees_p05", "per_100_bees_p50", "per_100_bees_p95"]
BAND_TIPS = {"per_100_bees_p05": "at least", "per_100_bees_p50": "per 100 bees, about", "per_100_bees_p95": "at most"}
SHORT_TIPS = {"p05": "at least", "p50": "per 100 bees, about", "p95": "at most"}
"""The same under short names: the wall of a large operation holds some thousand discs, and its page stays light."""
ROOT = alt.Scale(type="sqrt", domainMin=0, nice=True)
NOTHING = "No load could be worked out: no heads, counts or treatments are recorded."


def standing(review: Findings) -> alt.LayerChart | Note:
    """Every apiary on its last day reckoned: a dot for the middle, a bar for the likely range."""
    known = _latest(_apiaries(review), "apiary").sort_values("per_100_bees_p50", ascending=False)
    if known.empty:
        return Note(NOTHING)
    latest, others = first_rows(known, "lighter", "in the list of all apiaries")
    base = alt.Chart(latest).encode(
        y=rows_of(latest["apiary"].tolist()), tooltip=tips(latest, apiary="apiary", date="day", **BAND_TIPS)
    )
    worst = latest.iloc[0]
    return finish(
        interval(base, "per_100_bees", PER_100, MITES, ROOT).properties(height=rows_px(len(latest)) + 20),
        f"Most mites at the end: {worst['apiary']}",
        f"{PER_100} on {day(worst['date'])}; dot: the middle, bar: likely range (5 to 95 %){others}",
        f"Apiaries by {PER_100} on {day(worst['date'])}. "
        + " ".join(f"{row['apiary']}: {_said(row)}." for _, row in latest.iterrows()),
    )


def wall(review: Findings) -> alt.LayerChart | Note:
    """Every apiary by fortnight through the season: the bigger the disc, the more mites; the treatments as marks."""
    discs = _fortnights(_apiaries(review))
    if discs.empty:
        return Note(NOTHING)
    drawn_by = discs[["apiary", "date", *BAND]].rename(columns=dict(zip(BAND, SHORT_TIPS, strict=True)))
    rows, top = rows_of(list(review.apiary_facts)), float(discs["per_100_bees_p50"].max())
    legend = alt.Legend(title="per 100 bees", symbolFillColor=MITES.colour, symbolStrokeWidth=0, tickCount=3)
    size = alt.Size("p50:Q", scale=alt.Scale(domain=[0, top], range=[0, 420]), legend=legend)
    drawn = (
        alt.Chart(drawn_by)
        .mark_circle(color=MITES.colour, opacity=0.75, stroke="white", strokeWidth=0.5)
        .encode(x=months(), y=rows, size=size, tooltip=tips(drawn_by, apiary="apiary", date="day", **SHORT_TIPS))
    )
    peak = _peak(discs)
    return finish(
        alt.layer(drawn, *rounds_along(review.tables["rounds"], rows)).properties(
            height=rows_px(len(review.apiary_facts)) + 30
        ),
        f"The season's peak: {peak['apiary']}, about {number(peak['per_100_bees_p50'])} per 100 bees",
        f"disc: {PER_100}, every second week; triangle: a treatment round",
        f"Mites by apiary and fortnight. {_peaks(discs)}",
    )


def by_date(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """One apiary through the season: likely range, middle, what its counts say by themselves, and its treatments.

    Parameters
    ----------
    review : Findings
        Whole or sliced.
    apiary : str
        Id.
    """
    loads = _apiaries(review)
    loads = loads[loads["apiary"] == apiary]
    if loads.empty:
        return Note(f"No load could be worked out for {apiary}: nothing is recorded to stand on.")
    base = alt.Chart(loads).encode(x=months(), tooltip=tips(loads, date="day", **BAND_TIPS))
    band = base.mark_area(color=MITES.colour, fillOpacity=0.22, stroke=MITES.colour, **EDGED).encode(
        y=alt.Y("per_100_bees_p05:Q", title=PER_100), y2="per_100_bees_p95:Q"
    )
    middle = base.mark_line(color=MITES.colour, strokeWidth=2.5).encode(y="per_100_bees_p50:Q")
    counts = _of(review, "readings", apiary).dropna(subset=["per_100_bees_p50"])
    rounds, on_time = _of(review, "rounds", apiary), _of(review, "on_time", apiary)
    limit = _limit(review.facts.get("treat_above_pct"), loads)
    layers: list[Any] = [band, middle, *_on_time(on_time), *_counts(counts), *rounds_along(rounds), *limit]
    peak, last = _peak(loads), loads.iloc[-1]
    return finish(
        alt.layer(*layers).properties(height=300),
        f"{apiary}: highest about {number(peak['per_100_bees_p50'])} per 100 bees, around {day(peak['date'])}",
        f"{PER_100}; line: the middle, band: likely range (5 to 95 %), diamond: a count as it reads by itself, "
        "dashed: a treatment round"
        + ("" if on_time.empty else "; grey dots: had it been treated in time")
        + (f"; {BELOW}" if limit else ""),
        f"{apiary}: highest {_said(peak)} around {day(peak['date'])}; {_said(last)} on {day(last['date'])}. "
        f"{len(counts)} counts stand behind it.{_said_in_time(on_time)}",
    )


def colonies(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """The numbered hives of an apiary on their last day, the heaviest first."""
    loads = _of(review, "loads", apiary).dropna(subset=BAND)
    latest = _latest(loads[loads["scope"] != "apiary"], "colony")
    if latest["colony"].ne("").sum() < 2:
        return Note("Fewer than two hives carry a number here, so they cannot be told apart.")
    named = latest.assign(hive=_until(latest)).sort_values("per_100_bees_p50", ascending=False)
    base = alt.Chart(named).encode(
        y=rows_of(named["hive"].tolist(), "hive"), tooltip=tips(named, hive="hive", date="day", **BAND_TIPS)
    )
    top = named[named["date"] == named["date"].max()].iloc[0]
    return finish(
        interval(base, "per_100_bees", PER_100, MITES, ROOT).properties(height=rows_px(len(named)) + 20),
        f"Heaviest hive: {top['hive']}",
        f"{PER_100} {_when(named)}; dot: the middle, bar: likely range (5 to 95 %)",
        f"Hives of {apiary} by mites; heaviest first: {listing(named['hive'].tolist())}. {top['hive']}: {_said(top)}.",
    )


def _when(named: pd.DataFrame) -> str:
    others = ", of a hive gone before on its last day" if named["date"].nunique() > 1 else ""
    return f"on {day(named['date'].max())}{others}"


def _until(latest: pd.DataFrame) -> pd.Series[str]:
    """Names of hives; of one that was gone before the others with its last day."""
    hives = latest["colony"].where(latest["colony"].ne(""), "without a number")
    gone = latest["date"] < latest["date"].max()
    return hives.where(~gone, hives + " to " + latest["date"].map(lambda on: a_date(on.date().isoformat())))


def _apiaries(review: Findings) -> pd.DataFrame:
    loads = review.tables["loads"]
    return loads[loads["scope"] == "apiary"].dropna(subset=BAND).sort_values("date", kind="stable")


def _of(review: Findings, table: str, apiary: str) -> pd.DataFrame:
    rows = review.tables[table]
    return rows[rows["apiary"] == apiary]


def _latest(loads: pd.DataFrame, key: str) -> pd.DataFrame:
    return loads.sort_values("date", kind="stable").groupby(key, sort=False).tail(1)


def _fortnights(loads: pd.DataFrame) -> pd.DataFrame:
    """The first row of every fortnight: as close as discs can stand on a phone."""
    fortnight = (loads["date"] - loads["date"].min()).dt.days // 14
    return loads.assign(fortnight=fortnight).groupby(["apiary", "fortnight"], sort=False).head(1)


def _counts(counts: pd.DataFrame) -> list[alt.Chart]:
    if counts.empty:
        return []
    shown = tips(counts, date="day", colony="hive", method="method", mites="mites", days="days", reading="read by")
    base = alt.Chart(counts).encode(x=months(), tooltip=shown)
    wide = base.mark_rule(color=COUNT.colour, opacity=RANGE_OPACITY).encode(
        y="per_100_bees_p05:Q", y2="per_100_bees_p95:Q"
    )
    point = base.mark_point(shape=COUNT.symbol, color=COUNT.colour, fill="white", size=70, opacity=1)
    return [wide, point.encode(y="per_100_bees_p50:Q")]


def _on_time(course: pd.DataFrame) -> list[alt.Chart]:
    """The middle of the course with the main treatment on the day to treat by; nothing where it was not late."""
    if course.empty:
        return []
    base = alt.Chart(course).encode(x=months(), tooltip=tips(course, date="day, treated in time", **BAND_TIPS))
    return [
        base.mark_line(color=QUIET, strokeWidth=2, strokeDash=[1, 4], strokeCap="round").encode(y="per_100_bees_p50:Q")
    ]


def _said_in_time(course: pd.DataFrame) -> str:
    return "" if course.empty else f" Treated in time it would have been at most {_said(_peak(course))}."


BELOW = "below the line to treat above is not safe: small colonies stand less"
"""Said wherever that line is drawn."""


def _limit(above: float | None, loads: pd.DataFrame) -> list[alt.Chart]:
    """The infestation above which to treat [mites per 100 bees], where the chart reaches near it."""
    if above is None or above > 3 * float(loads["per_100_bees_p95"].max()):
        return []
    base = alt.Chart(pd.DataFrame({"limit": [above], "word": [f"treat above {above:g}"]})).encode(y="limit:Q")
    line = base.mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash))
    return [line, base.mark_text(align="left", dx=4, dy=-7, color=QUIET).encode(x=alt.value(0), text="word:N")]


def _said(row: pd.Series) -> str:
    low, middle, high = (number(row[column]) for column in BAND)
    return f"about {middle} per 100 bees, likely {low} to {high}"


def _peak(loads: pd.DataFrame) -> pd.Series:
    return loads.sort_values("per_100_bees_p50", kind="stable").iloc[-1]


def _peaks(discs: pd.DataFrame) -> str:
    highest = discs.loc[discs.groupby("apiary", sort=False)["per_100_bees_p50"].idxmax()]
    return " ".join(f"{r['apiary']}: highest {_said(r)}, around {day(r['date'])}." for _, r in highest.iterrows())
