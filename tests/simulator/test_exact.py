"""The exact filter is exact: its chances are those the counts were drawn by, and its bands hold the truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.simulator import exact, hives, reading
from tests.simulator.exact import Cloud, Look
from tests.simulator.operations import KINDS, Operation, operation
from tests.simulator.run import Track

DRAWN = 20_000
pytestmark = pytest.mark.xdist_group("simulator")


@pytest.fixture(scope="module")
def few_hives() -> Operation:
    return operation(replace(KINDS["well counted"], apiaries=2, hives=4), 31)


def one_lane(op: Operation) -> tuple[Track, hives.Traits]:
    """A colony that was alike all season: 40 mites fallen over a week, 600 on 20,000 bees."""
    same = np.ones((1, op.story.days), dtype=np.int64)
    track = Track(600 * same, 600 * same, 20_000 * same, 0 * same, 0 * same, 0.0 * same)
    track.fallen[0, 50:57] = (4, 9, 5, 7, 6, 5, 4)
    traits = hives.Traits(*(np.ones(1) for _ in range(7)))
    return track, replace(traits, board_share=np.array([0.85]), dispersion=np.array([12.0]))


def as_often(found: list[int], chance: NDArray[np.float64]) -> bool:
    """Whether numbers come as often as their chances say, to four standard errors."""
    share = np.bincount(found, minlength=len(chance))[: len(chance)] / len(found)
    return bool(np.all(np.abs(share - chance) < 4 * np.sqrt(chance / len(found)) + 1e-3))


def test_a_board_is_as_likely_as_it_is_often(few_hives: Operation) -> None:
    track, traits = one_lane(few_hives)
    rng = np.random.default_rng(1)
    cloud = Cloud.before(few_hives, 0, 1, rng)
    cloud.traits, cloud.fallen = traits, track.fallen.astype(np.float32)
    found = [reading.board(track, traits, 0, 57, 7, rng) for _ in range(DRAWN)]
    chance = [float(np.exp(exact.log_board(cloud, 57, Look("board", n, 7)))[0]) for n in range(80)]
    assert as_often(found, np.array(chance))


def test_a_wash_is_as_likely_as_it_is_often(few_hives: Operation) -> None:
    track, _ = one_lane(few_hives)
    rng = np.random.default_rng(2)
    state = hives.empty(DRAWN // exact.WASH_DRAWS)
    state.on_bees[:], state.summer_bees[:] = 600, 20_000
    found = [reading.wash(track, 0, 57, 300, "alcohol wash", rng) for _ in range(DRAWN)]
    chance = [float(np.exp(exact.log_wash(state, Look("wash", n, 300), rng)).mean()) for n in range(30)]
    assert as_often(found, np.array(chance))


def test_nothing_seen_leaves_what_is_usual(few_hives: Operation) -> None:
    blind = exact.read(few_hives, 1, {}, 2000, np.random.default_rng(3))
    assert np.median(blind.mites[:, 0]) == pytest.approx(45, rel=0.15)  # as drawn in tests.simulator.operations


@pytest.mark.slow
def test_its_bands_hold_and_its_kills_are_near_the_true_ones(few_hives: Operation) -> None:
    loads, kill = exact.scored(few_hives, 2000)
    print(loads.round(2).to_string(), kill.round(2).to_string(), sep="\n")
    assert 78 <= loads.loc["all", "in_band_pct"] <= 98
    assert loads.loc["all", "error_p50"] < 1.4
    assert kill.loc["all", "miss_p50"] < 10
