"""The plan: the calendar as a wall, the hours of each day out, what mends what does not fit."""

from __future__ import annotations

import altair as alt
import pandas as pd

from kit.report.charts.marks import first_rows, months, rows_of, tips
from kit.report.charts.phrases import day, number
from kit.report.show import Note
from kit.report.style import IN_TIME, INK, LIMIT, QUARTERS, RANGE_OPACITY, SYMBOLS, TREATMENT, WORK, finish, rows_px
from kit.report.words.phrases import a_count, spoken
from kit.season.findings import Findings

GEAR_BEFORE_DAYS = 31
"""Gear due so long before the first visit is told beside the chart, whose days begin with the visits."""


def calendar(plan: Findings) -> alt.LayerChart | Note:
    """Every planned day of every apiary: the symbol says what is done, the bar how far the day may bend."""
    dated = plan.tables["calendar"].dropna(subset=["date"])
    if dated.empty:
        return Note("The calendar is empty: no round could be given a day. The reasons stand below.")
    rows, due_before = _without_early_gear(_named(dated))
    names = rows.sort_values(["date", "apiary"], kind="stable")["apiary"].drop_duplicates().tolist()
    names.sort(key=lambda name: name != EVERYWHERE)
    layers = [*_layers(rows, names), *_matters(plan)]
    free = f"; short lines: {SPARE}s" if rows["what"].eq(SPARE).any() else ""
    return finish(
        alt.layer(*layers).properties(height=rows_px(len(names)) + 30),
        _days_out(rows),
        "symbol: the planned day; bar: the days it may bend; dashed: treat by "
        f"{day(plan.facts['date_that_matters'])}{free}{due_before}",
        "The plan by apiary. " + " ".join(f"{name}: {_dates(rows[rows['apiary'] == name])}." for name in names),
    )


def _days_out(rows: pd.DataFrame) -> str:
    out = rows.loc[rows["event"].isin(["treat", "strips out"]), "date"]
    if out.nunique() < 2:
        return f"1 day out, {day(out.min())}" if len(out) else "No day out is planned"
    return f"{out.nunique()} days out from {day(out.min())} to {day(out.max())}"


EVERYWHERE, SPARE = "everywhere", "spare day"


def _named(dated: pd.DataFrame) -> pd.DataFrame:
    """Each row with what is done, by treatment or event, and where."""
    what = dated["treatment"].where(dated["treatment"].ne(""), dated["event"])
    return dated.assign(
        what=what.where(dated["event"].isin(["treat", ""]), dated["event"]),
        apiary=dated["apiary"].where(dated["apiary"].ne(""), EVERYWHERE),
    )


def _without_early_gear(rows: pd.DataFrame) -> tuple[pd.DataFrame, str]:
    """The rows from the visits on, and in words the gear that is due long before."""
    gear = rows["event"].eq("gear due")
    first = rows.loc[~gear, "date"].min()
    early = gear & (rows["date"] < first - pd.Timedelta(days=GEAR_BEFORE_DAYS))
    told = "; ".join(spoken(note) for note in rows.loc[early, "note"])
    return rows[~early], f"; before that: {told}" if told else ""


def _layers(rows: pd.DataFrame, names: list[str]) -> list[alt.Chart]:
    """Bars, marks of treatments filled and of other events hollow, and spare days as short lines."""
    kinds = rows.loc[rows["what"].ne(SPARE), "what"].drop_duplicates().tolist()
    symbols = [SYMBOLS[n % len(SYMBOLS)] for n in range(len(kinds))]
    legend = alt.Legend(columns=2, title=None)
    shape = alt.Shape("what:N", legend=legend, scale=alt.Scale(domain=kinds, range=symbols))
    told = tips(rows, apiary="apiary", date="day", what="what", round="round", rounds="of", note="note")
    base = alt.Chart(rows).encode(y=rows_of(names), tooltip=told)
    may = base.mark_rule(color=TREATMENT.colour, opacity=RANGE_OPACITY, strokeWidth=4, strokeCap="round")
    mark = base.mark_point(stroke=TREATMENT.colour, strokeWidth=1.5, size=80, opacity=0.95)
    fill = alt.condition("datum.event === 'treat'", alt.value(TREATMENT.colour), alt.value("white"))
    free = base.mark_tick(color=WORK.colour, thickness=1.5, height=12, orient="vertical")
    visits, along = f"datum.what !== '{SPARE}'", months().scale(padding=10)
    layers = [free.encode(x=along).transform_filter(f"datum.what === '{SPARE}'")] if SPARE in set(rows["what"]) else []
    if kinds:  # a layer without rows has no days to stretch over
        bars = may.encode(x=alt.X("not_before:T", title=None), x2="not_after:T").transform_filter(visits)
        layers = [bars, *layers, mark.encode(x=along, shape=shape, fill=fill).transform_filter(visits)]
    return layers


def days(plan: Findings) -> alt.LayerChart | Note:
    """The hours of each day out beside the hours there are."""
    table = plan.tables["days"].dropna(subset=["date", "minutes"])
    if table.empty:
        return Note("No day out is planned.")
    rows = table.assign(hours=table["minutes"] / 60, there_are=(table["minutes"] + table["minutes_free"]) / 60)
    base = alt.Chart(rows).encode(
        x=months(rows["date"]),
        tooltip=tips(rows, date="day", apiaries="apiaries", hours="hours", there_are="hours there are"),
    )
    bar = base.mark_bar(color=WORK.colour, width=5).encode(y=alt.Y("hours:Q", title="hours"))
    cap = base.mark_tick(color=INK, thickness=2, width=10).encode(y="there_are:Q")
    full = rows.sort_values("hours", ascending=False, kind="stable").iloc[0]
    return finish(
        alt.layer(bar, cap).properties(height=200),
        f"The fullest day: {day(full['date'])}, {number(full['hours'])} of {number(full['there_are'])} hours",
        "hours out, driving included; the tick: the hours there are",
        f"{a_count(len(rows), 'day')} out, {number(float(rows['hours'].sum()))} hours in all. "
        f"Fullest: {day(full['date'])} with {number(full['hours'])} of {number(full['there_are'])} hours "
        f"({full['apiaries']}).",
    )


def chances(plan: Findings) -> alt.LayerChart | Note:
    """The programme chosen for each apiary by the chance of a hive to stay below all limits."""
    table = plan.tables["programmes"]
    rows = table[table["chosen"].isin([True, "yes", 1])].dropna(subset=["chance_pct"])
    if rows.empty:
        return Note("No chance was worked out: the loads are not known well enough for that.")
    rows, others = first_rows(rows.sort_values("chance_pct", kind="stable"), "safer")
    base = alt.Chart(rows).encode(
        y=rows_of(rows["apiary"].tolist()),
        x=alt.X(
            "chance_pct:Q",
            title="chance of staying below the limits [%]",
            scale=alt.Scale(domain=[0, 100]),
            axis=alt.Axis(values=list(QUARTERS)),
        ),
        tooltip=tips(rows, apiary="apiary", programme="programme", chance_pct="chance [%]", given_up="given up"),
    )
    worst = rows.iloc[0]
    return finish(
        alt.layer(
            base.mark_point(shape=IN_TIME.symbol, filled=True, color=IN_TIME.colour, size=100, opacity=1),
            base.mark_text(dy=-12, color=INK).encode(text=alt.Text("chance_pct:Q", format=".0f")),
        ).properties(height=rows_px(len(rows)) + 20),
        f"Least safe: {worst['apiary']}, {number(worst['chance_pct'])} %",
        f"chance of a hive to stay below all limits with the programme chosen [%]{others}",
        "Chance by apiary. " + " ".join(f"{r['apiary']}: {number(r['chance_pct'])} %." for _, r in rows.iterrows()),
    )


def _matters(plan: Findings) -> list[alt.Chart]:
    matters = plan.facts.get("date_that_matters")
    if not matters:
        return []
    base = alt.Chart(pd.DataFrame({"date": [pd.Timestamp(matters)]})).encode(x="date:T")
    return [base.mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash))]


def _dates(rows: pd.DataFrame) -> str:
    return "; ".join(f"{r['what']} {day(r['date'])}" for _, r in rows.sort_values("date", kind="stable").iterrows())
