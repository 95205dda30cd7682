"""Lanes (one colony each) and the law of one day, in whole mites.

A mite on a bee enters a cell with daily hazard (0.56 W + 6.49 D)/B (Boot et al. 1995; W, D cells capped that
day, B bees in g). It leaves 12 or 15 days later with its viable daughters, fewer for each when foundresses
share a cell; about 30 % of those leaving fall. Mites on bees die at 0.6 % a day with brood, 0.3 % without.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from tests.simulator import phenology as year

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FALL_DAYS = 28
TAIL = 0.84 ** np.arange(20)
ACID_FALL = np.array([0.03, 0.07, 0.16, 0.18, 0.14, 0.10, 0.07, 0.05, *(0.2 * TAIL / TAIL.sum())])
"""When the killed fall: most on days 2-4, about 80 % in a week, the tail to four weeks (state advisers)."""
SLOW_FALL = np.array([0.25, 0.35, 0.2, 0.1, 0.06, 0.04, *np.zeros(22)])
CELL_FALL = np.array([0.0, *np.full(12, 1 / 12), *np.zeros(15)])
CROWDING = 0.7  # daughters for each of k foundresses in a cell go as k to the minus this
BEES_PER_G = 8.0


@dataclass(frozen=True)
class Traits:
    """What differs from colony to colony; each an array of shape (lanes,)."""

    strength: Floats  # laying against the ordinary colony
    shift_days: Floats  # bee year early (-) or late (+)
    invasion: Floats  # factor on the hazard of entering cells
    growth: Floats  # factor on fertility
    reinvasion: Floats  # mites drifting in per day at the season's mean
    board_share: Floats  # of the fallen that lie on the board when it is read
    dispersion: Floats  # size of the gamma noise on a board, larger is quieter

    def take(self, lanes: Ints) -> Traits:
        return Traits(*(getattr(self, f.name)[lanes] for f in fields(self)))


def draw_traits(rng: np.random.Generator, reinvasion: Floats) -> Traits:
    """Traits for as many lanes as `reinvasion` (mean mites per day, by lane) is long."""
    n = len(reinvasion)
    return Traits(
        strength=rng.lognormal(0.0, 0.16, n),
        shift_days=rng.normal(0.0, 6.0, n),
        invasion=rng.lognormal(0.0, 0.12, n),
        growth=rng.lognormal(0.0, 0.12, n),
        reinvasion=reinvasion * rng.lognormal(0.0, 0.5, n),
        board_share=rng.beta(18, 3, n),
        dispersion=rng.gamma(6.0, 2.5, n) + 2.0,
    )


@dataclass
class State:
    """Everything alive at the end of a day; the first axis is the lane."""

    alive: NDArray[np.bool_]
    on_bees: Ints
    worker_mites: Ints  # (lanes, 12) by slot of the day capped
    worker_cells: Ints
    drone_mites: Ints  # (lanes, 15)
    drone_cells: Ints
    open_worker: Ints  # (lanes, 9) laid, by slot
    open_drone: Ints  # (lanes, 10)
    summer_bees: Ints
    winter_bees: Ints
    hurt_bees: Ints  # winter bees raised in infested cells
    due: Ints  # (lanes, 28) dead that will fall, by slot
    wander: Floats  # log of the slow wander of growth
    winter_cells: Floats  # winter bees raised this autumn
    winter_infested: Floats  # of them in infested cells

    def copy(self) -> State:
        return State(**{f.name: getattr(self, f.name).copy() for f in fields(self)})

    def take(self, lanes: Ints) -> State:
        return State(**{f.name: getattr(self, f.name)[lanes] for f in fields(self)})

    @property
    def bees(self) -> Ints:
        return self.summer_bees + self.winter_bees + self.hurt_bees

    @property
    def mites(self) -> Ints:
        return self.on_bees + self.worker_mites.sum(1) + self.drone_mites.sum(1)

    @property
    def capped(self) -> Ints:
        return self.worker_cells.sum(1) + self.drone_cells.sum(1)

    def clear(self, lanes: NDArray[np.bool_]) -> None:
        for f in fields(self):
            getattr(self, f.name)[lanes] = 0


def empty(lanes: int) -> State:
    """Lanes without bees."""
    widths = {"worker_mites": 12, "worker_cells": 12, "drone_mites": 15, "drone_cells": 15}
    widths |= {"open_worker": 9, "open_drone": 10, "due": FALL_DAYS}
    real = {"wander", "winter_cells", "winter_infested"}
    made: dict[str, NDArray[np.generic]] = {}
    for f in fields(State):
        kind = bool if f.name == "alive" else float if f.name in real else np.int64
        made[f.name] = np.zeros((lanes, widths[f.name]) if f.name in widths else lanes, dtype=kind)
    return State(**made)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Day:
    """What the day brings to each lane: shape (lanes,), or numbers."""

    index: int
    day_of_year: float
    eggs: Floats
    acid: Floats  # hazard of mites on bees, from acid vapour or syrup
    slow: Floats  # the same from strips, thymol, formic acid
    cells: Floats  # hazard of mites in capped cells


def step(s: State, today: Day, traits: Traits, rng: np.random.Generator) -> Ints:
    """Move every lane on by a day, in place; mites fallen on the floor that day, shape (lanes,)."""
    fallen = _emerge(s, today, traits, rng)
    fallen += _treat(s, today, rng)
    _enter_cells(s, today, traits, rng)
    natural = rng.binomial(s.on_bees, np.where(s.capped > 300, 0.006, 0.003))
    s.on_bees -= natural
    s.on_bees += _drift_in(s, today, traits, rng)
    _bees_die(s, today, rng)
    s.wander = 0.985 * s.wander + rng.normal(0.0, 0.03, len(s.alive))
    return fallen + natural


def _emerge(s: State, today: Day, traits: Traits, rng: np.random.Generator) -> Ints:
    yields = year.fertility(np.array(today.day_of_year)) * traits.growth * np.exp(s.wander)
    w, d = today.index % 12, today.index % 15
    out_w = _offspring(s.worker_mites[:, w], s.worker_cells[:, w], np.minimum(yields, 1.95), 2, rng)
    out_d = _offspring(s.drone_mites[:, d], s.drone_cells[:, d], np.minimum(2.3 * yields, 3.9), 4, rng)
    fallen = rng.binomial(out_w + out_d, 0.3)
    s.on_bees += out_w + out_d - fallen
    _new_bees(s, today, w, rng)
    for mites, cells, slot in ((s.worker_mites, s.worker_cells, w), (s.drone_mites, s.drone_cells, d)):
        mites[:, slot] = 0
        cells[:, slot] = 0
    return fallen


def _offspring(mothers: Ints, cells: Ints, lone: Floats, most: int, rng: np.random.Generator) -> Ints:
    """Mothers and viable daughters out of one day's cells; each mother has Poisson companions in her cell."""
    mean = mothers / np.maximum(cells, 1)
    together = np.arange(6)
    weights = np.exp(-mean)[:, None] * mean[:, None] ** together / np.array([1, 1, 2, 6, 24, 120])
    weights[:, 5] = np.maximum(1 - weights[:, :5].sum(1), 0.0)
    by_companions = rng.multinomial(mothers, weights / weights.sum(1, keepdims=True))
    chance = lone[:, None] * (1.0 + together) ** -CROWDING / most
    return mothers + rng.binomial(most * by_companions, np.minimum(chance, 1.0)).sum(1)


def _new_bees(s: State, today: Day, slot: int, rng: np.random.Generator) -> None:
    born = s.worker_cells[:, slot]
    long_lived = rng.binomial(born, float(year.winter_bee_share(np.array(today.day_of_year))))
    infested = 1 - np.exp(-s.worker_mites[:, slot] / np.maximum(born, 1))
    hurt = rng.binomial(long_lived, infested)
    s.summer_bees += born - long_lived
    s.winter_bees += long_lived - hurt
    s.hurt_bees += hurt
    if today.day_of_year > 200:
        s.winter_cells += long_lived
        s.winter_infested += hurt


def _treat(s: State, today: Day, rng: np.random.Generator) -> Ints:
    """Kill on bees and in cells; the dead are due on the floor over the next weeks."""
    slot = today.index % FALL_DAYS
    hazard = today.acid + today.slow
    if hazard.any():
        dead = rng.binomial(s.on_bees, 1 - np.exp(-hazard))
        s.on_bees -= dead
        by_acid = rng.binomial(dead, today.acid / np.maximum(hazard, 1e-12))
        s.due += np.roll(rng.multinomial(by_acid, ACID_FALL), slot, axis=1)
        s.due += np.roll(rng.multinomial(dead - by_acid, SLOW_FALL), slot, axis=1)
    if today.cells.any():
        chance = 1 - np.exp(-today.cells)[:, None]
        gone_w, gone_d = rng.binomial(s.worker_mites, chance), rng.binomial(s.drone_mites, chance)
        s.worker_mites -= gone_w
        s.drone_mites -= gone_d
        s.due += np.roll(rng.multinomial(gone_w.sum(1) + gone_d.sum(1), CELL_FALL), slot, axis=1)
    fallen = s.due[:, slot].copy()
    s.due[:, slot] = 0
    return fallen


def _enter_cells(s: State, today: Day, traits: Traits, rng: np.random.Generator) -> None:
    w9, d10 = today.index % 9, today.index % 10
    capped_w = rng.binomial(s.open_worker[:, w9], year.BROOD_SURVIVAL)
    capped_d = rng.binomial(s.open_drone[:, d10], year.BROOD_SURVIVAL)
    grams = np.maximum(s.bees, 200) / BEES_PER_G
    to_w, to_d = 0.56 * capped_w / grams, 6.49 * capped_d / grams
    hazard = traits.invasion * (to_w + to_d)
    entering = rng.binomial(s.on_bees, 1 - np.exp(-hazard))
    drones = rng.binomial(entering, to_d / np.maximum(to_w + to_d, 1e-12))
    s.on_bees -= entering
    w, d = today.index % 12, today.index % 15
    s.worker_mites[:, w], s.worker_cells[:, w] = entering - drones, capped_w
    s.drone_mites[:, d], s.drone_cells[:, d] = drones, capped_d
    eggs = rng.poisson(np.minimum(today.eggs, 0.1 * s.bees) * s.alive)
    s.open_drone[:, d10] = rng.binomial(eggs, float(year.drone_share(np.array(today.day_of_year))))
    s.open_worker[:, w9] = eggs - s.open_drone[:, d10]


def _drift_in(s: State, today: Day, traits: Traits, rng: np.random.Generator) -> Ints:
    """Mites brought in come in bursts: a gamma on the day's rate makes the day's number overdispersed."""
    mean = traits.reinvasion * float(year.reinvasion_shape(np.array(today.day_of_year)))
    return rng.poisson(mean * rng.gamma(0.35, 1 / 0.35, len(mean))) * s.alive


def _bees_die(s: State, today: Day, rng: np.random.Generator) -> None:
    doy = np.array(today.day_of_year)
    worn = float(year.winter_bee_loss(doy))
    s.summer_bees -= rng.binomial(s.summer_bees, float(year.summer_bee_loss(doy)))
    s.winter_bees -= rng.binomial(s.winter_bees, worn)
    s.hurt_bees -= rng.binomial(s.hurt_bees, min(1.0, worn + 0.012))


def settle(traits: Traits, mites: Ints, day: int, day_of_year: float, rng: np.random.Generator) -> State:
    """Colonies in late winter: bees, the brood of the laying curve, and all mites on bees."""
    s = empty(len(mites))
    s.alive[:] = True
    s.on_bees[:] = mites
    s.winter_bees[:] = (10_500 * traits.strength).astype(np.int64)
    for back in range(21, 0, -1):
        eggs = year.eggs_per_day(np.array(day_of_year - back) - traits.shift_days) * traits.strength
        if back <= 9:
            s.open_worker[:, (day - back) % 9] = rng.poisson(eggs)
        else:
            s.worker_cells[:, (day - back + 9) % 12] = rng.poisson(year.BROOD_SURVIVAL * eggs)
    return s


def split_off(s: State, parent: int, child: int, share: float, rng: np.random.Generator) -> None:
    """Move a share of the parent's bees, mites and capped cells into an empty lane."""
    s.alive[child] = True
    for name in ("on_bees", "summer_bees", "winter_bees", "hurt_bees"):
        whole = getattr(s, name)
        moved = rng.binomial(whole[parent], share)
        whole[parent] -= moved
        whole[child] = moved
    for name in ("worker_mites", "worker_cells", "drone_mites", "drone_cells"):
        whole = getattr(s, name)
        moved = rng.binomial(whole[parent], share)
        whole[parent] -= moved
        whole[child] = moved


def swarm_off(s: State, lane: int, share: float, rng: np.random.Generator) -> None:
    """Bees and the mites on them leave with the swarm."""
    for name in ("on_bees", "summer_bees", "winter_bees"):
        whole = getattr(s, name)
        whole[lane] -= rng.binomial(whole[lane], share)
