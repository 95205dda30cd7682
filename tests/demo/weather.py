"""Two years of invented weather at one site: wet when the story needs it, fair on the days that were driven."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

FIRST, LAST = date(2024, 4, 1), date(2026, 3, 31)
WET = ((date(2025, 8, 10), date(2025, 9, 5)), (date(2025, 11, 8), date(2025, 11, 24)))
DRY = ((date(2025, 9, 7), date(2025, 9, 12)), (date(2025, 11, 25), date(2025, 12, 10)))


@dataclass(frozen=True)
class Weather:
    low_c: float
    high_c: float
    rain_mm: float
    wind_kmh: float

    @property
    def wind(self) -> str:
        names = ((8, "calm"), (14, "light"), (24, "breezy"))
        return next((name for limit, name in names if self.wind_kmh < limit), "windy")

    @property
    def noon_c(self) -> float:
        return round(self.low_c + 0.8 * (self.high_c - self.low_c))


def _inside(when: date, spells: Iterable[tuple[date, date]]) -> bool:
    return any(first <= when <= last for first, last in spells)


def weather(fair: frozenset[date], windy: frozenset[date], rng: np.random.Generator) -> dict[date, Weather]:
    """Weather by day; `fair` days are calm and dry, `windy` ones blow."""
    made: dict[date, Weather] = {}
    warmth, wet = 0.0, False
    for n in range((LAST - FIRST).days + 1):
        when = FIRST + timedelta(days=n)
        warmth = 0.75 * warmth + rng.normal(0.0, 1.7)
        spell = 0.85 if _inside(when, WET) else 0.05 if _inside(when, DRY) else 0.55 if wet else 0.3
        wet = bool(rng.random() < spell)
        rain = rng.gamma(0.9, 6.0 if _inside(when, WET) else 4.0) if wet else 0.0
        wind = rng.gamma(4.0, 4.2)
        middle = 10.2 - 7.0 * np.cos(2 * np.pi * (when.timetuple().tm_yday - 20) / 365.25) + warmth
        spread = rng.uniform(2.5, 5.5) * (0.8 if wet else 1.15)
        if when in fair:
            rain, wind, middle = 0.2 * (rain > 0), 4 + wind % 9, max(middle, 5.5)
        if when in windy:
            wind = 38.0
        made[when] = Weather(*(round(float(x), 1) for x in (middle - spread, middle + spread, rain, wind)))
    return made
