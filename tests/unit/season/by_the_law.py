"""Small apiaries for tests of the reading: from hand-written records, or imagined by the model itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from kit.calc.mites import simulate_many
from kit.held import hands
from kit.records.records import Records
from kit.season.fit import places
from kit.season.posterior.climb import Climb
from kit.season.posterior.draws import sample
from kit.season.posterior.hives import operation_size
from kit.season.posterior.mode import mode
from kit.season.posterior.place import Place
from kit.season.posterior.sight import Look, Sight
from kit.season.rounds import rounds
from kit.season.usual import usual_year

Array = NDArray[np.float64]


def apiaries(given: Records) -> list[Place]:
    return places(given, rounds(given), usual_year(given.season.start, 365))


def prior(place: Place, rng: np.random.Generator, count: int) -> Array:
    """Parameters (count, units, size) drawn before any count."""
    hives = place.hives
    return place.parameters(
        rng.standard_normal((count, operation_size(hives.words))),
        rng.standard_normal((count, hives.size)),
        rng.standard_normal((count, len(hives.units), hives.size)),
    )


def drawn(place: Place, count: int) -> Array:
    """Draws of the parameters of its hives, by itself, shape (count, units, size)."""
    return drawn_together([place], count)[0]


def drawn_together(operation: Sequence[Place], count: int) -> list[Array]:
    """Draws of the parameters of the hives of apiaries read together, each of shape (count, units, size)."""
    with hands() as here:
        found = mode(here.hold([Climb(place) for place in operation]), operation_size(operation[0].hives.words))
        assert found.settled
        return [one.parameters for one in sample(found, 1, count=count)]


def operation_made_by_the_law(operation: Sequence[Place], rng: np.random.Generator) -> list[tuple[Place, Array]]:
    """The same apiaries in a season that the model makes, each with its true parameters (units, size)."""
    common = rng.standard_normal((1, operation_size(operation[0].hives.words)))
    made = []
    for place in operation:
        hives = place.hives
        shared, own = rng.standard_normal((1, hives.size)), rng.standard_normal((1, len(hives.units), hives.size))
        truth = place.parameters(common, shared, own)[0]
        made.append((imagined(place, truth, rng), truth))
    return made


def ranks_of_truth(place: Place, at: Sequence[int], seasons: int, key: int) -> Array:
    """Share of 100 draws below the true mites of seasons that the model makes, shape (seasons, units, days)."""
    ranks = []
    for seed in range(seasons):
        rng = np.random.default_rng([seed, key])
        truth = prior(place, rng, 1)
        draws = drawn(imagined(place, truth[0], rng), 100)
        ranks.append((log_mites(place, draws, at) < log_mites(place, truth, at)).mean(axis=0))
    return np.array(ranks)


def fifths_are_even(ranks: Array) -> bool:
    """Whether ranks of one day fall evenly into fifths. Hives of a season share luck: as if half of them counted."""
    return bool(stats.chisquare(np.histogram(ranks, bins=5, range=(0, 1))[0] / 2).pvalue > 0.005)


def log_mites(place: Place, parameters: Array, at: Sequence[int]) -> Array:
    """Log mites of each draw and hive on some days, shape (draws, units, days)."""
    count, units, size = parameters.shape
    lanes = place.hives.lanes(parameters.reshape(-1, size), np.tile(np.arange(units), count))
    return np.log(simulate_many(lanes, at=at).total).reshape(count, units, -1)


def imagined(place: Place, parameters: Array, rng: np.random.Generator) -> Place:
    """The same hives, with what they would have shown under some parameters (units, size)."""
    units = np.arange(len(parameters))
    run = place.run(parameters, units)
    sights: list[Sight] = []
    for unit, sight in zip(units, place.sights, strict=True):
        expected = sight.log_expected(place.seen(run, units[[unit]], unit), parameters[[unit]])[0]
        sizes = sight.sizes(parameters[[unit]])[0]
        looks = [_shown(*one, rng) for one in zip(sight.looks, expected, sizes, strict=True)]
        sights.append(replace(sight, looks=looks))
    return replace(place, sights=sights)


def _shown(look: Look, log_mean: float, size: float, rng: np.random.Generator) -> Look:
    if look.kind in ("board", "sample"):
        found = float(rng.poisson(np.exp(log_mean) * rng.gamma(size, 1 / size)))
    else:
        found = float(rng.normal(log_mean, np.sqrt(look.noise)))
    return look._replace(low=found, high=found)
