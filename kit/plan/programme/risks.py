"""What a late day of the main treatment costs in hives, and what leaving it out does, by the mites of each apiary."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta

from kit.plan.ahead import Ahead
from kit.plan.jobs import Risk
from kit.plan.programme.choice import begun_on
from kit.plan.programme.futures import Futures
from kit.plan.programme.wishes import Wanted
from kit.plan.sites import Ground

LATE_DAYS = 14
"""Days over which the price of being late is read from the mite model."""
LEAST_PCT_PER_DAY = 0.02
"""A late day is never free, so that the plan keeps the order of need where the model sees no harm."""


def risks_of(
    futures: Mapping[str, Futures], treatments: Sequence[Wanted], ground: Ground, ahead: Ahead
) -> dict[str, Risk]:
    """Hives lost by apiary for each late day of the main treatment, over its first two weeks, and without it."""
    found = {}
    for site in ground.sites:
        mains = [t for t in treatments if t.apiary == site.apiary and t.window == "main"]
        if mains:
            in_time, late = (begun_on(mains[0], ahead.treat_by + timedelta(days=days)) for days in (0, LATE_DAYS))
            loss, loss_late, without = (futures[site.apiary].loss_pct(given) for given in ([in_time], [late], []))
            per_day = max((loss_late - loss) / LATE_DAYS, LEAST_PCT_PER_DAY)
            found[site.apiary] = Risk(per_day, max(without - loss, per_day * LATE_DAYS))
    return found
