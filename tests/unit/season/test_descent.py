"""A hive split off in the season holds its share of the mites of the hive it was split from."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from scipy import optimize

from kit.constants import bees
from kit.held import hands
from kit.records.records import Records
from kit.season.posterior.climb import Climb
from kit.season.posterior.descent import Birth, Split, births, splits
from kit.season.posterior.hives import operation_size
from kit.season.posterior.mode import mode
from kit.season.posterior.place import Place
from kit.season.units import units
from tests.unit.season.by_the_law import apiaries, drawn, fifths_are_even, log_mites, prior, ranks_of_truth
from tests.unit.season.sheets import boards, records, series

ON = date(2025, 6, 1)
BEFORE, AFTER, LATE = 60, 63, 150
"""Days of the season: a day before the split, a day after, late August."""


def split(part: str, whole: str, on: date = ON) -> dict[str, Any]:
    return {"date": on, "kind": "split", "from": whole, "to": part, "hives": 1}


def stay(colony: str, since: date | None = None, apiary: str = "A") -> dict[str, Any]:
    return {"colony": colony, "apiary": apiary} | ({"from": since} if since else {})


def parted(**tables: list[dict[str, Any]]) -> Records:
    given: dict[str, Any] = {"colonies": [stay("OLD"), stay("NEW", ON)], "events": [split("NEW", "OLD")]}
    return records({"A": 2}, **(given | tables))


def unit(place: Place, colony: str) -> int:
    return [one.colony for one in place.hives.units].index(colony)


def test_its_mites_on_the_day_are_the_splits_share_of_those_of_the_whole() -> None:
    """40 % of bees and brood, and of the mites with them, go (assumed: `kit.constants.bees.SPLIT_PCT`)."""
    place = apiaries(parted())[0]
    old, new = unit(place, "OLD"), unit(place, "NEW")
    logs = log_mites(place, place.hives.centre[None], (BEFORE, AFTER))[0]
    share = bees.SPLIT_PCT.value / 100
    assert logs[old, 0] == pytest.approx(logs[new, 0])
    assert np.exp(logs[new, 1] - logs[new, 0]) == pytest.approx(share, rel=0.15)
    assert np.exp(logs[old, 1] - logs[old, 0]) == pytest.approx(1 - share, rel=0.15)


@pytest.mark.parametrize(("fell", "more"), [(4, False), (160, True)])
def test_a_count_of_the_whole_tells_of_the_part_nobody_counted(fell: int, more: bool) -> None:
    place = apiaries(parted(counts=boards("A", "OLD", ("2025-05-28", fell, 7))))[0]
    new = unit(place, "NEW")
    told = log_mites(place, drawn(place, 200), [AFTER])[:, new, 0]
    untold = log_mites(place, prior(place, np.random.default_rng(3), 2000), [AFTER])[:, new, 0]
    assert (np.median(told) > np.median(untold)) == more
    assert np.std(told) < 0.6 * np.std(untold)


def test_a_count_of_the_part_tells_of_the_whole_nobody_counted() -> None:
    few, many = (apiaries(parted(counts=boards("A", "NEW", ("2025-06-20", fell, 7))))[0] for fell in (2, 90))
    old = unit(few, "OLD")
    assert np.median(log_mites(many, drawn(many, 200), [BEFORE])[:, old]) > 1 + np.median(
        log_mites(few, drawn(few, 200), [BEFORE])[:, old]
    )


@pytest.fixture(scope="module")
def counted() -> Place:
    """Both counted, a third hive beside them, and rounds before and after the split."""
    given = records(
        {"A": 3},
        colonies=[stay("OLD"), stay("NEW", ON), stay("OTHER")],
        events=[split("NEW", "OLD")],
        counts=[
            *boards("A", "OLD", ("2025-05-10", 9, 7), ("2025-08-10", 80, 7)),
            *boards("A", "NEW", ("2025-07-20", 25, 7)),
            *boards("A", "OTHER", ("2025-07-20", 60, 7)),
        ],
        treatments=[*series("A", date(2025, 4, 20), 1), *series("A", date(2025, 8, 25), 1)],
    )
    return apiaries(given)[0]


def test_the_mode_is_where_a_general_optimiser_stops(counted: Place) -> None:
    """Independent: L-BFGS-B of scipy on the same probability, from where ours stopped."""
    size = operation_size(counted.hives.words)
    with hands() as here:
        found = mode(here.hold([Climb(counted)]), size)
        (there,) = found.climbs.each(lambda climb: climb.place)
    assert found.settled
    rest = np.concatenate([found.operation, there.shared, there.own.ravel()])

    def worse(z: np.ndarray) -> float:
        own = z[size + counted.hives.size :].reshape(counted.own.shape)
        moved = counted.moved(z[size : size + counted.hives.size], own)
        return 0.5 * float(z[:size] @ z[:size]) - moved.value(z[:size])

    best = optimize.minimize(worse, rest, method="L-BFGS-B", options={"maxiter": 8})
    assert worse(rest) - best.fun < 0.1


def test_draws_agree_with_plain_importance_sampling() -> None:
    """Independent: 60,000 draws from before the counts, weighed by how likely they make the counts."""
    counts = [*boards("A", "OLD", ("2025-05-28", 20, 7)), *boards("A", "NEW", ("2025-08-10", 20, 7))]
    place, at = apiaries(parted(counts=counts))[0], (BEFORE, LATE)
    before = prior(place, np.random.default_rng(5), 60_000)
    logs = sum(
        place.log_likelihood(before[:, n], np.full(len(before), n, dtype=np.int64)) for n in range(len(place.own))
    )
    weights = np.exp(logs - np.max(logs))
    assert weights.sum() ** 2 / (weights**2).sum() > 1000
    wanted, got = log_mites(place, before, at), log_mites(place, drawn(place, 600), at)
    for hive, day in np.ndindex(wanted.shape[1:]):
        order = np.argsort(wanted[:, hive, day])
        points = np.interp([0.05, 0.5, 0.95], np.cumsum(weights[order]) / weights.sum(), wanted[order, hive, day])
        near = 0.1 * (points[2] - points[0])
        assert np.quantile(got[:, hive, day], [0.05, 0.5, 0.95]) == pytest.approx(points, abs=near)


@pytest.mark.long
def test_truth_ranks_evenly_among_the_draws_on_seasons_of_its_own_making(counted: Place) -> None:
    """Simulation-based calibration (Talts et al. 2018): ranks of the true load are even; 30 seasons."""
    ranks = ranks_of_truth(counted, (BEFORE, LATE), 30, key=78)
    assert all(fifths_are_even(ranks[:, :, day]) for day in range(2))


def test_a_round_before_the_split_reached_the_part_in_the_whole(counted: Place) -> None:
    spring, autumn = counted.hives.given
    new = unit(counted, "NEW")
    assert spring.share[new] == autumn.share[new] == 1
    only_new = parted(treatments=series("A", date(2025, 4, 20), 1, colonies="OLD"))
    place = apiaries(only_new)[0]
    assert list(place.hives.given[0].share) == [1, 1]


def test_a_colony_that_stood_there_before_is_no_child_of_a_split() -> None:
    given = parted(colonies=[stay("OLD"), stay("NEW")])
    assert births(given, units(given)) == {}


def test_a_part_of_a_part_goes_back_to_the_first_and_each_leaving_counts() -> None:
    later = date(2025, 7, 1)
    given = parted(
        colonies=[stay("OLD"), stay("NEW", ON), stay("NEWER", later)],
        events=[split("NEW", "OLD"), split("NEWER", "NEW", later)],
    )
    place = apiaries(given)[0]
    old, new, newer = (unit(place, colony) for colony in ("OLD", "NEW", "NEWER"))
    assert set(place.hives.splits) == {Split(new, old, ON), Split(newer, old, later)}
    just_after = log_mites(place, place.hives.centre[None], [93])[0, :, 0]
    assert np.exp(just_after[newer] - just_after[new]) == pytest.approx(40 / 60, rel=0.15)


def test_two_colonies_written_as_split_from_each_other_are_read_all_the_same() -> None:
    given = parted(colonies=[stay("OLD", ON), stay("NEW", ON)], events=[split("NEW", "OLD"), split("OLD", "NEW")])
    born = births(given, units(given))
    assert born == {"NEW": Birth("OLD", ON), "OLD": Birth("NEW", ON)}
    assert splits(born, units(given)) == ()
    assert len(apiaries(given)[0].hives.units) >= 2


def test_a_part_taken_to_another_apiary_has_its_share_of_bees_and_its_own_mites() -> None:
    given = parted(colonies=[stay("OLD"), stay("NEW", ON, "B")])
    home, away = (next(p for p in apiaries(given) if p.apiary == name) for name in "AB")
    assert home.hives.splits == away.hives.splits == ()
    just_before, just_after = (log_mites(away, away.hives.centre[None], [day])[0, 0, 0] for day in (BEFORE, AFTER))
    assert np.exp(just_after - just_before) == pytest.approx(bees.SPLIT_PCT.value / 100, rel=0.15)
