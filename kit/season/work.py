"""Trips, hours and money as facts, and the doses and crystals that went into the hives."""

from __future__ import annotations

from typing import Any

import pandas as pd

from kit.constants.treatment_words import OXALIC
from kit.season.parts import Parts, whole


def work(parts: Parts) -> dict[str, Any]:
    """Effort and doses of the operation."""
    effort = parts.tables["effort"]
    return {
        **_trips(parts.tables["trips"]),
        "hours": _sum(effort["hours"]),
        "drive_hours": _sum(effort.loc[effort["task"] == "driving", "hours"]),
        "effort_cost": _sum(effort["cost"]),
        **_doses(parts.tables["rounds"]),
    }


def apiary_work(parts: Parts, apiary: str) -> dict[str, Any]:
    """Effort and doses of one apiary."""
    trips = _trips(parts.of("trips", apiary))
    return {
        "trips": trips["trips"],
        "hours": _sum(parts.of("effort", apiary)["hours"]),
        "wasted_trips": trips["wasted_trips"],
        **_doses(parts.of("rounds", apiary)),
    }


def _trips(trips: pd.DataFrame) -> dict[str, Any]:
    wasted = trips[trips["wasted"].astype(bool)]
    why = wasted["wrong"].replace("", "not recorded").str.replace("; ", " and ").value_counts()
    ranked = sorted(why.items(), key=lambda item: (-item[1], str(item[0])))
    return {
        "trips": len(trips),
        "wasted_trips": len(wasted),
        "wasted_why": [{"why": str(word), "trips": int(n)} for word, n in ranked],
    }


def _doses(rounds: pd.DataFrame) -> dict[str, Any]:
    """Hive-rounds of oxalic acid and their crystals; a round on an unrecorded number of hives is not counted."""
    given = rounds[rounds["treatment"].isin(OXALIC)]
    weighed = given[given["dose_g"].notna()]
    return {
        "doses": whole(float(given["done"].sum())),
        "acid_g": _sum(weighed["dose_g"] * weighed["done"]),
        "doses_unweighed": whole(float(given.loc[given["dose_g"].isna(), "done"].sum())),
    }


def _sum(values: pd.Series) -> float | None:
    known = values.dropna()
    return float(known.sum()) if len(known) else None
