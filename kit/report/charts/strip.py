"""The season of one apiary as a strip: what was done and seen, day by day, one line for each kind."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import months, rows_of, tips
from kit.report.charts.phrases import day
from kit.report.show import Note
from kit.report.style import COUNT, LOSS, RANGE_OPACITY, TREATMENT, WASTED, WORK, finish
from kit.season.findings import Findings

LINES = {
    "treated": TREATMENT,
    "counted": COUNT,
    "heads": WORK,
    "dead hives": LOSS,
    "trip in vain": WASTED,
}
"""Each line of the strip and its mark."""


def strip(review: Findings, apiary: str) -> alt.LayerChart | Note:
    """Treatments, counts, heads, dead hives and wasted trips of one apiary along the season."""
    events = pd.concat(
        [_treated(review, apiary), _counted(review, apiary), _heads(review, apiary), _vain(review, apiary)]
    )
    if events.empty:
        return Note(f"No visit to {apiary} is recorded in this season.")
    used = [line for line in LINES if line in set(events["line"])]
    scale = alt.Scale(domain=used, range=[LINES[line].colour for line in used])
    shapes = alt.Scale(domain=used, range=[LINES[line].symbol for line in used])
    chart = alt.Chart(events).mark_point(filled=True, size=110, opacity=0.9)
    drawn = chart.encode(
        x=months(),
        y=rows_of(used, "line"),
        color=alt.Color("line:N", scale=scale, legend=None),
        shape=alt.Shape("line:N", scale=shapes, legend=None),
        tooltip=tips(events, date="day", what="what"),
    )
    spans = _spans(review, apiary, used)
    first, last = events["date"].min(), events["date"].max()
    return finish(
        alt.layer(*([spans] if spans else []), drawn).properties(height=34 * len(used) + 20),
        f"{len(events)} things done or seen at {apiary}",
        "each mark is a day; a bar: strips or trays in place",
        f"{apiary} from {day(first)} to {day(last)}. "
        + " ".join(f"{line}: {_days(events[events['line'] == line])}." for line in used),
    )


def _treated(review: Findings, apiary: str) -> pd.DataFrame:
    rows = _of(review, "rounds", apiary)
    what = rows["treatment"] + rows["round"].map(lambda n: "" if pd.isna(n) else f", round {n:g}").astype("str")
    return _events(rows, "treated", what)


def _counted(review: Findings, apiary: str) -> pd.DataFrame:
    rows = _of(review, "readings", apiary)
    mites = rows["mites"].map(lambda n: "" if pd.isna(n) else f": {n:g} mites").astype("str")
    return _events(
        rows, "counted", rows["method"] + mites + rows["level"].map(lambda w: f" {w}" if w else "").astype("str")
    )


def _heads(review: Findings, apiary: str) -> pd.DataFrame:
    rows = _of(review, "heads", apiary)
    counted, dead = rows.dropna(subset=["standing"]), rows[rows["dead"].fillna(0) > 0]
    alive = counted["standing"].map(lambda n: f"{n:g} standing").astype("str")
    lost = dead["dead"].map(lambda n: f"{n:g} dead").astype("str") + dead["cause"].map(
        lambda c: f", {c}" if c else ""
    ).astype("str")
    return pd.concat([_events(counted, "heads", alive), _events(dead, "dead hives", lost)])


def _vain(review: Findings, apiary: str) -> pd.DataFrame:
    rows = _of(review, "trips", apiary)
    wasted = rows[rows["wasted"].isin([True, "yes", 1])]
    return _events(wasted, "trip in vain", wasted["wrong"].where(wasted["wrong"].ne(""), "why is not recorded"))


def _events(rows: pd.DataFrame, line: str, what: pd.Series) -> pd.DataFrame:
    found = pd.DataFrame({"date": rows["date"], "line": line, "what": what.astype("str")})
    return found.dropna(subset=["date"]).reset_index(drop=True)


def _spans(review: Findings, apiary: str, used: list[str]) -> Any:
    rows = _of(review, "rounds", apiary).dropna(subset=["date", "removed"]).assign(line="treated")
    if rows.empty:
        return None
    bar = alt.Chart(rows).mark_bar(color=TREATMENT.colour, opacity=RANGE_OPACITY, height=8)
    told = tips(rows, treatment="treatment", removed="taken out")
    return bar.encode(x=months(), x2="removed:T", y=rows_of(used, "line"), tooltip=told)


def _days(events: pd.DataFrame) -> str:
    days = [day(d) for d in events["date"].drop_duplicates()]
    return ", ".join(days[:8]) + (f" and {len(days) - 8} days more" if len(days) > 8 else "")


def _of(review: Findings, table: str, apiary: str) -> pd.DataFrame:
    rows = review.tables[table]
    return rows[rows["apiary"] == apiary]
