"""Treatments as daily hazards of death, varying by round, hive and seal.

Sublimation without brood kills about 95 % on bees at 2.25 g (Al Toufailia et al. 2015; Coffey & Breen 2016),
spread here over the day and four fading days; strips, thymol and formic acid act while they lie in the hive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FADING = np.array([1.61, 0.69, 0.36, 0.16, 0.05])  # hazards of the day of vapour and the four after
SEAL = {"good": 1.0, "fair": 0.8, "poor": 0.3, "": 0.95}
ROUND_LUCK, HIVE_LUCK, LIKING = 0.12, 0.25, 0.15
"""Spread of the log hazard: of a round, of a hive in a round, of a hive in every treatment alike."""
SLOW = {  # hazard per day on bees, per day in cells, days it lasts at most
    "amitraz strips": (0.21, 0.0, 56),
    "pyrethroid strips": (0.06, 0.0, 56),
    "thymol": (0.2, 0.0, 28),
    "formic acid": (0.18, 0.09, 12),
}


@dataclass(frozen=True)
class Round:
    """One round, or one placing of a slow treatment, given to some lanes."""

    treatment: str
    treatment_id: str
    lanes: tuple[int, ...]
    day: int
    removed: int | None = None
    dose: float = 2.0  # g of crystals
    seal: str = ""
    weather: float = 1.0  # factor for cold or wind


@dataclass(frozen=True)
class Hazards:
    """Daily hazards by lane, each of shape (lanes, days)."""

    acid: Floats
    slow: Floats
    cells: Floats

    def without(self, other: Hazards) -> Hazards:
        pairs = ((self.acid, other.acid), (self.slow, other.slow), (self.cells, other.cells))
        return Hazards(*(np.maximum(mine - theirs, 0.0) for mine, theirs in pairs))

    def take(self, lanes: Ints) -> Hazards:
        return Hazards(self.acid[lanes], self.slow[lanes], self.cells[lanes])


def none(lanes: int, days: int) -> Hazards:
    return Hazards(*(np.zeros((lanes, days)) for _ in range(3)))


def hazards(rounds: Sequence[Round], lanes: int, days: int, rng: np.random.Generator) -> dict[str, Hazards]:
    """The hazards of each treatment by its id; every round and hive has its own luck.

    Luck is drawn for every lane, given the round or not, so that leaving a hive out changes no other hive.
    """
    made: dict[str, Hazards] = {}
    liking = rng.lognormal(0.0, LIKING, lanes)  # some hives take every treatment better than others
    for one in sorted(rounds, key=lambda r: (r.day, r.treatment_id, r.lanes)):
        own = made.setdefault(one.treatment_id, none(lanes, days))
        where = np.array(one.lanes, dtype=np.int64)
        luck = rng.lognormal(0.0, ROUND_LUCK) * (rng.lognormal(0.0, HIVE_LUCK, lanes) * liking)[where]
        give(own, one, where, luck)
    return made


def give(own: Hazards, one: Round, where: Ints, luck: Floats) -> None:
    """Add the hazards of a round to lanes `where`, each by its luck, a factor of shape (len(where),)."""
    if one.treatment == "oxalic sublimation":
        _add(own.acid, where, one.day, luck[:, None] * _vapour(one) * FADING)
    elif one.treatment == "oxalic trickle":
        _add(own.acid, where, one.day, luck[:, None] * np.array([1.2, 0.7, 0.4, 0.2]))
    else:
        _lay_in(own, one, where, luck)


def total(made: dict[str, Hazards], lanes: int, days: int) -> Hazards:
    """All treatments together."""
    whole = none(lanes, days)
    for one in made.values():
        whole.acid[:] += one.acid
        whole.slow[:] += one.slow
        whole.cells[:] += one.cells
    return whole


def _vapour(one: Round) -> float:
    dose = 1.0 if one.dose >= 1.1 else max(one.dose, 0.0) / 1.1
    return dose * SEAL[one.seal] * one.weather


def _lay_in(own: Hazards, one: Round, where: Ints, luck: Floats) -> None:
    on_bees, in_cells, longest = SLOW[one.treatment]
    end = one.day + longest if one.removed is None else min(one.removed, one.day + longest)
    length = max(end - one.day, 0)
    rise = np.minimum(1.0, (np.arange(length) + 1) / 3) * 0.5 ** (np.arange(length) / 45)
    _add(own.slow, where, one.day, luck[:, None] * on_bees * one.weather * rise)
    _add(own.cells, where, one.day, luck[:, None] * in_cells * one.weather * rise)


def _add(into: Floats, where: Ints, day: int, rows: Floats) -> None:
    first, last = max(day, 0), min(day + rows.shape[1], into.shape[1])
    if last > first:
        into[where, first:last] += rows[:, first - day : last - day]
