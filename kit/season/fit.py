"""The season read from its records: every apiary's draws by the law, or count by count where sampling failed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.held import Hands, hands
from kit.season.posterior.bees import bees
from kit.season.posterior.carried import log_factor, usual_draws
from kit.season.posterior.climb import Climb
from kit.season.posterior.descent import births, handed_down, splits
from kit.season.posterior.draws import DRAWS, Drawn, packed, sample, unpacked
from kit.season.posterior.evidence import sights
from kit.season.posterior.given import given, rounds_of
from kit.season.posterior.hives import Hives, operation_size
from kit.season.posterior.mode import Mode, mode
from kit.season.posterior.place import Place
from kit.season.posterior.trust import trust
from kit.season.reading import Reading, Season, Shelf
from kit.season.readings import readings
from kit.season.remembered import Remembered, remembered, year_before
from kit.season.rounds import rounds as rounds_in
from kit.season.units import COLONY, apiaries, last_day, units
from kit.season.usual import Array, Usual, usual_year
from kit.workers import map_ordered

if TYPE_CHECKING:
    from kit.records.records import Records

BY_THE_LAW = "law of the mites fitted to all counts together"
COUNT_BY_COUNT = "count by count by the handbook"
LEAST_ESS = 40
"""With fewer draws that have forgotten their start, an apiary's sampling has failed."""
LEAST_INSIDE_PCT, ENOUGH_COUNTS = 50, 10
"""So has it when, of so many counts or more, fewer lie in their 90 % bands: the law did not find them."""


Arrays = Mapping[str, NDArray[Any]]
Keep = Callable[[object, Callable[[], Arrays]], Arrays]
"""Gives what the work makes of the values given: works it out, or knows it from an earlier time."""


def afresh(_: object, work: Callable[[], Arrays]) -> Arrays:
    """Worked out each time."""
    return work()


def read_season(
    records: Records, rounds: pd.DataFrame, *, seed: int, jobs: int = 1, cluster: str = "", keep: Keep = afresh
) -> Season:
    """Read all apiaries together, after the season before where something was counted in it.

    Parameters
    ----------
    records : Records
        What the sheets say.
    rounds : DataFrame
        The table of `kit.season.rounds.rounds`.
    seed : int
        Of the draws.
    jobs, cluster : int, str
        Threads here, or the address of a cluster that draws in their place; they change nothing but the time.
    keep : callable
        Knows draws of the same hives and counts from an earlier time.

    Raises
    ------
    CannotGoOnError
        When the cluster cannot be used.
    """
    usual = usual_year(records.season.start, (records.season.end - records.season.start).days + 1)
    before = _before(records, seed=seed, jobs=jobs, cluster=cluster, keep=keep)
    found = places(records, rounds, usual, before)
    size = operation_size(found[0].hives.words) if found else 0
    with hands(jobs=jobs, cluster=cluster) as at:
        drawn = unpacked(keep((found, size, seed), lambda: packed(_sampled(found, size, seed, at))))
    pairs = zip(found, drawn, strict=True)
    shelf = Shelf()
    by_law = map_ordered(lambda pair: _read(records, usual, pair, seed, shelf), pairs, jobs=jobs)
    read = [
        here if here is not None else _carried(records, rounds, (usual, shelf), place, seed)
        for here, place in zip(by_law, found, strict=True)
    ]
    by_name = {here.apiary: here for here in read}
    everyone = [unit for place in found for unit in place.hives.units if unit.scope == COLONY]
    in_order = {name: by_name[name] for name in apiaries(records, everyone) if name in by_name}
    return Season(usual, in_order, before.label if before else None)


def _before(records: Records, **how: Any) -> Remembered | None:
    """What the season before left, itself read after the one before it."""
    then = year_before(records)
    return remembered(then, read_season(then, rounds_in(then), **how)) if then else None


def places(
    records: Records, rounds: pd.DataFrame, usual: Usual, before: Remembered | None = None
) -> list[Place]:  # fmt: skip
    """Every apiary at the usual year with what was seen of its hives, in the order of their names."""
    everyone = units(records)
    by_apiary = {name: [u for u in everyone if u.apiary == name] for name in sorted({u.apiary for u in everyone})}
    born = births(records, everyone)
    parted = {name: splits(born, mine) for name, mine in by_apiary.items()}
    doses = {
        name: handed_down(given(records, rounds_of(rounds, mine), mine, usual.end), parted[name])
        for name, mine in by_apiary.items()
    }
    words = sorted({one.treatment for mine in doses.values() for one in mine})
    found = []
    for name, mine in by_apiary.items():
        flown = bees(records, born, mine, doses[name], usual.start, usual.days)
        left = before.left(mine, usual.start) if before else None
        hives = Hives(usual.start, usual.days, mine, doses[name], words, flown, parted[name], left)
        found.append(Place.at_rest(name, hives, sights(records, mine, usual.start)))
    return found


def _sampled(found: Sequence[Place], size: int, seed: int, at: Hands) -> Sequence[Drawn | None]:
    """Draws of each place; None of one whose likeliest parameters cannot be found."""
    drawn = {
        place.apiary: one
        for group, rest in _rests(found, size, at)
        for place, one in zip(group, sample(rest, seed), strict=True)
    }
    return [drawn.get(place.apiary) for place in found]


def _rests(found: Sequence[Place], size: int, at: Hands) -> list[tuple[Sequence[Place], Mode]]:
    """Places fitted together, and where: all; or, where the counts of one fit nothing, the others; or each apart."""
    rest = _rest(found, size, at)
    if rest:
        return [(found, rest)]
    alone = [([place], _rest([place], size, at)) for place in found]
    fit = [place for (place,), own in alone if own]
    rest = _rest(fit, size, at) if 1 < len(fit) < len(found) else None
    return [(fit, rest)] if rest else [(group, own) for group, own in alone if own]


def _rest(found: Sequence[Place], size: int, at: Hands) -> Mode | None:
    """Where the fit of some places comes to rest; None when it does not."""
    try:
        rest = mode(at.hold([Climb(place) for place in found]), size)
    except np.linalg.LinAlgError:
        return None
    return rest if rest.settled else None


def _read(records: Records, usual: Usual, pair: tuple[Place, Drawn | None], seed: int, shelf: Shelf) -> Reading | None:
    """The reading by the law; None when sampling failed."""
    place, drawn = pair
    last = usual.index(last_day(records))
    told = trust(place, drawn, last) if drawn is not None else {"ess": 0}
    if drawn is None or told["ess"] < LEAST_ESS or _lost(told):
        return None
    told = {"method": BY_THE_LAW, **told}
    return Reading(
        place.apiary, usual, place.hives, drawn.parameters, last, seed, BY_THE_LAW, trust=told, shelf=shelf
    )  # fmt: skip


def _lost(told: Mapping[str, Any]) -> bool:
    return bool(told["counts"] >= ENOUGH_COUNTS and told["counts_inside_90_pct"] < LEAST_INSIDE_PCT)


def _carried(
    records: Records, rounds: pd.DataFrame, of: tuple[Usual, Shelf], place: Place, seed: int
) -> Reading:  # fmt: skip
    """The count-by-count reading, under its own name."""
    usual, shelf = of
    operation = np.random.default_rng([seed, 4]).standard_normal((DRAWS, operation_size(place.hives.words)))
    parameters: Array = usual_draws(place, operation, seed)
    last = usual.index(last_day(records))
    told = {"method": COUNT_BY_COUNT, "apiary": place.apiary, "draws": DRAWS, "ess": None, "counts": None,
            "counts_inside_90_pct": None, "outlying": []}  # fmt: skip
    plain = Reading(place.apiary, usual, place.hives, parameters, last, seed, COUNT_BY_COUNT)
    factor = log_factor(place.hives, readings(records, rounds, usual), plain.law().mites, seed)
    return Reading(place.apiary, usual, place.hives, parameters, last, seed, COUNT_BY_COUNT, factor, told, shelf)
