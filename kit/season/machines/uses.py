"""Each use of a sublimator in the season: seconds, minutes, supply, dose and air of one machine, apiary and day."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants.treatment_words import SUBLIMATION
from kit.records.corrections import season_in_force
from kit.records.texts import every_word
from kit.season.machines.supplies import only_item, supply_used
from kit.season.rounds import crystals_g

if TYPE_CHECKING:
    from kit.records.records import Records

USUAL_AIR_C = 8.0
COLUMNS = [
    *("date", "apiary", "sublimator", "supply_item", "supply_kind", "expel_s", "warm_up_min", "volts_before"),
    *("volts_after", "colonies_done", "dose_g", "air_c", "wind", "start", "minutes", "wrong", "from_file", "from_row"),
]


def uses(records: Records) -> pd.DataFrame:
    """One row for each machine, apiary and day with a sublimation in the season, sorted by date and apiary.

    A machine that is not named is the only one of the gear sheet, else ''. `air_c` falls back on the day's mean of the
    weather sheet. Numbers that are not recorded are NaN.
    """
    return records.once(_uses)


def _uses(records: Records) -> pd.DataFrame:
    rounds = season_in_force(records, "treatments")
    rounds = rounds[rounds["treatment"] == SUBLIMATION]
    visits = dict(iter(records.in_season("visits").groupby(["date", "apiary"])))
    wrong = records.heads.groupby(["date", "apiary"])["wrong"].agg(every_word)
    rows = []
    for (day, apiary), part in rounds.groupby(["date", "apiary"]):
        visit = _visit(visits.get((day, apiary)))
        named = part.assign(sublimator=part["sublimator"].where(part["sublimator"] != "", _unnamed(records, part)))
        for item, own in named.groupby("sublimator"):
            row = _row(records, str(apiary), visit, own)
            rows.append(
                {"date": day, "apiary": apiary, "sublimator": item, "wrong": wrong.get((day, apiary), ""), **row}
            )
    return pd.DataFrame(rows, columns=COLUMNS).sort_values(["date", "apiary", "sublimator"], ignore_index=True)


def _unnamed(records: Records, part: pd.DataFrame) -> str:
    """Who did what no line names: the only machine of that day's other lines, or the only one there is."""
    others = [item for item in part["sublimator"].unique() if item]
    return str(others[0]) if len(others) == 1 else only_item(records, "sublimator")


def _visit(part: pd.DataFrame | None) -> dict[str, Any]:
    """The day's visit, each column its first recorded value."""
    if part is None:
        return {}
    found: dict[str, Any] = {}
    for name in part.columns:
        known = part[name][part[name].notna() & (part[name] != "")]
        found[str(name)] = known.iloc[0] if len(known) else None
    return found


def _row(records: Records, apiary: str, visit: dict[str, Any], own: pd.DataFrame) -> dict[str, Any]:
    used = supply_used(records, apiary, visit.get("supply") or "", visit.get("ground") or "")
    doses = [crystals_g(records, p, d, u) for p, d, u in zip(own["product"], own["dose"], own["unit"], strict=True)]
    wind = own["wind"][own["wind"] != ""]
    return {
        "supply_item": used.item,
        "supply_kind": used.kind,
        "expel_s": own["expel_s"].median(),
        "dose_g": pd.Series(doses, dtype=float).median(),
        "air_c": _air_c(records, apiary, own),
        "wind": wind.iloc[0] if len(wind) else "",
        "start": visit.get("start") or "",
        "minutes": minutes_between(visit.get("start") or "", visit.get("end") or ""),
        **{n: _number(visit.get(n)) for n in ("warm_up_min", "volts_before", "volts_after", "colonies_done")},
        "from_file": own["from_file"].iloc[0],
        "from_row": own["from_row"].iloc[0],
    }


def _number(value: Any) -> float:
    return float("nan") if value is None else float(value)


def _air_c(records: Records, apiary: str, own: pd.DataFrame) -> float:
    recorded = own["air_c"].dropna()
    if len(recorded):
        return float(recorded.mean())
    weather = records.tables["weather"]
    day = weather[(weather["date"] == own["date"].iloc[0]) & weather["apiary"].isin(["", apiary])]
    return float(day[["min_c", "max_c"]].mean(axis=None)) if len(day) else float("nan")


def air_or_usual(air_c: float) -> float:
    """The air of a visit [°C], kept within what the formulas hold for; a usual treating day when it is not recorded."""
    return USUAL_AIR_C if math.isnan(air_c) else min(max(air_c, -20.0), 40.0)


def minutes_between(start: str, end: str) -> float:
    """Minutes from one clock time to the next of the same day, `09:30`; NaN when one is not recorded or they run back.

    Examples
    --------
    >>> minutes_between("09:30", "10:25")
    55.0
    """
    try:
        first, last = (60 * int(c.split(":")[0]) + int(c.split(":")[1]) for c in (start, end))
    except (ValueError, IndexError):
        return float("nan")
    return float(last - first) if last >= first else float("nan")
