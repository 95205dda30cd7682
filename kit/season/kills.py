"""The usual kill of every round, before any count has been looked at, and when and on whom it worked.

A kill is held as `hazard` = -log(share of mites left), so that rounds add up; its prior is lognormal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.constants import reading
from kit.season.rounds import OXALIC, SLOW, last_in_place
from kit.season.units import COLONY, Unit, colonies_named
from kit.season.usual import Array, Usual

if TYPE_CHECKING:
    from kit.records.load import Records

_SEALS = {"fair": reading.SEAL_FAIR, "poor": reading.SEAL_POOR}
_SLOW_KILL = {
    "formic acid": reading.FORMIC_KILL,
    "thymol": reading.THYMOL_KILL,
    "amitraz strips": reading.AMITRAZ_KILL,
    "pyrethroid strips": reading.PYRETHROID_KILL,
    "drone brood removal": reading.DRONE_BROOD_KILL,
}
KILLS_MITES = (*OXALIC, *(word for word in _SLOW_KILL if word != "drone brood removal"))
"""Words of treatments that kill mites on bees."""

_RESIDUE = (0.7, 0.15, 0.1, 0.05)


@dataclass(frozen=True)
class Kill:
    """One round at one apiary.

    Parameters
    ----------
    apiary, treatment, treatment_no : str, str, int
        The treatment it belongs to.
    first, last : date
        Days it worked.
    hazard : float
        Usual -log(share left) of the round [1].
    daily : ndarray, shape (days,)
        The part of the hazard that works on each day; sums to 1, or less when days lie past the end.
    share : ndarray, shape (units,)
        Share of each unit's hives that received it [1].
    """

    apiary: str
    treatment: str
    treatment_no: int
    first: date
    last: date
    hazard: float
    daily: Array
    share: Array


def kills(records: Records, rounds: pd.DataFrame, units: Sequence[Unit], usual: Usual) -> list[Kill]:
    """The rounds of one apiary's `rounds` table that have a usual kill, in order of date.

    `units` are those of that apiary. Words without a usual kill (queen caging, an unknown word) make no entry.
    """
    end = pd.Timestamp(usual.start) + pd.Timedelta(days=usual.days - 1)
    found = []
    for row in rounds.to_dict("records"):
        first, last = usual.index(row["date"].date()), usual.index(last_in_place(row, end).date())
        hazard = usual_hazard(row, usual, first)
        if hazard > 0:
            days = _daily(str(row["treatment"]), usual.days, first, last)
            key = (str(row["apiary"]), str(row["treatment"]), int(row["treatment_no"]))
            share = _treated(records, row, units)
            found.append(Kill(*key, row["date"].date(), last_in_place(row, end).date(), hazard, days, share))
    return found


def usual_hazard(row: Any, usual: Usual, day: int) -> float:
    """Usual -log(share left) of one round on a day index, by word, dose, seal, wind and brood; 0 without a usual kill."""
    word = str(row["treatment"])
    if word in _SLOW_KILL:
        return _hazard(_SLOW_KILL[word].value)
    if word not in OXALIC:
        return 0.0
    on_bees = _hazard(reading.OXALIC_ON_BEES.value) * _care(row)
    in_brood = float(usual.in_brood[day])
    emerging = in_brood * min(reading.SHELTERED_DAYS.value / CAPPED_DAYS, 1.0)
    return -float(np.log1p(-(1 - np.exp(-on_bees)) * (1 - in_brood + emerging)))


CAPPED_DAYS = 12
"""Days a worker cell stays capped (winston1987)."""


def _hazard(kill_pct: float) -> float:
    return -float(np.log1p(-kill_pct / 100))


def _care(row: Any) -> float:
    """How much of the usual hazard on bees is left by seal, wind and dose."""
    seal = _SEALS[row["seal"]].value / 100 if row["seal"] in _SEALS else 1.0
    wind = reading.WINDY.value / 100 if row["wind"] in ("breezy", "windy") else 1.0
    dose = row["dose_g"]
    scale = reading.OXALIC_HALF_DOSE.value
    full = 1.0 if pd.isna(dose) else min(float(1 - np.exp(-dose / scale)), 1.0)
    return float(seal * wind * full)


def _daily(word: str, days: int, first: int, last: int) -> Array:
    daily = np.zeros(days)
    if word in SLOW:
        daily[first : last + 1] = 1 / (last - first + 1)
        return daily
    spread = np.array(_RESIDUE[: days - first])
    daily[first : first + len(spread)] = spread
    return daily


def _treated(records: Records, row: Any, units: Sequence[Unit]) -> Array:
    given = records.tables["treatments"]
    same = (
        (given["apiary"] == row["apiary"]) & (given["date"] == row["date"]) & (given["treatment"] == row["treatment"])
    )
    lists = list(given.loc[same, "colonies"])
    named = {one for text in lists for one in colonies_named(str(text))}
    everyone = any(text in ("", "all") for text in lists)
    part = row["done"] / row["standing"] if row["standing"] > 0 and not pd.isna(row["done"]) else 1.0
    for_all = float(np.clip(part, 0, 1)) if everyone else 0.0
    return np.array([1.0 if u.scope == COLONY and u.colony in named else for_all for u in units])
