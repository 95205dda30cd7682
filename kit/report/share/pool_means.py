"""What a typical member saw and what a new one may expect: loads by week, kills by treatment, hours a hive."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd

from kit.calc.pooling import Pooled, pool_random
from kit.calc.suppression import hidden_parts
from kit.report.share.form import ALL
from kit.report.share.groups import UNTOLD, Grouped
from kit.report.share.member import Estimate, Member

LIKELY = 0.90
"""Every band holds so much, as everywhere in the kit."""
TYPICAL = ("typical", "typical_low", "typical_high", "new_p05", "new_p95")
ENOUGH_TO_PREDICT = 5
"""With fewer members the range of a new one is so wide that it says nothing (assumed)."""
EXACT = 0.02
"""Standard error of a logarithm that is told, not reckoned: what rounding leaves."""


def loads(members: Sequence[Member], regions: Grouped, *, minimum: int) -> pd.DataFrame:
    """Mites on bees per 100 bees by region and week."""
    weeks = sorted({week for member in members for week in member.weeks})
    rows: list[list[Any]] = []
    for week in weeks:
        everyone = [m.weeks[week] for m in members if week in m.weeks]
        if len(everyone) >= minimum:
            rows.append([ALL, week, len(everyone), *_told(everyone, math.exp)])
        told = _in_week(regions, week, minimum) if len(regions) > 1 else {}
        rows += [[region, week, len(found), *_told(found, math.exp)] for region, found in told.items()]
    return pd.DataFrame(rows, columns=["region", "week", "members", *TYPICAL])


def kills(members: Sequence[Member], *, minimum: int) -> pd.DataFrame:
    """Share of the mites killed [%] by treatment, the best first; only what a count looked at."""
    rows: list[list[Any]] = []
    for treatment in sorted({word for member in members for word in member.kills}):
        found = [member.kills[treatment] for member in members if treatment in member.kills]
        if len(found) >= minimum:
            rows.append([treatment, len(found), *_told(found, _expit_pct), _pooled(found).i2_pct])
    table = pd.DataFrame(rows, columns=["treatment", "members", *TYPICAL, "i2_pct"])
    return table.sort_values("typical", ascending=False, kind="stable")


def work(members: Sequence[Member], *, minimum: int) -> pd.DataFrame:
    """Hours, and hive-rounds where ticked, for each hive over the season."""
    shares = [member.hours for member in members]
    whole = [sum(one.values()) for one in shares if one]
    doses = [sum(member.doses.values()) for member in members if member.doses]
    found: list[tuple[str, str, list[float]]] = [("all work", "h a hive", whole)]
    for task in sorted({task for one in shares for task in one}):
        found.append((task, "h a hive", [one[task] for one in shares if task in one]))
    found.append(("treatments given", "rounds a hive", doses))
    rows: list[list[Any]] = []
    for what, unit, values in found:
        logs = [Estimate(math.log(value), EXACT) for value in values if value > 0]
        if len(logs) >= minimum:
            rows.append([what, unit, len(logs), *_told(logs, math.exp)])
    return pd.DataFrame(rows, columns=["what", "unit", "members", *TYPICAL])


def _in_week(regions: Grouped, week: str, minimum: int) -> dict[str, list[Estimate]]:
    """Regions with enough members in a week; with a region left out goes one more that would give it away.

    Members who told no place are counted among them, so that they protect and are protected, and not shown.
    """
    found = {region: [m.weeks[week] for m in group if week in m.weeks] for region, group in regions.items()}
    names = list(found)
    hidden = {names[at] for at in hidden_parts([len(found[name]) for name in names], minimum=minimum)}
    return {name: here for name, here in found.items() if here and name not in {UNTOLD, *hidden}}


def _pooled(found: Sequence[Estimate]) -> Pooled:
    return pool_random([one.value for one in found], [one.error for one in found], level=LIKELY)


def _told(found: Sequence[Estimate], back: Callable[[float], float]) -> list[float]:
    """The typical member with its interval, and the likely range of a new one, on the scale of the trade."""
    typical = _pooled(found)
    predicted = [back(end) for end in typical.prediction] if len(found) >= ENOUGH_TO_PREDICT else [math.nan, math.nan]
    return [back(typical.mean), *(back(end) for end in typical.interval), *predicted]


def _expit_pct(value: float) -> float:
    return 100 / (1 + math.exp(-value))
