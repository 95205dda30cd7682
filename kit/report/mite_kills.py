"""Figures of what treatments do: dose and kill, rounds and interval, and every trial beside the law."""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

import altair as alt
import numpy as np
import pandas as pd

from kit.calc import rounds
from kit.calc.brood import BroodYear, broodless
from kit.calc.mites import simulate
from kit.calc.treatments import Treatment, effect
from kit.constants.treatment_words import OXALIC
from kit.report.charts.marks import rows_of, tips
from kit.report.style import BROOD, COUNT, EXPECTED, INK, MITES, ROW_PX, TREATMENT, finish

WINTER = date(2025, 12, 15)
DOSES_G = (0.56, 1.125, 2.25)
PRINTED: dict[str, tuple[tuple[float, float], ...]] = {
    "oxalic sublimation": ((81, 81), (97, 97), (93, 98)),
    "oxalic trickle": ((20, 20), (57, 57), (93, 95)),
    "oxalic spray": ((25, 25), (86, 86), (93, 95)),
}
"""Al Toufailia et al. 2015: kill of mites on bees without brood at each of the doses, as printed, percent."""


class Trial(NamedTuple):
    """What was published, and what the law gives for the same."""

    what: str
    source: str
    low: float
    high: float
    law: float


def trials() -> list[Trial]:
    """Every trial of a treatment that the law is held to, in percent of the mites killed."""
    return [*_winter_trials(), *_season_trials()]


def trials_and_law() -> alt.LayerChart:
    """Each trial's printed range as a bar, the law as a dot."""
    rows = pd.DataFrame(trials())
    inside = int(((rows["law"] >= rows["low"] - 0.5) & (rows["law"] <= rows["high"] + 0.5)).sum())
    base = alt.Chart(rows).encode(
        y=rows_of(rows["what"].tolist(), "what"),
        tooltip=tips(rows, what="what", source="source", low="printed, at least", high="at most", law="the law"),
    )
    scale = alt.Scale(domain=[0, 100])
    bar = base.mark_bar(color=EXPECTED.colour, opacity=0.35, height=14, stroke=EXPECTED.colour).encode(
        x=alt.X("low:Q", title="% of the mites killed", scale=scale), x2="high:Q"
    )
    ends = base.mark_tick(color=EXPECTED.colour, thickness=2, height=20)
    dot = base.mark_point(shape="circle", filled=True, size=80, color=MITES.colour, opacity=1).encode(x="law:Q")
    return finish(
        alt.layer(bar, ends.encode(x="low:Q"), ends.encode(x="high:Q"), dot).properties(
            height=1.2 * ROW_PX * len(rows)
        ),
        f"The law stands within what was printed in {inside} of {len(rows)} trials",
        "bar: as printed; dot: the law at its central numbers",
        "Trials and the law. "
        + " ".join(f"{t.what}: printed {t.low:g}-{t.high:g}, law {t.law:.0f}." for t in trials()),
    )


def dose_and_kill() -> alt.LayerChart:
    """Kill of mites on bees by dose and way of giving it, without brood, with the trial's points."""
    law = pd.DataFrame(
        [{"way": w, "g": g, "kill": _kill(w, g)} for w in OXALIC for g in np.linspace(0.1, 3, 59).tolist()]
    )
    seen = pd.DataFrame(
        [
            {"way": way, "g": g, "kill": (low + high) / 2}
            for way in OXALIC
            for g, (low, high) in zip(DOSES_G, PRINTED[way], strict=True)
        ]
    )
    colours = alt.Scale(domain=list(OXALIC), range=[TREATMENT.colour, MITES.colour, BROOD.colour])
    x = alt.X("g:Q", title="grams of crystals a hive")
    y = alt.Y("kill:Q", title="% of the mites on bees killed", scale=alt.Scale(domain=[0, 100]))
    colour = alt.Color("way:N", scale=colours, legend=alt.Legend(title=None))
    lines = (
        alt.Chart(law)
        .mark_line(strokeWidth=2.5)
        .encode(
            x=x,
            y=y,
            color=colour,
            strokeDash=alt.StrokeDash("way:N", scale=alt.Scale(domain=list(OXALIC)), legend=alt.Legend(title=None)),
        )
    )
    points = (
        alt.Chart(seen)
        .mark_point(shape=COUNT.symbol, size=90, filled=True, opacity=1)
        .encode(x=x, y=y, color=colour, tooltip=tips(seen, way="way", g="grams", kill="% killed"))
    )
    return finish(
        alt.layer(lines, points),
        "Without brood, sublimation is near its best from about 1.1 g",
        "lines: the law, 12,000 bees in winter; diamonds: Al Toufailia et al. 2015. No advice: the label decides",
        "Kill by dose. " + " ".join(f"{r.way} {r.g:g} g: {r.kill:g} %." for r in seen.itertuples()),
    )


def rounds_and_interval(start: str, dose_g: float) -> alt.LayerChart:
    """Kill of a series by rounds and interval, with its range (`start` as ISO text)."""
    first = date.fromisoformat(start)
    rows = _series(rounds.grid(start=first, dose_g=dose_g, rounds=(1, 2, 3, 4), intervals_days=(4, 5, 6, 7, 8)))
    base = alt.Chart(rows).encode(
        x=alt.X("gap:O", title="days between rounds", axis=alt.Axis(labelAngle=0)),
        y=alt.Y("rounds:N", title=None, sort=list(rows["rounds"].unique())),
        tooltip=tips(rows, rounds="series", gap="days between", low="at least %", kill="about %", high="at most %"),
    )
    shade = alt.Color("kill:Q", legend=None, scale=alt.Scale(domain=[0, 100], range=["#ffffff", TREATMENT.colour]))
    ink = alt.condition("datum.kill > 55", alt.value("white"), alt.value(INK))
    words = base.mark_text(fontSize=15, dy=-8).encode(text="said:N", color=ink)
    ranges = base.mark_text(fontSize=12, dy=10).encode(text="range:N", color=ink)
    three = rows[rows["rounds"] == "3 rounds"]
    return finish(
        alt.layer(base.mark_rect(stroke="white").encode(color=shade), words, ranges).properties(height=240),
        f"Three rounds from {first:%d %B}: {three['low'].min():.0f} to {three['high'].max():.0f} % killed",
        f"% of the mites killed 14 days after the last round, {dose_g:g} g of crystals each; below: likely range",
        "Kill by rounds and days between. "
        + " ".join(f"{r.rounds}, {r.gap} days: {r.said} % ({r.range})." for r in rows.itertuples()),
    )


def _series(found: rounds.RoundsGrid) -> pd.DataFrame:
    rows = []
    for i, n in enumerate(found.rounds):
        for j, gap in enumerate(found.intervals_days):
            low, kill, high = found.p05[i, j], found.p50[i, j], found.p95[i, j]
            said = {"said": f"{kill:.0f}", "range": f"{low:.0f} to {high:.0f}"}
            rows.append(
                {"rounds": f"{n} round{'s' * (n > 1)}", "gap": gap, "low": low, "kill": kill, "high": high, **said}
            )
    return pd.DataFrame(rows)


def _winter_trials() -> list[Trial]:
    return [
        Trial(
            f"{way} · {g:g} g, no brood",
            "toufailia2015",
            low,
            high,
            _killed([Treatment(way, WINTER, dose_g=g)], WINTER, broodless()),
        )
        for way in OXALIC
        for g, (low, high) in zip(DOSES_G, PRINTED[way], strict=True)
    ]


def _season_trials() -> list[Trial]:
    june, july, august = date(2025, 5, 15), date(2025, 7, 10), date(2025, 8, 15)
    freed = july + timedelta(days=25)
    trickles = [Treatment("oxalic trickle", june + timedelta(days=30 + 7 * k)) for k in range(3)]
    caged = [Treatment("queen caging", july, until=freed), Treatment("oxalic trickle", freed)]
    removal, half_way = Treatment("drone brood removal", june), june + timedelta(days=16)
    tested = Treatment("pyrethroid strips", august, tested=True)
    return [
        Trial("oxalic trickle · 3 times, with brood", "gregorc2001", 39, 52, _killed(trickles, trickles[-1].day)),
        Trial("caged 25 days · then oxalic trickle", "buchler2020", 85, 92, _killed(caged, freed)),
        Trial("drone brood removal · for a month", "toufailia2016", 42, 50, _killed([removal], half_way)),
        *(
            Trial(f"{word} · from mid August", source, low, high, _killed([t], t.end))
            for word, source, low, high in (
                ("formic acid", "beebook", 49, 93),
                ("thymol", "beebook", 70, 95),
                ("amitraz strips", "amitraz2013", 90, 95),
            )
            for t in [Treatment(word, august)]
        ),
        Trial("pyrethroid strips · mites tested", "thompson2002", 95, 100, _killed([tested], tested.end)),
    ]  # fmt: skip


def _kill(word: str, dose_g: float) -> float:
    return 100 * float(effect(Treatment(word, WINTER, dose_g=dose_g), 12_000).kill)


def _killed(treatments: list[Treatment], last: date, year: BroodYear | None = None) -> float:
    """Efficacy 14 days after the last day, by the kit's definition."""
    start = treatments[0].day
    days = (last - start).days + rounds.AFTER_DAYS + 1
    left, without = (
        float(simulate(start=start, days=days, mites=100, treatments=ts, year=year).total[-1])
        for ts in (treatments, ())
    )
    return 100 * (1 - left / without)
