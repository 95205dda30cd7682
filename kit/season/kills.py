"""The usual kill of every round, before any count has been looked at, and when and on whom it worked.

A kill is held as `hazard` = -log(share of mites left), so that rounds add up. The usual hazard of a round is what the
law of the mites says of it in a full colony that has had the apiary's earlier rounds: brood, dose, seal, air and
interval are in it. Wind, which the law leaves out, takes its share. Around it the season's reading lets each round,
apiary and hive differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.calc.mites import Treatment, simulate
from kit.calc.treatments import SOURCED
from kit.constants import reading
from kit.constants import treatments as law
from kit.season.rounds import OXALIC, SLOW, last_in_place
from kit.season.units import COLONY, Unit, colonies_named
from kit.season.usual import FEW_MITES, Array, Usual

if TYPE_CHECKING:
    from kit.records.records import Records

KILLS_MITES = (*OXALIC, "formic acid", "thymol", "amitraz strips", "pyrethroid strips")
"""Words of treatments that kill mites on bees."""

LEAST_HAZARD = 0.01
"""A round whose usual hazard is smaller kills nothing that could be read."""


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
        The part of the hazard that works on each day; sums to 1.
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

    `units` are those of that apiary. Words without a usual kill (an unknown word) make no entry.
    """
    found: list[Kill] = []
    given: list[Treatment] = []
    before = _law(usual, given)
    for row in rounds.sort_values(["date", "treatment"], kind="stable").to_dict("records"):
        given.append(_treatment(row, usual))
        after = _law(usual, given)
        kill = _kill(row, np.log(before / after), usual, _treated(records, row, units))
        found += [kill] if kill.hazard > LEAST_HAZARD else []
        before = after
    return found


def _kill(row: Any, hazard_by_day: Array, usual: Usual, share: Array) -> Kill:
    first, last = usual.index(row["date"].date()), usual.index(_last(row, usual))
    judged = min(last + int(reading.JUDGED_AFTER_DAYS.value), usual.days - 1)
    rising = np.maximum.accumulate(np.clip(hazard_by_day, 0, None))
    rising[judged:] = rising[judged]
    daily = np.diff(rising, prepend=0.0)
    hazard = float(rising[judged])
    wind = reading.WINDY.value / 100 if row["wind"] in ("breezy", "windy") and row["treatment"] in OXALIC else 1.0
    key = (str(row["apiary"]), str(row["treatment"]), int(row["treatment_no"]))
    days = (usual.start + timedelta(days=first), usual.start + timedelta(days=last))
    return Kill(*key, *days, hazard * wind, daily / hazard if hazard > 0 else daily, share)


def _last(row: Any, usual: Usual) -> date:
    return last_in_place(row, pd.Timestamp(usual.end)).date()


def _law(usual: Usual, given: Sequence[Treatment]) -> Array:
    return simulate(start=usual.start, days=usual.days, mites=FEW_MITES, treatments=given).total


def _treatment(row: Any, usual: Usual) -> Treatment:
    """One round as the law takes it; a recorded value outside what the law knows is taken at the end of its range."""
    word = str(row["treatment"]) if row["treatment"] in SOURCED else "other"
    day = row["date"].date()
    until = _last(row, usual) if word in SLOW else None
    dose = row["dose_g"]
    return Treatment(
        word,
        day,
        dose_g=None if pd.isna(dose) or word not in OXALIC else float(np.clip(dose, 0, law.MAX_DOSE_G.value)),
        seal=str(row["seal"]) or "good",
        until=until if until is not None and until > day else None,
        air_c=None if pd.isna(row["air_c"]) else float(np.clip(row["air_c"], -40, 50)),
    )


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
