"""The reading of the season against independent methods, its limits, and what it says when it fails."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from scipy import optimize

from kit.held import hands
from kit.records.records import Records
from kit.season import fit
from kit.season.fit import read_season
from kit.season.outcomes import outcomes
from kit.season.posterior import mode as modes
from kit.season.posterior.climb import Climb
from kit.season.posterior.hives import operation_size
from kit.season.posterior.mode import mode
from kit.season.posterior.place import Block, Place
from kit.season.posterior.sight import Look, sight
from kit.season.review import review
from kit.season.rounds import rounds
from kit.season.usual import Array
from tests.unit.season.by_the_law import apiaries, drawn, fifths_are_even, log_mites, prior, ranks_of_truth
from tests.unit.season.sheets import boards, records, series

JULY, SEPTEMBER, DECEMBER = 105, 170, 250


def wash(on: str, colony: str, mites: int) -> dict[str, Any]:
    return {"date": on, "apiary": "A", "colony": colony, "method": "alcohol wash", "mites": mites, "bees": 300}


def colonies(number: int) -> list[dict[str, Any]]:
    return [{"colony": f"A{n}", "apiary": "A"} for n in range(number)]


@pytest.fixture(scope="module")
def three() -> Records:
    return records(
        {"A": 3},
        colonies=colonies(3),
        counts=[
            *boards("A", "A0", ("2025-06-10", 12, 7), ("2025-08-28", 300, 6)),
            *boards("A", "A1", ("2025-09-20", 9, 10)),
            wash("2025-07-20", "A1", 9),
        ],
        inspections=[{"date": "2025-06-10", "apiary": "A", "colony": "A0", "bee_frames": 12.0, "brood_frames": 6.0}],
        treatments=series("A", date(2025, 8, 22), 2),
    )


def stands(climb: Climb) -> Place:
    return climb.place


def test_the_mode_is_where_a_general_optimiser_stops(three: Records) -> None:
    place = apiaries(three)[0]
    size = operation_size(place.hives.words)
    with hands() as here:
        found = mode(here.hold([Climb(place)]), size)
        (there,) = found.climbs.each(stands)
    rest = np.concatenate([found.operation, there.shared, there.own.ravel()])

    def worse(z: np.ndarray) -> float:
        moved = place.moved(z[size : size + place.hives.size], z[size + place.hives.size :].reshape(place.own.shape))
        return 0.5 * float(z[:size] @ z[:size]) - moved.value(z[:size])

    best = optimize.minimize(worse, rest, method="L-BFGS-B", options={"maxiter": 8})
    assert worse(rest) - best.fun < 0.1


@dataclass(frozen=True)
class OneCount(Place):
    """A place of one hive and one Poisson count, whose logarithm goes up by 6 with the operation's only normal."""

    count: float = 1e6

    def value(self, operation: Array) -> float:
        log_mean = 6 * operation[0]
        return float(self.count * log_mean - np.exp(min(log_mean, 700)) - 0.5 * np.sum(self.shared**2))

    def block(self, operation: Array) -> Block:
        mean, none = np.exp(6 * operation[0]), np.zeros((1, 1))
        slope, bend = np.array([6 * (self.count - mean), 0.0]), np.diag([36 * mean, 0.0])
        return Block(none, slope, np.ones((1, 1, 1)), np.zeros((1, 1, 2)), bend, np.zeros((0, 1, 1)))


def test_counts_far_above_the_usual_are_found_and_not_overshot(three: Records) -> None:
    """A whole Newton step goes to a log count of six millions, and no part of it by halves comes near 14."""
    plain = apiaries(three)[0]
    place = OneCount("A", replace(plain.hives, splits=()), [], np.zeros(1), np.zeros((1, 1)))
    with hands() as here:
        found = mode(here.hold([Climb(place)]), 1)
    best = optimize.minimize_scalar(lambda z: 0.5 * z**2 - place.value(np.array([z])), (2, 2.3, 3))
    assert found.settled
    assert found.operation[0] == pytest.approx(best.x, abs=1e-3)


def test_standing_still_before_a_long_step_is_not_rest(three: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = apiaries(three)[0]
    place = OneCount("A", replace(plain.hives, splits=()), [], np.zeros(1), np.zeros((1, 1)))
    monkeypatch.setattr(modes, "LEAST_SCALE", 2.0)  # so that no step is short enough
    with hands() as here:
        assert not mode(here.hold([Climb(place)]), 1).settled


@pytest.mark.parametrize(
    "counts",
    [
        pytest.param(boards("A", "A0", ("2025-07-15", 60, 7)), marks=pytest.mark.long),
        [wash("2025-07-20", "A0", 9), *boards("A", "A0", ("2025-09-30", 30, 7))],
    ],
    ids=["one board", "a wash, and a board with the dead of a treatment"],
)
def test_draws_agree_with_plain_importance_sampling(counts: list[dict[str, Any]]) -> None:
    """Independent: 100,000 draws from before the counts, weighed by how likely they make the counts."""
    given = records({"A": 1}, colonies=colonies(1), counts=counts, treatments=series("A", date(2025, 9, 1), 3))
    place, at = apiaries(given)[0], (JULY, SEPTEMBER, DECEMBER)
    before = prior(place, np.random.default_rng(5), 100_000)
    logs = place.log_likelihood(before[:, 0], np.zeros(len(before), dtype=np.int64))
    weights = np.exp(logs - logs.max())
    assert weights.sum() ** 2 / (weights**2).sum() > 1000
    wanted, got = log_mites(place, before, at)[:, 0], log_mites(place, drawn(place, 1500), at)[:, 0]
    for k in range(len(at)):
        order = np.argsort(wanted[:, k])
        points = np.interp([0.05, 0.5, 0.95], np.cumsum(weights[order]) / weights.sum(), wanted[order, k])
        width = points[2] - points[0]
        assert np.quantile(got[:, k], [0.05, 0.5, 0.95]) == pytest.approx(points, abs=0.08 * width)


@pytest.mark.long
def test_truth_ranks_evenly_among_the_draws_on_seasons_of_its_own_making(three: Records) -> None:
    """Simulation-based calibration (Talts et al. 2018): ranks of the true load are even; 40 seasons."""
    ranks = ranks_of_truth(apiaries(three)[0], (JULY, SEPTEMBER, DECEMBER), 40, key=77)
    assert all(fifths_are_even(ranks[:, :, day]) for day in range(3))
    print("mean rank", np.mean(ranks), "in the 90 % band", np.mean((ranks > 0.05) & (ranks < 0.95)))


@pytest.mark.parametrize(("low", "high", "least", "most"), [(0, 0, -99, -1), (21, np.inf, 1, 99), (1, 20, -0.6, 0.6)])
def test_a_word_pulls_towards_its_interval(low: float, high: float, least: float, most: float) -> None:
    """An expected count of 8 is pulled down by none, up by many, and left alone by few."""
    look = Look("board", 10, 3, 1.0, low, high, 0.2, date(2025, 7, 1), "board")
    slope, information = sight([look]).lean(np.log([8.0]), np.array([5.0]))
    assert least < slope[0] < most
    assert information[0] >= 0


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


def test_the_same_draws_come_whatever_the_number_of_threads(three: Records) -> None:
    table = rounds(three)
    one, two = (read_season(three, table, seed=3, jobs=jobs).readings["A"] for jobs in (1, 2))
    assert (one.parameters == two.parameters).all()
    assert (one.mites == two.mites).all()


def test_a_count_that_fits_nothing_is_named() -> None:
    counts = boards("A", "A0", *[(f"2025-0{m}-10", n, 7) for m, n in ((5, 8), (6, 14), (7, 6000), (8, 45))])
    counts += boards("A", "A1", *[(f"2025-0{m}-10", n, 7) for m, n in ((5, 8), (6, 14), (7, 25), (8, 45))])
    given = records({"A": 2}, colonies=colonies(2), counts=counts)
    trust = read_season(given, rounds(given), seed=1).readings["A"].trust
    assert ("2025-07-10", "A0", 6000) in [(row["date"], row["colony"], row["found"]) for row in trust["outlying"]]
    assert not [row for row in trust["outlying"] if row["colony"] == "A1"]


@pytest.mark.parametrize("limits", [{"LEAST_ESS": 10_000}, {"LEAST_INSIDE_PCT": 101, "ENOUGH_COUNTS": 3}])
def test_when_sampling_fails_the_counts_are_read_one_by_one_and_it_is_said(
    three: Records, monkeypatch: pytest.MonkeyPatch, limits: dict[str, int]
) -> None:
    for name, value in limits.items():
        monkeypatch.setattr(fit, name, value)
    found = review(three, seed=1)
    assert found.facts["load_method"] == fit.COUNT_BY_COUNT
    assert found.facts["certainty"] == "rough"
    assert [one["method"] for one in found.facts["trust"]] == [fit.COUNT_BY_COUNT]
    loads, counts = found.tables["loads"], found.tables["readings"]
    told = counts[(counts["colony"] == "A0") & counts["mites_p50"].notna()].iloc[0]
    row = loads[(loads["colony"] == "A0") & (loads["date"] == told["date"])].iloc[0]
    assert row["mites_p50"] == pytest.approx(told["mites_p50"], rel=0.2)


def test_an_apiary_whose_counts_fit_nothing_does_not_take_the_others_along() -> None:
    days = [f"2025-{month:02d}-20" for month in (4, 5, 6, 7, 8, 9, 10, 12)]
    usual, odd = (5, 10, 25, 70, 120, 40, 20, 3), (1, 100_000, 0, 50_000, 0, 99_999, 1, 80_000)
    counts = [
        row
        for name, found in (("A", usual), ("B", usual), ("C", odd))
        for hive in range(2)
        for row in boards(name, f"{name}{hive}", *[(day, n, 7) for day, n in zip(days, found, strict=True)])
    ]
    hives = [{"colony": f"{name}{hive}", "apiary": name} for name in "ABC" for hive in range(2)]
    given = records(dict.fromkeys("ABC", 2), colonies=hives, counts=counts)
    there = read_season(given, rounds(given), seed=1).readings
    assert [here.method for here in there.values()] == [fit.BY_THE_LAW, fit.BY_THE_LAW, fit.COUNT_BY_COUNT]
    assert there["A"].trust["counts_inside_90_pct"] >= 80


def test_courses_beyond_the_shelf_are_run_again_and_come_out_the_same(three: Records) -> None:
    season = read_season(three, rounds(three), seed=1)
    here = season.readings["A"]
    before = here.course
    here.shelf.room = 0
    other = replace(here, apiary="B")
    assert np.array_equal(other.course.mites, before.mites)  # takes the last place on the shelf
    assert list(here.shelf.courses) == ["B"]
    again = here.course
    assert again is not before
    assert np.array_equal(again.mites, before.mites)
