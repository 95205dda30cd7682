"""How "power and warm-up" is drawn."""

from __future__ import annotations

import altair as alt
import numpy as np
import pandas as pd

from kit.calc.battery import Battery
from kit.calc.discharge import Course
from kit.calc.doses import DosesPerCharge
from kit.calc.expulsion import chamber_temperature_c
from kit.calc.sublimator import Sublimator
from kit.panels.marks import fitted, limit_rule
from kit.report.charts.marks import tips
from kit.report.style import COUNT, MITES, TREATMENT

POINTS = 200


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
        height=190,
    )


def warm_up_chart(machine: Sublimator, air_c: float, times: pd.DataFrame) -> alt.LayerChart:
    """The chamber warming up in good order, and the warm-ups that were recorded."""
    longest = max([machine.warm_up_s / 60 * 1.6, *times["warm_up_min"].tolist()]) * 1.05
    minutes = np.linspace(0, longest, POINTS)
    curve = chamber_temperature_c(60 * minutes, machine.chamber, start_c=air_c, air_c=air_c)
    rows = pd.DataFrame({"minute": minutes, "chamber": curve})
    line = alt.Chart(rows).mark_line(color=MITES.colour, strokeWidth=2.5).encode(
        x=alt.X("minute:Q", title="minutes since switching on"),
        y=alt.Y("chamber:Q", title="chamber, °C"),
        tooltip=tips(rows, minute="minute", chamber="°C"),
    )  # fmt: skip
    seen = times.assign(minute=times["warm_up_min"], chamber=machine.hold_c)
    marks = alt.Chart(seen[["minute", "chamber", "date", "apiary"]]).mark_point(
        shape=COUNT.symbol, size=80, filled=True, color=COUNT.colour, opacity=0.6
    )
    drawn = marks.encode(x="minute:Q", y="chamber:Q", tooltip=tips(seen, date="day", apiary="apiary", minute="minutes"))
    hot = float(minutes[int(np.argmax(curve >= machine.hold_c - 0.5))])
    return fitted(
        alt.layer(line, drawn) if len(seen) else alt.layer(line),
        f"In good order hot after {hot:.1f} minutes",
        "line: in good order, at this air; diamonds: warm-ups you wrote down"
        if len(seen)
        else "in good order, at this air",
        f"Chamber by minute: {machine.hold_c:.0f} °C after {hot:.1f}. Recorded: "
        + (", ".join(f"{m:g} min" for m in seen["minute"]) or "none"),
        height=190,
    )
