"""The power of a visit: which supply and why, what is left in the battery, how many to take, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pandas as pd

from kit.calc.charge_left import Demand, charge_left_after_pct
from kit.calc.doses import charges_needed
from kit.calc.ranges import Band
from kit.constants.treatment_words import SUBLIMATION
from kit.errors import ValidityError
from kit.plan.ahead import Ahead
from kit.plan.jobs import Job, Means
from kit.plan.rota import Rota, Visit
from kit.plan.sites import WET
from kit.plan.visit.visits import visit_id
from kit.plan.work import Charge, Kept

AT_HIVES_COLUMNS = [
    *("visit_id", "apiary", "date", "colonies", "hives_at_a_time", "supply_why", "battery"),
    *("charge_left_pct_p05", "charge_left_pct_p50", "charge_left_pct_p95", "batteries", "take", "refused"),
]
NUMBER = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
NO_BAND = Band(math.nan, math.nan, math.nan)


def at_hives_table(rota: Rota, ahead: Ahead, means: Means) -> pd.DataFrame:
    """One row for each sublimation visit: groups in order of work, and its power; columns `AT_HIVES_COLUMNS`.

    Charge left is that of `battery`, the best one, should it do all of the day's hives up to and with this visit; NaN
    and 0 batteries where the visit draws on none.
    """
    rows = [
        {
            "visit_id": visit_id(v, ahead.label), "apiary": v.job.wish.apiary, "date": v.day, "colonies": v.job.hives,
            "hives_at_a_time": groups(v.job.hives, means.hands.crew.group_size), "supply_why": supply_why(v.job),
            "refused": refusal(v.job, means.charge), **_from_battery(rota, v, means.charge),
        }
        for v in rota.visits
        if v.job.wish.word == SUBLIMATION
    ]  # fmt: skip
    kinds = {"date": "datetime64[us]"} | {name: "float64" for name in AT_HIVES_COLUMNS if "_pct_" in name}
    return pd.DataFrame(rows, columns=AT_HIVES_COLUMNS).astype(kinds)


def groups(hives: int, size: int) -> str:
    """The hives of each group sealed together, in order of work.

    Examples
    --------
    >>> groups(10, 4), groups(3, 4)
    ('4, 4 and 2', '3')
    """
    each = [str(min(size, hives - k)) for k in range(0, hives, size)]
    return " and ".join([", ".join(each[:-1]), each[-1]]) if len(each) > 1 else "".join(each)


def _from_battery(rota: Rota, visit: Visit, charge: Charge) -> dict[str, Any]:
    """What is drawn from a battery by the end of this visit, and what to take."""
    if not visit.job.from_battery:
        return _battery_row("", NO_BAND, 0, "")
    doses = [v.job.hives for v in (*_before(rota, visit), visit)]
    first = charge.kept[0] if charge.kept else None
    left = _left(first, doses, charge) if first else NO_BAND
    return _battery_row(
        first.item if first else "", left, charge.needed(sum(doses), poor=True), _take(charge, sum(doses))
    )


def _battery_row(battery: str, left: Band, number: int, take: str) -> dict[str, Any]:
    band = dict(zip(("charge_left_pct_p05", "charge_left_pct_p50", "charge_left_pct_p95"), left, strict=True))
    return {"battery": battery, **band, "batteries": number, "take": take}


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
    except ValidityError:
        carries = max(int(vehicle.doses.p05), 0)
        return (
            f"refused with the engine off: {job.hives} hives from the vehicle's own battery, which carries {carries} "
            "in the poor case and must start the engine again; take a separate battery, or run the engine"
        )
    return ""


def _take(charge: Charge, hives: int) -> str:
    """What to take, and what for: a second battery where the 5 % case needs it; what is short of it."""
    need, middle = charge.needed(hives, poor=True), charge.needed(hives)
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
