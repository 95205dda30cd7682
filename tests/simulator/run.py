"""Many days of many colonies: the plan of a season in, the true story out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from tests.simulator import fate, kills
from tests.simulator import phenology as year
from tests.simulator.hives import Day, State, Traits, empty, settle, split_off, step, swarm_off

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Change:
    """A colony that comes, swarms or goes: `kind` split (into `child`), swarm, gone."""

    day: int
    kind: str
    lane: int
    child: int = -1
    share: float = 0.4


@dataclass(frozen=True)
class Story:
    """All that is settled before the mites are let loose.

    `mites` at the start and `late_lanes` (lanes empty until a split fills them) by lane; `pauses` are laying
    breaks (lane, from day, to day).
    """

    start: date
    days: int
    traits: Traits
    mites: Ints
    rounds: Sequence[kills.Round] = ()
    changes: Sequence[Change] = ()
    pauses: Sequence[tuple[int, int, int]] = ()
    late_lanes: frozenset[int] = frozenset()
    keep_alive: bool = False

    def day_of(self, when: date) -> int:
        return (when - self.start).days

    def date_of(self, day: int) -> date:
        return self.start + timedelta(days=day)


@dataclass
class Track:
    """What was true at the end of each day; arrays of shape (lanes, days)."""

    mites: Ints
    on_bees: Ints
    bees: Ints
    capped: Ints
    fallen: Ints
    eggs: Floats
    infested_share: dict[int, Floats] = field(default_factory=dict)
    deaths: list[fate.Death] = field(default_factory=list)
    by_treatment: Mapping[str, kills.Hazards] = field(default_factory=dict)
    whole: kills.Hazards | None = None
    at: dict[int, State] = field(default_factory=dict)


def run(story: Story, rng: np.random.Generator, keep: frozenset[int] = frozenset()) -> Track:
    """Let the story happen. `keep` are days whose starting state is kept, for branches."""
    lanes, days = len(story.mites), story.days
    by_treatment = kills.hazards(story.rounds, lanes, days, rng)
    whole = kills.total(by_treatment, lanes, days)
    grids = (np.zeros((lanes, days), dtype=np.int64) for _ in range(5))
    track = Track(*grids, eggs=_laying(story, rng), by_treatment=by_treatment, whole=whole)
    state = _first(story, rng)
    for day in range(days):
        if day in keep:
            track.at[day] = state.copy()
        _change(story, state, day, track, rng)
        today = _today(story, track.eggs, whole, day)
        track.fallen[:, day] = step(state, today, story.traits, rng)
        _note(track, state, day)
    return track


def _first(story: Story, rng: np.random.Generator) -> State:
    start_doy = float(story.start.timetuple().tm_yday)
    state = settle(story.traits, story.mites, 0, start_doy, rng)
    waiting = np.zeros(len(story.mites), dtype=bool)
    waiting[sorted(story.late_lanes)] = True
    state.clear(waiting)
    return state


def _laying(story: Story, rng: np.random.Generator) -> Floats:
    """Eggs per day by lane: the year's curve, slow noise of the colony, breaks in laying."""
    traits, lanes = story.traits, len(story.mites)
    doy = np.array([story.date_of(d).timetuple().tm_yday for d in range(story.days)], dtype=float)
    noise = np.zeros((lanes, story.days))
    level = first_level(lanes, rng)
    for day in range(story.days):
        level = next_level(level, rng)
        noise[:, day] = level
    eggs = year.eggs_per_day(doy[None, :] - traits.shift_days[:, None]) * traits.strength[:, None] * np.exp(noise)
    for lane, first, last in story.pauses:
        eggs[lane, max(first, 0) : max(last, 0)] = 0.0
    return eggs


def first_level(lanes: int, rng: np.random.Generator) -> Floats:
    """Log factors on laying before the first day."""
    return rng.normal(0.0, 0.12, lanes)


def next_level(level: Floats, rng: np.random.Generator) -> Floats:
    """The same a day later."""
    return 0.97 * level + rng.normal(0.0, 0.03, len(level))


def _today(story: Story, eggs: Floats, whole: kills.Hazards, day: int) -> Day:
    doy = float(story.date_of(day).timetuple().tm_yday)
    return Day(day, doy, eggs[:, day], whole.acid[:, day], whole.slow[:, day], whole.cells[:, day])


def _change(story: Story, state: State, day: int, track: Track, rng: np.random.Generator) -> None:
    when = story.date_of(day)
    if (when.month, when.day) == (7, 19):
        state.winter_cells[:] = 0.0
        state.winter_infested[:] = 0.0
    if (when.month, when.day) == (10, 12):
        share = state.winter_infested / np.maximum(state.winter_cells, 1.0)
        track.infested_share[when.year] = share
        if not story.keep_alive:
            track.deaths += fate.deaths(state.alive, share, day, rng)
    if not story.keep_alive:
        track.deaths += fate.collapses(state, day, when, rng)
    for one in story.changes:
        if one.day == day and state.alive[one.lane]:
            _apply(state, one, rng)
    gone = [d.lane for d in track.deaths if d.day == day]
    if gone:
        mask = np.zeros(len(state.alive), dtype=bool)
        mask[gone] = True
        state.clear(mask)


def _apply(state: State, one: Change, rng: np.random.Generator) -> None:
    if one.kind == "split":
        split_off(state, one.lane, one.child, one.share, rng)
    elif one.kind == "swarm":
        swarm_off(state, one.lane, one.share, rng)
    elif one.kind == "gone":
        mask = np.zeros(len(state.alive), dtype=bool)
        mask[one.lane] = True
        state.clear(mask)
    else:
        raise ValueError(f"unknown change {one.kind!r}")


def _note(track: Track, state: State, day: int) -> None:
    track.mites[:, day] = state.mites
    track.on_bees[:, day] = state.on_bees
    track.bees[:, day] = state.bees
    track.capped[:, day] = state.capped


__all__ = ["Change", "State", "Story", "Track", "empty", "run"]
