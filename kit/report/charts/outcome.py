"""What came of it: the kill of each treatment, days late, losses by cause."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from kit.report.charts.marks import BREAK, NEAR_THE_NAMES, first_rows, interval, rows_of, tips
from kit.report.charts.phrases import day, listing, number
from kit.report.show import Note
from kit.report.style import IN_TIME, INK, LATE, LIMIT, LOSS, QUIET, RANGE_OPACITY, TREATMENT, finish, rows_px
from kit.season.findings import Findings

EXPECTED_KILL_PCT = 90
"""Expected of treatments that are not synthetic, EMA/CVMP/EWP/459883/2008; drawn as a line, judged nowhere here."""
MOST_KILLS = 14
"""The chart of kills ends here; the rest stands in the rows behind it."""
WHOLE_OPERATION = ("", "all")
"""How the table of losses names all apiaries together."""
KILL = ["efficacy_p05", "efficacy_p50", "efficacy_p95"]


def kills(review: Findings) -> alt.LayerChart | Note:
    """The kill of the treatments with its likely range, the weakest first; hollow where no count looked at it."""
    known = _treatments(review)
    if known.empty:
        return Note("No treatment is recorded, so there is no kill to show.")
    drawn = known.head(MOST_KILLS)
    base = alt.Chart(drawn).encode(
        y=rows_of(drawn["label"].tolist(), "label"),
        tooltip=tips(drawn, label="treatment", start="from", end="to", rounds="rounds", basis="read from")
        + tips(drawn, efficacy_p05="at least [%]", efficacy_p50="about [%]", efficacy_p95="at most [%]"),
    )
    marks = interval(
        base, "efficacy", "kill [%]", TREATMENT, alt.Scale(domain=[0, 100]), hollow="datum.told == 'model'"
    )
    others = len(known) - len(drawn)
    return finish(
        alt.layer(_line(EXPECTED_KILL_PCT, "90 % expected"), marks).properties(height=rows_px(len(drawn), more=8) + 20),
        f"The weakest kill: {_row(known.iloc[0])}" if len(known) > 1 else f"The kill of {_row(known.iloc[0])}",
        "share of mites killed [%] against the same colony without it; triangle: the middle, hollow without a count, "
        "bar: likely range" + f"; {others} better ones are in the rows" * bool(others),
        "Kill of each treatment, weakest first. "
        + " ".join(f"{_row(row)}: {_killed(row)}." for _, row in drawn.iterrows()),
    )


def lateness(review: Findings) -> alt.LayerChart | Note:
    """Days of each apiary's main treatment against the day it should have begun; late to the right."""
    timing = review.tables["timing"].dropna(subset=["days_late"]).sort_values("days_late", ascending=False)
    if timing.empty:
        return Note("No treatment dates are recorded, so nobody can say who was late.")
    late = timing["days_late"] > 0
    drawn, others = first_rows(timing, "earlier")
    shown = drawn.assign(when=late.map({True: "late", False: "in time"}), zero=0, word=drawn["days_late"].map(_days))
    colour = alt.Color(
        "when:N", legend=None, scale=alt.Scale(domain=["late", "in time"], range=[LATE.colour, IN_TIME.colour])
    )
    shape = alt.Shape(
        "when:N", legend=None, scale=alt.Scale(domain=["late", "in time"], range=[LATE.symbol, IN_TIME.symbol])
    )
    base = alt.Chart(shown).encode(
        y=rows_of(shown["apiary"].tolist(), led=False),
        tooltip=tips(
            shown, apiary="apiary", treatment="treatment", treated_on="treated on", treat_by="treat by", why_late="why"
        ),
    )
    room = alt.Scale(domainMax=max(float(timing["days_late"].max()), 1) * 1.5)
    x = alt.X("days_late:Q", title="days after the day to treat by", scale=room, axis=alt.Axis(grid=False))
    bar = base.mark_rule(strokeWidth=3).encode(x=x, x2="zero:Q", color=colour)
    end = base.mark_point(filled=True, size=90, opacity=1).encode(x=x, color=colour, shape=shape)
    word = base.mark_text(align="left", dx=9, color=INK).encode(x=alt.X("end:Q"), text="word:N")
    word = word.transform_calculate(end="max(datum.days_late, 0)")
    names = timing.loc[late, "apiary"].tolist()
    return finish(
        alt.layer(_line(0, ""), bar, end, word).properties(height=rows_px(len(shown)) + 10),
        f"Late: {listing(names)}" if names else "Nobody was late",
        f"days against {day(timing['treat_by'].iloc[0])}; triangle to the right: late, disc: in time{others}",
        "Days late by apiary. " + " ".join(f"{row['apiary']}: {row['word']}." for _, row in shown.iterrows()),
    )


def late_cost(review: Findings) -> alt.LayerChart | Note:
    """What being late is likely to have cost each late apiary, in colonies, the dearest first, with its days late."""
    timing = review.tables["timing"]
    late = timing[timing["days_late"] > 0].dropna(subset=["extra_colonies_p50"])
    late = late.sort_values("extra_colonies_p50", ascending=False, kind="stable")
    if late.empty:
        return Note("No late apiary whose cost could be reckoned.")
    dearest, others = first_rows(late, "cheaper")
    rows = dearest.assign(row=dearest["apiary"] + BREAK + dearest["days_late"].map(_days))
    band = {"extra_colonies_p05": "at least", "extra_colonies_p50": "colonies, about", "extra_colonies_p95": "at most"}
    told = tips(rows, apiary="apiary", days_late="days late", **band, why_late="why")
    base = alt.Chart(rows).encode(y=rows_of(rows["row"].tolist(), "row"), tooltip=told)
    marks = interval(base, "extra_colonies", "colonies lost to being late", LATE, alt.Scale(domainMin=0))
    return finish(
        marks.properties(height=rows_px(len(rows), more=8) + 20),
        f"Late cost most: {late['apiary'].iloc[0]}",
        "triangle: the middle, bar: likely range (5 to 95 %), by the same hives treated on the day to treat by"
        + others,
        "Colonies lost to being late. " + " ".join(_late_cost(row) for _, row in rows.iterrows()),
    )


def losses(review: Findings, of: str = "") -> alt.LayerChart | Note:
    """Losses by apiary (`of` empty: the whole and each apiary) or by cause, as a share of the hives wintered.

    Parameters
    ----------
    review : Findings
        Whole or sliced.
    of : str
        '' for apiaries, 'cause' for the causes over everything.
    """
    table = review.tables["losses"]
    known = (_by_cause(table) if of == "cause" else _by_apiary(table)).dropna(subset=["loss_pct"])
    rows, others = first_rows(known, "with smaller losses")
    if rows.empty:
        return Note("Heads in autumn and spring are not both recorded, so no loss can be worked out.")
    base = alt.Chart(rows).encode(
        y=rows_of(rows["row"].tolist(), "row"),
        tooltip=tips(rows, row="", lost="lost", wintered="wintered", loss_pct="lost [%]"),
    )
    x = alt.X("loss_pct:Q", title="hives lost [% of those wintered]", scale=alt.Scale(domainMin=0))
    bar = base.mark_rule(color=LOSS.colour, strokeWidth=4, opacity=RANGE_OPACITY, strokeCap="round").encode(
        x=alt.X("loss_pct_low:Q", title="hives lost [% of those wintered]"), x2="loss_pct_high:Q"
    )
    mark = base.mark_point(shape=LOSS.symbol, filled=True, color=LOSS.colour, size=100, opacity=1).encode(x=x)
    near = float(rows["loss_pct_high"].max()) * NEAR_THE_NAMES
    beside = alt.expr(f"datum.loss_pct < {near:.4g} ? 'left' : 'center'")
    word = base.mark_text(dy=-13, dx=-3, color=INK, align=beside).encode(x=x, text="word:N")
    worst = rows.sort_values("loss_pct", ascending=False, kind="stable").iloc[0]
    return finish(
        alt.layer(bar, mark, word).properties(height=rows_px(len(rows), more=6) + 20),
        f"Most lost: {worst['row']}, {worst['word']}",
        "share of the hives that went into winter [%]; cross: as it happened, bar: interval that luck alone would fill"
        + others,
        "Hives lost, of those that went into winter. "
        + " ".join(f"{row['row']}: {row['word']}." for _, row in rows.iterrows()),
    )


def _treatments(review: Findings) -> pd.DataFrame:
    kills = review.tables["efficacy"].dropna(subset=KILL)
    whole = kills[kills["scope"] == "apiary"].sort_values("efficacy_p50", kind="stable")
    many = whole["apiary"].nunique() > 1
    what = whole["treatment"] + whole["start"].dt.strftime(" %b").fillna("")
    told = whole["counted"].map({True: "count", False: "model"}) if "counted" in whole else "count"
    return whole.assign(label=whole["apiary"] + BREAK + what if many else what, told=told)


def _row(row: pd.Series) -> str:
    return str(row["label"]).replace(BREAK, ", ")


def _killed(row: pd.Series) -> str:
    low, middle, high = (number(row[column]) for column in KILL)
    return f"about {middle} %, likely {low} to {high} ({row['basis'] or 'basis not recorded'})"


def _late_cost(row: pd.Series) -> str:
    low, middle, high = (number(row[f"extra_colonies_{p}"]) for p in ("p05", "p50", "p95"))
    return f"{row['apiary']}, {row['days_late']:.0f} days late: about {middle}, likely {low} to {high}."


def _days(days: float) -> str:
    count = f"{abs(days):.0f} day{'s' * (abs(days) != 1)}"
    return f"{count} late" if days > 0 else f"{count} early" if days < 0 else "on the day"


def _line(at: float, word: str) -> Any:
    base = alt.Chart(pd.DataFrame({"at": [at], "word": [word]})).encode(x="at:Q")
    line = base.mark_rule(color=LIMIT.colour, strokeDash=list(LIMIT.dash))
    return line + base.mark_text(align="right", dx=-4, baseline="top", color=QUIET).encode(
        y=alt.value(-9), text="word:N"
    )


def _by_apiary(losses: pd.DataFrame) -> pd.DataFrame:
    """The rows over all causes: the whole operation, then each apiary, the greatest loss first."""
    whole = losses[losses["cause"].isin(["", "all"])].sort_values("loss_pct", ascending=False, kind="stable")
    first = whole.sort_values("apiary", key=lambda names: ~names.isin(WHOLE_OPERATION), kind="stable")
    return _worded(first.assign(row=first["apiary"].where(~first["apiary"].isin(WHOLE_OPERATION), "all apiaries")))


def _by_cause(losses: pd.DataFrame) -> pd.DataFrame:
    """The causes over everything, where the review holds such rows."""
    whole = losses[losses["apiary"].isin(WHOLE_OPERATION) & ~losses["cause"].isin(["", "all"])]
    return _worded(whole.assign(row=whole["cause"]).sort_values("lost", ascending=False, kind="stable"))


def _worded(rows: pd.DataFrame) -> pd.DataFrame:
    words = [f"{lost:,.0f} of {of:,.0f}" for lost, of in zip(rows["lost"], rows["wintered"], strict=True)]
    return rows.assign(word=words)
