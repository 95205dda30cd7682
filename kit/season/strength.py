"""How strong the hives of each apiary were: adult bees and capped cells of its mean hive by week, as read.

================ =======================================================================
column           meaning
================ =======================================================================
date, apiary     end of a week, id
what             `bees` (adult bees) or `capped brood` (worker and drone cells)
thousand_p05 …   5, 50 and 95 % points of the mean over the hives standing [thousand]
looks            looks at frames of bees or brood in the season that the reading rests on
================ =======================================================================
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from kit.calc.ranges import band_of
from kit.season.reading import Reading, Season

if TYPE_CHECKING:
    from kit.records.records import Records

BEES, BROOD = "bees", "capped brood"
COLUMNS = ["date", "apiary", "what", "thousand_p05", "thousand_p50", "thousand_p95", "looks"]
WEEK = 7


def strength(records: Records, season: Season) -> pd.DataFrame:
    """The table above, apiary by apiary, up to the last day read; days on which no hive stood have no row."""
    rows = [row for here in season.readings.values() for row in _rows(here, _looks(records, here.apiary))]
    table = pd.DataFrame(rows, columns=COLUMNS)
    kinds = {"date": "datetime64[us]", "apiary": "str", "what": "str", "looks": "int64"}
    return table.astype(kinds | {name: "float64" for name in COLUMNS if name.startswith("thousand")})


def _rows(here: Reading, looks: int) -> list[list[object]]:
    days = np.arange(0, here.last + 1, WEEK)
    rows: list[list[object]] = []
    for what, values in zip((BEES, BROOD), here.strength(days), strict=True):
        for n, day in enumerate(days):
            mean = here.mean(values[:, :, n], int(day)) / 1000
            if not np.isnan(mean).any():
                on = here.usual.start + timedelta(days=int(day))
                rows.append([on, here.apiary, what, *np.round(band_of(mean), 3), looks])
    return rows


def _looks(records: Records, apiary: str) -> int:
    seen = records.in_season("inspections")
    seen = seen[(seen["apiary"] == apiary) & (seen["colony"] != "")]
    return int(((seen["bee_frames"] > 0) | (seen["brood_frames"] > 0)).sum())
