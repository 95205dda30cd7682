"""How "power and warm-up" is drawn."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from kit.calc.battery import Battery
from kit.calc.discharge import Course
from kit.calc.doses import DosesPerCharge
from kit.calc.expulsion import chamber_temperature_c
from kit.calc.slowed import AtPower
from kit.calc.sublimator import Sublimator
from kit.panels.marks import fitted, limit_rule
from kit.panels.power_words import FULL_PCT
from kit.report.charts.marks import tips
from kit.report.style import COUNT, EXPECTED, MITES, TREATMENT

POINTS, MOST_MIN = 200, 60.0
GOOD, NOW = "in good order", "on this supply"


def charge_chart(visit: Course, battery: Battery, doses: DosesPerCharge) -> alt.LayerChart:
    """The charge left through the visit, against what should stay in."""
    every = max(len(visit.time_min) // POINTS, 1)
    rows = pd.DataFrame({"minute": visit.time_min[::every], "left": np.maximum(visit.charge_left_pct[::every], 0)})
    line = alt.Chart(rows).mark_line(color=TREATMENT.colour, strokeWidth=2.5).encode(
        x=alt.X("minute:Q", title="minutes since switching on"),
        y=alt.Y("left:Q", title="charge left, %", scale=alt.Scale(domain=[0, 100])),
        tooltip=tips(rows, minute="minute", left="charge left, %"),
    )  # fmt: skip
    stay = 100 - battery.usable_pct
    end = float(visit.charge_left_pct[-1])
    title = f"{max(end, 0):.0f} % would be left after the visit" if end > 0 else "The battery would not last the visit"
    return fitted(
        alt.layer(line, limit_rule(stay, f"{stay:.0f} % should stay in")),
        title,
        f"at the middle of every range; a charge gives {doses.p05:.0f} to {doses.p95:.0f} doses",
        f"Charge left by minute: {end:.0f} % after {visit.time_min[-1]:.0f} minutes.",
        height=170,
    )


def warm_up_chart(
    machine: Sublimator, now: AtPower, air_c: float, times: pd.DataFrame, seen_min: float
) -> alt.LayerChart:
    """The chamber warming up on what it gets, beside good order, and the warm-ups that were written down or timed."""
    seen = _seen(times, seen_min, machine.hold_c)
    longest = max([machine.warm_up_s / 60 * 1.6, min(now.warm_up_min, MOST_MIN) * 1.2, *seen["minute"].tolist()]) * 1.05
    minutes = np.linspace(0, longest, POINTS)
    weak = 100 * now.power_w < FULL_PCT * machine.watts
    powers = {GOOD: machine.watts} | ({NOW: now.power_w} if weak else {})
    rows = pd.concat([_curve(name, machine, power, minutes, air_c) for name, power in powers.items()])
    colour = alt.Color(
        "which:N", scale=alt.Scale(domain=[GOOD, NOW], range=[EXPECTED.colour, MITES.colour]),
        legend=alt.Legend() if weak else None,
    )  # fmt: skip
    dash = alt.StrokeDash(
        "which:N", scale=alt.Scale(domain=[GOOD, NOW], range=[list(EXPECTED.dash), [1, 0]]), legend=None
    )
    line = alt.Chart(rows).mark_line(strokeWidth=2.5).encode(
        x=alt.X("minute:Q", title="minutes since switching on"),
        y=alt.Y("chamber:Q", title="chamber, °C"),
        color=colour if weak else alt.value(MITES.colour),
        strokeDash=dash if weak else alt.value([1, 0]),
        tooltip=tips(rows, which="", minute="minute", chamber="°C"),
    )  # fmt: skip
    hot = now.warm_up_min
    title = f"Hot after {hot:.1f} minutes" if np.isfinite(hot) else "It never gets hot"
    good = machine.warm_up_s / 60
    told = f"dashes: {good:.1f} in good order" + ("; diamonds: warm-ups you wrote down or timed" if len(seen) else "")
    return fitted(
        alt.layer(_rule(good), line, *([_marks(seen)] if len(seen) else [])),
        title,
        told,
        f"{title}; in good order {good:.1f}. Written down or timed: "
        + (", ".join(f"{m:g} min" for m in seen["minute"]) or "none"),
        height=170,
    )


def _curve(which: str, machine: Sublimator, power_w: float, minutes: Any, air_c: float) -> pd.DataFrame:
    chamber = machine.chamber._replace(power_w=power_w)
    curve = chamber_temperature_c(60 * minutes, chamber, start_c=air_c, air_c=air_c)
    return pd.DataFrame({"minute": minutes, "chamber": curve, "which": which})


def _seen(times: pd.DataFrame, seen_min: float, hold_c: float) -> pd.DataFrame:
    """The warm-ups recorded, and the one on the control."""
    kept = pd.DataFrame({"minute": times["warm_up_min"], "what": [_told(row) for row in times.itertuples()]})
    timed = pd.DataFrame({"minute": [seen_min], "what": ["on the control"]})
    return pd.concat([kept, timed[timed["minute"] > 0]]).assign(chamber=hold_c)


def _told(row: Any) -> str:
    return f"{row.date:%-d %b %Y}, {row.apiary}" + (f", on {row.supply_item}" if row.supply_item else "")


def _rule(good_min: float) -> Any:
    rows = pd.DataFrame({"minute": [good_min], "what": ["in good order"]})
    rule = alt.Chart(rows).mark_rule(color=EXPECTED.colour, strokeDash=list(EXPECTED.dash), strokeWidth=1.5)
    return rule.encode(x="minute:Q", tooltip=tips(rows, what="", minute="minutes"))


def _marks(seen: pd.DataFrame) -> Any:
    marks = alt.Chart(seen).mark_point(shape=COUNT.symbol, size=80, filled=True, color=COUNT.colour, opacity=0.6)
    return marks.encode(x="minute:Q", y="chamber:Q", tooltip=tips(seen, what="", minute="minutes"))
