"""Days ahead that are fit for a sublimation, from rows of the sheet `weather` dated later than today."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pandas as pd

from kit.constants.wind import STRONGEST_KMH

if TYPE_CHECKING:
    from kit.records.records import Records

AHEAD = timedelta(days=10)
"""A forecast further ahead is not looked at."""
WET_MM = 1.0
"""Rain from which a day counts as wet, as weather services count wet days."""


def fit_days(ahead: Records, today: date) -> list[date] | None:
    """The days in the `AHEAD` after `today` that are warm, still and dry enough by the settings; None without any row.

    `ahead` are records read as of a day after `today`, so that forecast rows are among them. A day counts as fit when
    it is fit at every site with a row; what a row does not say does not speak against it.
    """
    weather = ahead.tables["weather"]
    rows = weather[(weather["date"] > pd.Timestamp(today)) & (weather["date"] <= pd.Timestamp(today + AHEAD))]
    if rows.empty:
        return None
    settings = ahead.settings
    unfit = (
        (rows["max_c"] < settings.min_air_c)
        | (rows["wind_kmh"] > STRONGEST_KMH[settings.max_wind])
        | (rows["rain_mm"] >= WET_MM)
    )
    by_day = unfit.groupby(rows["date"]).any()
    return [day.date() for day in by_day.index[~by_day]]
