"""The reading's mathematics: slopes against differences, the block solution against a dense one, known limits."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy import optimize

from kit.season.course import course, slopes
from kit.season.evidence import Look, expected, looks, slope, weigh
from kit.season.fit import Place, draws, fit
from kit.season.kills import kills
from kit.season.latent import Latent, operation_size
from kit.season.loads import read_season
from kit.season.outcomes import outcomes
from kit.season.rounds import rounds
from kit.season.units import units
from kit.season.usual import usual_year
from tests.unit.season.sheets import boards, records, series

USUAL = usual_year(date(2025, 4, 1), 365)


@pytest.fixture(scope="module")
def place() -> Place:
    given = records(
        {"A": 3},
        colonies=[{"colony": f"A{n}", "apiary": "A"} for n in range(3)],
        counts=[
            *boards("A", "A0", ("2025-06-10", 12, 7), ("2025-08-28", 300, 6)),
            *boards("A", "A1", ("2025-09-20", 9, 10)),
            {"date": "2025-07-20", "apiary": "A", "colony": "A1", "method": "alcohol wash", "mites": 9, "bees": 300},
        ],
        treatments=series("A", date(2025, 8, 22), 2),
    )
    found = units(given)
    latent = Latent(USUAL, found, kills(given, rounds(given), found, USUAL), ["oxalic sublimation"])
    return Place.at_rest("A", latent, looks(given, latent))


def test_slopes_of_the_course_are_its_differences(place: Place) -> None:
    latent, each = place.latent, np.arange(3)
    at = place.parameters(np.zeros(operation_size(latent.words)))
    run, bent = slopes(latent.lanes(at, each), latent.bends(at, each))
    for number in range(latent.size):
        step = np.zeros(latent.size)
        step[number] = 1e-6
        up, down = (course(latent.lanes(at + sign * step, each)) for sign in (1, -1))
        for name in ("mites", "killed"):
            measured = (getattr(up, name) - getattr(down, name)) / 2e-6
            scale = np.abs(getattr(run, name)).max()
            np.testing.assert_allclose(getattr(bent, name)[:, :, number], measured, atol=2e-5 * scale)


def test_slopes_of_an_expected_count_are_its_differences(place: Place) -> None:
    latent, each = place.latent, np.arange(3)
    at = place.parameters(np.zeros(operation_size(latent.words)))
    run, bent = slopes(latent.lanes(at, each), latent.bends(at, each))
    for look in place.looks:
        by = slope(look, run, bent, at)
        for number in range(latent.size):
            step = np.zeros(latent.size)
            step[number] = 1e-6
            up, down = (
                np.log(expected(look, course(latent.lanes(at + s * step, each)), at + s * step)) for s in (1, -1)
            )
            assert by[number] == pytest.approx((up - down) / 2e-6, abs=1e-5)


def test_the_block_solution_is_the_one_a_general_optimiser_finds(place: Place) -> None:
    """scipy's BFGS on the whole posterior at once, with numerical slopes."""
    latent, size = place.latent, operation_size(place.latent.words)

    def loss(z: np.ndarray) -> float:
        parts = np.split(z, [size, size + latent.size])
        at = Place("A", latent, place.looks, (), parts[1], parts[2].reshape(3, -1)).parameters(parts[0])
        run = course(latent.lanes(at, np.arange(3)))
        return 0.5 * float(z @ z) - sum(weigh(look, expected(look, run, at)).value for look in place.looks)

    ours = fit([place], size)
    assert ours.settled
    here = ours.places[0]
    z = np.concatenate([ours.operation, here.shared, here.own.ravel()])
    best = optimize.minimize(loss, np.zeros_like(z), method="L-BFGS-B", options={"maxfun": 40_000, "maxiter": 400})
    assert loss(z) <= best.fun + 0.02
    np.testing.assert_allclose(z, best.x, atol=0.1)


def test_draws_have_the_curvature_of_the_fit(place: Place) -> None:
    """Spread of many draws of a counted hive's spring mites against the dense inverse of the same curvature."""
    found = fit([place], operation_size(place.latent.words))
    block, latent = found.blocks[0], place.latent
    sample = draws(found, 0, seed=1, count=20_000)[:, 0, 0]
    shared = len(found.root)
    dense = np.zeros((shared + latent.size,) * 2)
    dense[:shared, :shared] = np.eye(shared) + block.shared
    others = [np.linalg.solve(block.own[n], block.across[n]) for n in (1, 2)]
    dense[:shared, :shared] -= sum(block.across[n].T @ solved for n, solved in zip((1, 2), others, strict=True))
    dense[shared:, shared:], dense[shared:, :shared] = block.own[0], block.across[0]
    dense[:shared, shared:] = block.across[0].T
    by = np.concatenate([latent.from_operation[:, 0], latent.shared_spread * (np.arange(latent.size) == 0),
                         latent.own_spread[0] * (np.arange(latent.size) == 0)])  # fmt: skip
    assert sample.std() == pytest.approx(np.sqrt(by @ np.linalg.solve(dense, by)), rel=0.03)


@pytest.mark.parametrize(("low", "high", "least", "most"), [(0, 0, -99, -1), (21, np.inf, 1, 99), (1, 20, -0.6, 0.6)])
def test_a_word_pulls_towards_its_interval(low: float, high: float, least: float, most: float) -> None:
    """An expected count of 8 is pulled down by none, up by many, and left alone by few."""
    look = Look(0, np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), low, high, 0.2)
    pull = weigh(look, 8.0)
    assert least < pull.score < most
    assert pull.information >= 0


def test_killed_and_follow_up_give_the_classical_figure_as_a_limit() -> None:
    """killed/(killed + follow-up) × 100: 940 and 60 → 94.0 % (guideline through BEEBOOK, worked example).

    Without brood in December: trays hold 940 over four weeks, then a second round brings down the 60 that were left.
    """
    given = records(
        {"A": 1},
        colonies=[{"colony": "A1", "apiary": "A"}],
        counts=boards(
            "A", "A1", ("2025-12-20", 30, 14), ("2026-01-03", 860, 14), ("2026-01-17", 80, 14), ("2026-01-31", 58, 14)
        ),
        treatments=[*series("A", date(2025, 12, 20), 1), *series("A", date(2026, 1, 17), 1, follow_up="yes")],
    )
    table = rounds(given)
    found = outcomes(given, table, read_season(given, table, seed=1)).table
    kill = found[(found["colony"] == "A1") & (found["treatment_no"] == 1)].iloc[0]
    assert kill["efficacy_p05"] < 94 < kill["efficacy_p95"]
    assert kill["efficacy_p50"] == pytest.approx(94, abs=4)
    assert "follow-up" in kill["basis"]
