"""The fallback: each count by the handbook, carried in between by the law of a usual year.

Every count that holds no treatment's dead gives its handbook band; a hive's usual course is moved to go through a draw
from each, evenly in time between two and held before the first and after the last. Hives without such a count keep
the usual year's spread.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np
import pandas as pd

from kit.season.posterior.evidence import unit_of
from kit.season.posterior.hives import Hives
from kit.season.posterior.place import Place
from kit.season.usual import Array, Draws

FROM_5_TO_95 = 2 * 1.645


def usual_draws(place: Place, operation: Array, seed: int) -> Array:
    """Draws of the hives' parameters before any count, shape (draws, units, size)."""
    rng = np.random.default_rng([seed, crc32(place.apiary.encode()), 4])
    count, hives = len(operation), place.hives
    shared, own = rng.standard_normal((count, hives.size)), rng.standard_normal((count, len(hives.units), hives.size))
    return place.parameters(operation, shared, own)


def log_factor(hives: Hives, counts: pd.DataFrame, mites: Draws, seed: int) -> Draws:
    """What the handbook's reading of the counts puts on a usual course of `mites`, shape (draws, units, days).

    `counts` is the table of `kit.season.readings.readings`.
    """
    found = np.zeros_like(mites)
    days = np.arange(mites.shape[2])
    for unit, part in _by_unit(hives, counts).items():
        key = [seed, crc32(hives.units[unit].apiary.encode()), unit, 5]
        free = np.random.default_rng(key).standard_normal((len(mites), len(part)))
        at = np.array([(on.date() - hives.start).days for on in part["date"]])
        middle = np.log(np.maximum(part["mites_p50"].to_numpy(float), 0.5))
        low, high = (np.log(np.maximum(part[f"mites_{p}"].to_numpy(float), 0.1)) for p in ("p05", "p95"))
        wanted = middle + free * (high - low) / FROM_5_TO_95
        off = wanted - np.log(np.maximum(mites[:, unit][:, at], 1e-3))
        found[:, unit] = [np.interp(days, at, row) for row in off]
    return found


def _by_unit(hives: Hives, counts: pd.DataFrame) -> dict[int, pd.DataFrame]:
    """Readable counts of each unit, one for each day."""
    mine = counts[(counts["apiary"] == hives.units[0].apiary) & counts["mites_p50"].notna()]
    parts = {unit_of(str(colony), hives.units): part for colony, part in mine.groupby("colony", sort=True)}
    return {
        unit: part.sort_values("date", kind="stable").drop_duplicates("date")
        for unit, part in parts.items()
        if unit is not None
    }
