"""The whole reading of a season against 20,000 years of the law a colony in the same run."""

from __future__ import annotations

import time
from datetime import date, timedelta

import numpy as np
import pytest

from kit.calc.mites import simulate_many
from kit.season.fit import places, read_season
from kit.season.rounds import rounds
from kit.season.usual import usual_year
from tests.unit.season.sheets import boards, records, series

APIARIES, HIVES, COUNTS = 4, 10, 10
YEARS = 20_000


@pytest.mark.long
def test_reading_a_season_takes_at_most_twice_20_000_years_of_the_law_a_colony() -> None:
    names = [f"P{n}" for n in range(APIARIES)]
    days = [date(2025, 4, 20) + timedelta(days=30 * n) for n in range(COUNTS)]
    given = records(
        dict.fromkeys(names, HIVES),
        colonies=[{"colony": f"{name}-{n}", "apiary": name} for name in names for n in range(HIVES)],
        counts=[
            row
            for name in names
            for n in range(HIVES)
            for row in boards(name, f"{name}-{n}", *[(f"{day}", 5 + 3 * n + k, 7) for k, day in enumerate(days)])
        ],
        treatments=[row for name in names for row in series(name, date(2025, 8, 22), 3)],
    )
    table = rounds(given)
    read_season(given, table, seed=2)
    began = time.perf_counter()
    read_season(given, table, seed=1)
    reading = time.perf_counter() - began
    hives = places(given, table, usual_year(date(2025, 4, 1), 365))[0].hives
    lanes = hives.lanes(np.tile(hives.centre, (200, 1)), np.tile(np.arange(len(hives.centre)), 200))
    began = time.perf_counter()
    simulate_many(lanes, at=[100, 200, 300])
    law = (time.perf_counter() - began) / (200 * len(hives.centre)) * YEARS * APIARIES * HIVES
    print(f"\nreading {reading:.1f} s, {YEARS} years a colony {law:.1f} s, ratio {reading / law:.2f}")
    assert reading < 2 * law
