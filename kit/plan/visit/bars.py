"""The time line of each visit as bars: hands, machines and waiting, with what makes the visit longer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache
from typing import Any

import pandas as pd

from kit.calc.effort import Crew, Pace
from kit.calc.timeline import Bar, length_min, time_line
from kit.constants.treatment_words import SUBLIMATION
from kit.plan.ahead import Ahead
from kit.plan.jobs import Means
from kit.plan.rota import Rota, Visit
from kit.plan.sites import Ground
from kit.plan.visit.visits import visit_id

HALVINGS = 18
"""Of the range of paces tried: to within a thousandth of a minute a hive."""
BAR_COLUMNS = ["visit_id", "apiary", "date", *Bar._fields]


def bars_table(rota: Rota, ahead: Ahead, means: Means, ground: Ground) -> pd.DataFrame:
    """One row for each bar of each sublimation visit; columns `BAR_COLUMNS`, minutes since leaving the stop before."""
    rows = [
        {"visit_id": visit_id(v, ahead.label), "apiary": v.job.wish.apiary, "date": v.day} | bar._asdict()
        for v in rota.visits
        if v.job.wish.word == SUBLIMATION
        for bar in visit_bars(v, means, way_home_min(rota, v, ground))
    ]
    kinds = {"date": "datetime64[us]", "critical": "bool"} | dict.fromkeys(("start_min", "end_min"), "float64")
    return pd.DataFrame(rows, columns=BAR_COLUMNS).astype(kinds)


def visit_bars(visit: Visit, means: Means, home_min: float) -> list[Bar]:
    """The bars of one visit: drive there, the work in its planned minutes, and home from the last stop."""
    job, start = visit.job, visit.drive_min
    laid = at_hives(job.hives, job.site.carry(job.wish.window), means.hands.crew, job.minutes)
    work = [b._replace(start_min=start + b.start_min, end_min=start + b.end_min) for b in laid]
    back = start + length_min(laid)
    drives = [Bar("drive", 0, 0.0, start, 1, True), Bar("drive home", 0, back, back + home_min, 1, True)]
    return [bar for bar in (drives[0], *joined(work), drives[1]) if bar.end_min > bar.start_min]


@cache
def at_hives(hives: int, carry_min: float, crew: Crew, minutes: float) -> tuple[Bar, ...]:
    """The simulated visit at the pace of hands that fills the planned minutes; carrying, warm-up and seal keep theirs.

    Where no pace between the tenth and the fourfold of the trade's does, the nearest one is drawn.
    """
    quick, slow = 0.1, 4.0
    for _ in range(HALVINGS):
        middle = (quick + slow) / 2
        laid = time_line(hives, carry_min=carry_min, pace=at_pace(middle), crew=crew)
        quick, slow = (middle, slow) if length_min(laid) < minutes else (quick, middle)
    return laid


def at_pace(factor: float) -> Pace:
    """The trade's usual minutes of each piece done by hand, times a factor; the warm-up and the sealed minutes stay."""
    usual = Pace()
    by_hand = [f.name for f in fields(usual) if f.name not in ("warm_up_min", "sealed_min")]
    return replace(usual, **{name: factor * getattr(usual, name) for name in by_hand})


def joined(bars: list[Bar]) -> Iterator[Bar]:
    """Hive after hive of one group and one pair of hands as a single bar."""
    open_bars: dict[tuple[Any, ...], Bar] = {}
    for bar in bars:
        key = (bar.what, bar.group, bar.hands, bar.critical)
        before = open_bars.get(key)
        if before and abs(before.end_min - bar.start_min) < 1e-6:
            open_bars[key] = before._replace(end_min=bar.end_min)
        else:
            if before:
                yield before
            open_bars[key] = bar
    yield from sorted(open_bars.values(), key=lambda bar: (bar.start_min, bar.end_min))


def way_home_min(rota: Rota, visit: Visit, ground: Ground) -> float:
    """From the day's last stop to the base; 0 where another stop follows [min]."""
    last = max(other.order for other in rota.visits if other.day == visit.day)
    return float(ground.roads.minutes[ground.at(visit.job.site.apiary) + 1, 0]) if visit.order == last else 0.0
