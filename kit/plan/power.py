"""The power of a visit: which supply and why, what is left in the battery, how many to take, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.calc.charge_left import Demand, charge_left_after_pct
from kit.calc.doses import charges_needed
from kit.calc.ranges import Band
from kit.errors import ValidityError
from kit.plan.jobs import Job, Means
from kit.plan.rota import Rota, Visit
from kit.plan.sites import WET
from kit.plan.work import SUBLIMATION, Charge, Kept

POWER_COLUMNS = [
    *("supply_why", "battery", "charge_left_pct_p05", "charge_left_pct_p50", "charge_left_pct_p95"),
    *("batteries", "take", "refused"),
]
NUMBER = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
NO_BAND = Band(math.nan, math.nan, math.nan)


def power_row(rota: Rota, visit: Visit, means: Means) -> dict[str, Any]:
    """`POWER_COLUMNS` of one visit; empty words and NaN where nothing is sublimated, or not from a battery."""
    job, charge = visit.job, means.charge
    if job.wish.word != SUBLIMATION:
        return _row("", "", NO_BAND, 0, "", "")
    refused = refusal(job, charge)
    if not job.from_battery:
        return _row(supply_why(job), "", NO_BAND, 0, "", refused)
    doses = [v.job.hives for v in (*_before(rota, visit), visit)]
    number = batteries(charge, sum(doses))
    first = charge.kept[0] if charge.kept else None
    left = _left(first, doses, charge) if first else NO_BAND
    return _row(supply_why(job), first.item if first else "", left, number, _take(charge, sum(doses)), refused)


def _row(why: str, battery: str, left: Band, number: int, take: str, refused: str) -> dict[str, Any]:
    return dict(zip(POWER_COLUMNS, (why, battery, *left, number, take, refused), strict=True))


def supply_why(job: Job) -> str:
    """Which ground the supply was chosen for, and what the sheet holds for the other."""
    site, window = job.site, job.wish.window
    dry, wet = site.supply_dry, site.supply_wet
    if not (dry or wet):
        return "no supply is recorded for this apiary: a battery is assumed"
    chosen = site.supply(window)
    if site.access == "all weather":
        return f"{chosen}: the vehicle reaches the hives in all weather"
    soft = window in WET
    ground, other = ("soft", "dry") if soft else ("dry", "soft")
    instead = dry if soft else wet
    season = "from autumn on" if soft else "until autumn"
    rest = f"; on {other} ground {instead}" if instead and instead != chosen else ""
    return f"{chosen}: {season} the ground is reckoned {ground}{rest}"


def refusal(job: Job, charge: Charge) -> str:
    """Why the vehicle's own battery may not carry this visit with the engine off; '' when nothing is refused."""
    vehicle = charge.vehicle
    if job.wish.word != SUBLIMATION or job.site.supply(job.wish.window) != "vehicle" or vehicle is None:
        return ""
    try:
        charges_needed(job.hives, vehicle.doses, battery=vehicle.battery)
    except ValidityError as error:
        return f"refused with the engine off: {error}"
    return ""


def batteries(charge: Charge, hives: int, *, poor: bool = True) -> int:
    """Charged batteries to take for a day's hives, the best one first; by the 5 % point, or by the middle.

    Where fewer are kept than are needed, the last one's doses are counted on for the others.
    """
    each = [_point(k.doses, poor) for k in charge.kept] or [_point(charge.doses, poor)]
    left, n = float(hives), 0
    while left > 0:
        left -= max(each[min(n, len(each) - 1)], 1.0)
        n += 1
    return n


def _point(doses: Band, poor: bool) -> float:
    return doses.p05 if poor else doses.p50


def _take(charge: Charge, hives: int) -> str:
    """What to take, and what for: a second battery where the 5 % case needs it; what is short of it."""
    need, middle = batteries(charge, hives), batteries(charge, hives, poor=False)
    named = ", ".join(k.item for k in charge.kept[:need])
    which = f" ({named})" if named else ""
    said = f"take {NUMBER.get(need, str(need))} {'battery' if need == 1 else 'batteries'}, charged{which}"
    if need > middle:
        enough = NUMBER.get(middle, str(middle))
        said += f": {enough} would be enough in the middle case, not in the poor one (1 visit in 20)"
    if charge.kept and need > len(charge.kept):
        said += f"; only {len(charge.kept)} recorded in gear: borrow one, or stop at the limit and come back"
    return said


def _before(rota: Rota, visit: Visit) -> Iterator[Visit]:
    """Earlier stops of the day that draw on the same charge."""
    for other in rota.visits:
        if other.day == visit.day and other.order < visit.order and other.job.from_battery:
            yield other


def _left(first: Kept, doses: list[int], charge: Charge) -> Band:
    """In the best battery, should it do all of the day's hives up to here."""
    demand = Demand(float(sum(doses)), len(doses), charge.air_c, charge.minutes_per_colony)
    return charge_left_after_pct(first.battery, first.inverter, first.sublimator, demand)
