"""Batteries at work: volts before and after, and the doses a charge gave, against what is to be expected."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.calc.causes import RankedCause
from kit.calc.ranges import Band, band_of
from kit.calc.short_charge import (
    CHECKS,
    PART_CHARGED,
    DayOnBattery,
    doses_before_empty,
    health_pct,
    rank_short_charge,
    volts_after,
)
from kit.constants import effort, supply
from kit.records.texts import says_any
from kit.season.machines.supplies import SupplyUsed, battery, battery_item, inverter, sublimator
from kit.season.machines.uses import air_or_usual
from kit.season.machines.vapour import NAMED_FROM_PCT

if TYPE_CHECKING:
    from kit.records.records import Records

ENDED_BY_POWER = ("ran out", "power")
USUAL_MINUTES = effort.SEAL_MIN.value + effort.DOSE_MIN.value + effort.UNSEAL_MIN.value


def charge_checks(records: Records, used: pd.DataFrame) -> Iterator[dict[str, Any]]:
    """Rows of `tables/gear.csv` for every battery of the season; nothing for a visit whose battery cannot be told."""
    for item, part in battery_days(records, used):
        for n in range(len(part)):
            visit = part.iloc[[n]]
            yield from _volts_checks(_first(visit), _day(records, item, visit), rested=n == 0)
        if part["colonies_done"].sum() > 0:
            yield _doses_check(part, _day(records, item, part))


def battery_days(records: Records, used: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Each battery with its visits of one day, first visit first; `used` as from `kit.season.machines.uses.uses`."""
    pairs = zip(used["supply_item"], used["supply_kind"], strict=True)
    table = used.assign(item=[battery_item(records, SupplyUsed(*pair)) for pair in pairs])
    table = table[table["item"] != ""].drop_duplicates(["date", "apiary", "item"])
    table = table.sort_values(["date", "start", "volts_before"], ascending=[True, True, False], kind="stable")
    for (_, item), part in table.groupby(["date", "item"]):
        yield str(item), part


def known_health_pct(records: Records, used: pd.DataFrame) -> dict[str, float]:
    """Capacity left, by item, of each battery that a line says ran out: the middle over those days [%]."""
    found: dict[str, list[float]] = {}
    for item, part in battery_days(records, used):
        done = float(part["colonies_done"].sum())
        if done > 0 and says_any(part["wrong"], ENDED_BY_POWER):
            found.setdefault(item, []).append(health_pct(_day(records, item, part), doses=done).p50)
    return {item: float(np.median(values)) for item, values in found.items()}


def _first(part: pd.DataFrame) -> dict[str, Any]:
    return {str(name): value for name, value in part.iloc[0].items()}


def _day(records: Records, item: str, part: pd.DataFrame) -> DayOnBattery:
    """The battery's day: mean air, pace over its visits, volts of the first one."""
    first = part.iloc[0]
    timed = part[part["minutes"].notna() & (part["colonies_done"] > 0)]
    pace = timed["minutes"].sum() / timed["colonies_done"].sum() if len(timed) else USUAL_MINUTES
    before = part["volts_before"].iloc[0]
    return DayOnBattery(
        battery(records, item),
        inverter(records),
        sublimator(records, first["sublimator"], usual_dose_g=first["dose_g"]),
        float(np.mean([air_or_usual(air) for air in part["air_c"]])),
        float(np.clip(pace, 0.5, 30)),
        None if math.isnan(before) or before < 1 else float(before),
    )


def _place(row: dict[str, Any]) -> dict[str, Any]:
    names = ("item", "date", "apiary", "from_file", "from_row")
    return {"kind": "battery"} | {name: row[name] for name in names}


def _columns(band: Band) -> dict[str, float]:
    return dict(zip(("expected_p05", "expected_p50", "expected_p95"), band, strict=True))


def _volts_checks(row: dict[str, Any], day: DayOnBattery, *, rested: bool) -> Iterator[dict[str, Any]]:
    """Volts say nothing of a lithium battery; those before a day's second visit are not rested ones."""
    if day.battery.kind.lithium:
        return
    place = _place(row) | {"unit": "V"}
    if rested and day.volts_before is not None:
        yield place | _before(day, day.volts_before)
    if row["volts_after"] > 1 and row["colonies_done"] > 0:
        yield place | _after(row, day)


def _before(day: DayOnBattery, volts: float) -> dict[str, Any]:
    full, share = supply.RESTING_FULL_V, day.battery.volts / supply.BATTERY_V.value
    band = Band(full.low * share, full.value * share, full.high * share)
    low = volts < band.p05
    return {
        "check": "resting volts", "recorded": volts, **_columns(band),
        "verdict": "not full" if low else "in order",
        "likely_cause": PART_CHARGED if low else "",
        "what_to_check": CHECKS[PART_CHARGED] if low else "",
        "basis": "a full lead-acid battery that has rested for hours",
    }  # fmt: skip


def _after(row: dict[str, Any], day: DayOnBattery) -> dict[str, Any]:
    band = volts_after(day, doses=row["colonies_done"])
    low = row["volts_after"] < band.p05
    causes = rank_short_charge(day, doses=row["colonies_done"], pace_known=_paced(row)) if low else ()
    return {
        "check": "volts after", "recorded": row["volts_after"], **_columns(band),
        "verdict": "low" if low else "in order",
        **_said(causes),
        "basis": "volts before and the colonies done; right after work volts read lower than rested",
    }  # fmt: skip


def _doses_check(part: pd.DataFrame, day: DayOnBattery) -> dict[str, Any]:
    """Early only where a line says that power ended it: otherwise the count is a part of what the charge holds."""
    done = float(part["colonies_done"].sum())
    ended = says_any(part["wrong"], ENDED_BY_POWER)
    to_pct = 100.0 if ended else day.battery.usable_pct
    band = band_of(np.floor(doses_before_empty(day, to_pct=to_pct)))
    early = ended and done < band.p05
    causes = rank_short_charge(day, doses=done, pace_known=bool(part["minutes"].notna().all())) if early else ()
    return {
        **_place(_first(part)), "apiary": "; ".join(part["apiary"]), "check": "doses of a charge",
        "recorded": done, "unit": "colonies", **_columns(band),
        "verdict": "ran out early" if early else "in order" if ended else "not run down",
        **_said(causes),
        "basis": f"to {to_pct:g} % of a full charge, from the volts before, {day.minutes_per_colony:.1f} min a colony",
    }  # fmt: skip


def _paced(row: dict[str, Any]) -> bool:
    return not math.isnan(row["minutes"])


def _said(causes: tuple[RankedCause, ...]) -> dict[str, str]:
    if not causes:
        return {"likely_cause": "", "what_to_check": ""}
    alone = causes[0].share_pct >= NAMED_FROM_PCT or len(causes) == 1
    likely = causes[0].cause if alone else f"{causes[0].cause} or {causes[1].cause}"
    return {"likely_cause": likely, "what_to_check": causes[0].check}
