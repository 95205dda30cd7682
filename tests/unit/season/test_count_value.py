"""What a count is worth: against the closed form of a normal prior and a normal measurement, and on small records."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from kit.season.count_value import COLUMNS, worth
from kit.season.review import review
from tests.unit.season.sheets import boards, records, series


@pytest.mark.parametrize(("mean", "noise"), [(0.0, 1.0), (-0.7, 0.5), (0.7, 0.5), (-1.5, 3.0)])
def test_it_is_the_unit_normal_loss_of_preposterior_analysis(mean: float, noise: float) -> None:
    # Raiffa & Schlaifer 1961, Applied Statistical Decision Theory, ch. 5: with b ~ N(mean, 1), y ~ N(b, noise^2) the
    # value is s (phi(u) - u (1 - Phi(u))), u = |mean| / s, s = 1 / sqrt(1 + noise^2); from memory
    draws = mean + stats.norm.ppf((np.arange(1500) + 0.5) / 1500)
    shown = draws + noise * np.random.default_rng(3).standard_normal(len(draws))
    found, changes = worth(draws, -0.5 * ((shown[:, None] - draws[None, :]) / noise) ** 2)
    s = 1 / np.sqrt(1 + noise**2)
    u = abs(mean) / s
    assert found == pytest.approx(s * (stats.norm.pdf(u) - u * stats.norm.sf(u)), abs=0.03)
    assert changes == pytest.approx(stats.norm.sf(u), abs=0.03)


def test_a_count_that_shows_nothing_is_worth_nothing() -> None:
    draws = np.linspace(-1, 2, 50)
    assert worth(draws, np.zeros((50, 50))) == (0.0, 0.0)


def _found(as_of: date) -> pd.DataFrame:
    given = records(
        {"EAST": 10, "WEST": 10},
        as_of=as_of,
        treatments=series("EAST", date(2025, 8, 20), treatment="formic acid"),
        counts=boards("EAST", "", ("2025-08-01", 30, 7)),
        visits=[{"date": pd.Timestamp(2025, 8, 20), "apiary": "EAST", "start": "09:00", "end": "11:00"}],
    )
    return review(given, seed=1).tables["count_values"]


def test_in_september_both_trays_and_a_wash_are_weighed_best_first() -> None:
    found = _found(date(2025, 9, 20))
    assert list(found.columns) == COLUMNS
    assert set(found["apiary"]) == {"EAST"}, "at WEST the main treatment is due: nothing to decide"
    assert found["count"].nunique() == 2
    assert found["value"].is_monotonic_decreasing and (found["value"] > 0).any()
    assert set(found["decision"]) <= {"treat now", "leave"}


def test_in_the_cold_no_count_is_weighed_and_no_wash_in_october() -> None:
    assert _found(date(2025, 12, 10)).empty
    october = _found(date(2025, 10, 3))
    assert not october["count"].str.contains("wash").any()
