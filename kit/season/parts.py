"""Everything a review has worked out, in one hand: what the facts are made from."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.calc.ranges import band_of
from kit.season.heads import Heads
from kit.season.loads import POINTS
from kit.season.losses import Losses
from kit.season.outcomes import Outcomes
from kit.season.reading import Season
from kit.season.timing import Timing
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records


@dataclass(frozen=True)
class Parts:
    """The records, what was read from them, and the finished tables by name."""

    records: Records
    season: Season
    heads: Sequence[Heads]
    losses: Losses
    timing: Timing
    outcomes: Outcomes
    tables: Mapping[str, pd.DataFrame]

    def of(self, table: str, apiary: str) -> pd.DataFrame:
        """The rows of a table that name an apiary."""
        frame = self.tables[table]
        return frame[frame["apiary"] == apiary]


def plain(value: Any) -> Any:
    """A value as JSON holds it: dates as ISO text, whole floats as they are, what is missing as None."""
    if value is None or value is pd.NaT or (isinstance(value, float) and math.isnan(value)):
        return None
    if isinstance(value, pd.Timestamp):
        return value.date().isoformat()
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return value.item() if hasattr(value, "item") else value


def picked(row: Mapping[Any, Any], names: Sequence[str]) -> dict[str, Any]:
    """Some values of a table's row, as JSON."""
    return {name: plain(row[name]) for name in names}


def points(name: str) -> list[str]:
    """The three columns of a band."""
    return [f"{name}_{point}" for point in POINTS]


def banded(name: str, draws: Array | None) -> dict[str, float | None]:
    """The band of draws under its three names; None without draws or where one is missing."""
    if draws is None or bool((draws != draws).any()):
        return dict.fromkeys(points(name))
    return dict(zip(points(name), band_of(draws), strict=True))


def whole(value: float | None) -> int | None:
    """A count as a whole number; None where not recorded."""
    return None if value is None or math.isnan(value) else round(value)
