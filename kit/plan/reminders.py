"""Days of the plan that are no visits: supers off, parts split off without capped brood, gear due."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.plan.ahead import Ahead
from kit.plan.calendar import reminder
from kit.plan.sites import Ground, Site
from kit.plan.splits import Splits

if TYPE_CHECKING:
    from kit.records.records import Records

NO_CAPPED_BROOD = "no capped brood"


def reminders(records: Records, ground: Ground, ahead: Ahead) -> list[dict[str, Any]]:
    """Rows for the calendar, those of apiaries first."""
    off = [
        reminder(site.off.day, site.apiary, "supers off", f"{site.apiary}-{ahead.label}-supers-off", _said(site))
        for site in ground.sites
        if ahead.earliest <= site.off.day <= ahead.end
    ]
    free = [
        _without_brood(site.apiary, site.splits, ahead)
        for site in ground.sites
        if site.splits is not None and site.splits.anyway and site.splits.free[1] >= ahead.earliest
    ]
    gear = records.tables["gear"]
    due = gear[gear["expires"].notna() & (gear["expires"] <= pd.Timestamp(ahead.end))]
    return (
        off
        + free
        + [
            _gear_due(str(item), str(kind), day.date(), ahead)
            for item, kind, day in due[["item", "kind", "expires"]].itertuples(index=False)
        ]
    )


def _said(site: Site) -> str:
    return "" if site.off.basis == "crops" else f"by {site.off.basis}: no crop is recorded here"


def _without_brood(apiary: str, splits: Splits, ahead: Ahead) -> dict[str, Any]:
    """Of the parts split off at an apiary."""
    opens, closes = max(splits.free[0], ahead.earliest), splits.free[1]
    made = "split off" if splits.last < ahead.earliest else "to be split off, as last season,"
    hives = "1 hive" if splits.parts == 1 else f"{splits.parts} hives"
    note = (
        f"{hives} {made} about {splits.middle:%-d %B}: the old brood is out and the new not yet capped, "
        "so one oxalic round meets nearly every mite where the label allows it; no supers on them"
    )
    row = reminder(opens, apiary, NO_CAPPED_BROOD, f"{apiary}-{ahead.label}-no-capped-brood", note)
    return row | {"not_after": closes}


def _gear_due(item: str, kind: str, day: date, ahead: Ahead) -> dict[str, Any]:
    uid = f"gear-{item}-{ahead.label}-due"
    return reminder(max(day, ahead.earliest), "", "gear due", uid, f"{kind} {item} due {day:%Y-%m-%d}")
