"""The luck of few mites against the laws of chance it stands for."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy import stats

from kit.season.posterior.whole_mites import on_bees, whole
from kit.season.units import COLONY, Unit

DRAWS, DAYS = 4000, 60


def unit(colony: str) -> Unit:
    return Unit("A", colony, COLONY, date(2025, 4, 1), date(2026, 3, 31), 1.0)


def alike(value: float) -> np.ndarray:
    return np.full((DRAWS, 1, DAYS), value, dtype=np.float32)


@pytest.mark.parametrize(("mites", "share"), [(20, 0.35), (400, 0.25), (8, 0.9)])
def test_mites_on_bees_scatter_as_a_binomial(mites: int, share: float) -> None:
    """Mean and spread of `scipy.stats.binom`; whole numbers, never more than there are."""
    found = on_bees(alike(mites), alike(share), [unit("A1")], 1)[:, 0, 30]
    chance = stats.binom(mites, share)
    assert found.mean() == pytest.approx(chance.mean(), rel=0.05)
    assert found.std() == pytest.approx(chance.std(), rel=0.1)
    assert (found == np.rint(found)).all()
    assert 0 <= found.min() <= found.max() <= mites


def test_without_brood_all_mites_are_on_bees() -> None:
    assert (on_bees(alike(17), alike(1.0), [unit("A1")], 1) == 17).all()


def test_few_mites_keep_their_mean_and_scatter_by_more_than_chance_alone() -> None:
    found = whole(alike(30), [unit("A1")], 1)[:, 0, 30]
    assert found.mean() == pytest.approx(30, rel=0.03)
    assert stats.poisson(30).std() < found.std() < 1.5 * stats.poisson(30).std()


def test_luck_is_the_hives_own_and_lasts_from_day_to_day() -> None:
    both = np.concatenate([alike(30), alike(30)], axis=1)
    found = whole(both, [unit("A1"), unit("A2")], 1)
    assert abs(np.corrcoef(found[:, 0, 30], found[:, 1, 30])[0, 1]) < 0.1
    assert np.corrcoef(found[:, 0, 30], found[:, 0, 32])[0, 1] > 0.9
