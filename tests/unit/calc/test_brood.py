"""The bees of a year: the monthly curve, and what events make of it."""

from datetime import date

import numpy as np
import pytest

from kit.calc.brood import broodless, default_year
from kit.constants import bees

JUNE = date(2025, 6, 1)


def test_the_middle_of_a_month_holds_the_months_adults() -> None:
    july = default_year().curves(date(2025, 7, 16), 1)
    assert july.adults[0] == pytest.approx(bees.ADULTS_JUL.value)


def test_births_and_deaths_keep_a_year_on_its_own_curve() -> None:
    quiet = default_year().curves(JUNE, 120)
    eventful = default_year().parted(JUNE, bees_pct=0, brood_pct=0).curves(JUNE, 120)
    np.testing.assert_allclose(eventful.adults, quiet.adults, rtol=1e-9)
    np.testing.assert_array_equal(eventful.worker_cells, quiet.worker_cells)


def test_cells_are_capped_nine_days_after_the_eggs_and_open_after_twelve() -> None:
    caged = default_year().caged(JUNE, 10).curves(date(2025, 5, 20), 60)
    first = (JUNE - date(2025, 5, 20)).days
    assert (caged.worker_cells[first + 9 : first + 19] == 0).all()
    assert caged.worker_cells[first + 8] > 0 and caged.worker_cells[first + 19] > 0
    assert (caged.drone_cells[first + 10 : first + 20] == 0).all()


def test_capped_brood_is_twelve_days_of_cells() -> None:
    curves = default_year().curves(JUNE, 40)
    assert curves.capped_worker[20] == pytest.approx(curves.worker_cells[9:21].sum())
    assert curves.capped_drone[20] == pytest.approx(curves.drone_cells[7:21].sum())


def test_a_split_takes_its_share_on_its_day_and_births_bring_bees_back() -> None:
    split = date(2025, 6, 10)
    halved = default_year().parted(split, bees_pct=50, brood_pct=50).curves(JUNE, 80)
    whole = default_year().curves(JUNE, 80)
    assert halved.adults[8] == pytest.approx(whole.adults[8], rel=1e-3)
    assert halved.adults[9] == pytest.approx(0.5 * whole.adults[9], rel=0.06)
    assert halved.adults[9] / whole.adults[9] < halved.adults[79] / whole.adults[79]
    assert halved.capped_worker[9] == pytest.approx(0.5 * whole.capped_worker[9], rel=0.01)


def test_a_swarm_leaves_a_window_without_brood() -> None:
    swarm = default_year().parted(JUNE, bees_pct=60, brood_pct=0, queenless_days=25).curves(JUNE, 60)
    assert swarm.capped_worker.min() == 0 and swarm.capped_worker[-1] > 0


def test_a_colony_without_queen_dwindles() -> None:
    lost = default_year().without_laying(JUNE, date(2026, 6, 1)).curves(JUNE, 100)
    assert (np.diff(lost.adults[30:]) < 0).all() and lost.adults[-1] < 0.3 * lost.adults[0]


def test_a_shift_of_thirty_days_moves_the_year_and_not_its_events() -> None:
    late = default_year().shifted(30)
    np.testing.assert_allclose(
        late.curves(date(2025, 7, 16), 5).adults, default_year().curves(date(2025, 6, 16), 5).adults
    )
    caged = late.caged(JUNE).curves(JUNE, 40)
    assert (caged.worker_cells[9:34] == 0).all() and caged.worker_cells[8] > 0


def test_the_year_goes_round() -> None:
    curves = default_year().curves(date(2024, 12, 30), 5)
    assert np.abs(np.diff(curves.adults)).max() < 100


def test_broodless_is_without_brood_on_every_day() -> None:
    curves = broodless(9_000).curves(JUNE, 200)
    assert (curves.worker_cells == 0).all() and (curves.drone_cells == 0).all() and (curves.adults == 9_000).all()


def test_a_small_part_lays_no_more_than_its_bees_can_raise_until_it_has_grown() -> None:
    """Moeller 1961 (read in part): sealed brood for each bee falls as colonies grow; 0.09 eggs a bee is assumed."""
    part = default_year().parted(JUNE, bees_pct=80, brood_pct=80, queenless_days=24).curves(JUNE, 120)
    laid = np.arange(24, 100)
    cells = part.worker_cells[laid + 9] + part.drone_cells[laid + 10]
    per_bee = cells / bees.EGG_TO_CAPPED.value / part.adults[laid]
    assert per_bee.max() == pytest.approx(bees.MOST_EGGS.value)
    assert part.worker_cells[33] < 0.5 * default_year().curves(JUNE, 120).worker_cells[33]
    assert part.adults[-1] > 2 * part.adults[30]


def test_a_whole_colony_lays_as_it_did() -> None:
    whole = default_year()
    eggs, adults = np.array(whole.eggs), np.array(whole.adults)
    assert (eggs / adults).max() < bees.MOST_EGGS.value
