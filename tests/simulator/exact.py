"""How well a season could be read at all: a particle filter that knows the simulator's own law and spreads.

It sees the same boards, washes and frames, one colony at a time, and lacks only what chance drew. On average no reading
can err less from that colony's records alone, so that the kit's error is judged against this one's.

`python -m tests.simulator.exact "well counted" 7 [PARTICLES]` prints its scores.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import special, stats

from tests.simulator import hives, kills, reading, score, sheets
from tests.simulator import phenology as year
from tests.simulator.hives import State, Traits
from tests.simulator.operations import (
    DRIFT,
    DRIFT_BY_APIARY,
    KINDS,
    SEASON,
    SEASON_END,
    START_BY_APIARY,
    START_BY_HIVE,
    START_MITES,
    Operation,
    operation,
)
from tests.simulator.run import first_level, next_level
from tests.simulator.truth import AFTER_DAYS, Course

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PARTICLES = 4000
BRANCHES = 4
"""Courses without a treatment from each particle, whose mean stands for the mean over all branches."""
WASH_DRAWS = 24
FRESH = 0.5
"""Particles are drawn anew when their weights are worth fewer than this share of them."""
POINTS = {"p05": 0.05, "p50": 0.5, "p95": 0.95}


class Look(NamedTuple):
    """One record of a colony: a `board` (mites, days), a `wash` (mites, bees) or `frames` (of bees, of brood)."""

    kind: str
    first: float
    second: float


class Read(NamedTuple):
    """One colony as the filter reads it: mites and mites per 100 bees (particles, days), kills by treatment id."""

    lane: int
    mites: NDArray[np.float32]
    per_100: NDArray[np.float32]
    kills: Mapping[str, Floats]


class Shape(NamedTuple):
    """Hazards of each round given to a colony for a luck of 1, each of shape (rounds, days), and its treatment."""

    acid: Floats
    slow: Floats
    cells: Floats
    treatment: list[str]

    @classmethod
    def of(cls, rounds: list[kills.Round], days: int) -> Shape:
        made = kills.none(len(rounds), days)
        for n, one in enumerate(rounds):
            kills.give(made, one, np.array([n]), np.ones(1))
        return cls(made.acid, made.slow, made.cells, [one.treatment_id for one in rounds])

    def but(self, treatment: str) -> Shape:
        """Without the rounds of one treatment."""
        kept = np.array([[name != treatment] for name in self.treatment], dtype=float)
        return self._replace(acid=self.acid * kept, slow=self.slow * kept, cells=self.cells * kept)


@dataclass
class Cloud:
    """Ways in which the colony's season may have gone so far; the first axis is the particle."""

    state: State
    traits: Traits
    level: Floats
    luck: Floats  # (particles, rounds)
    mites: NDArray[np.float32]  # (particles, days)
    per_100: NDArray[np.float32]
    fallen: NDArray[np.float32]
    without: dict[str, Floats]  # mean mites on the day a treatment is judged, had it not been given

    @classmethod
    def before(cls, op: Operation, rounds: int, count: int, rng: np.random.Generator) -> Cloud:
        """As colonies are before the first day."""
        start = START_MITES * rng.lognormal(0.0, START_BY_APIARY, count) * rng.lognormal(0.0, START_BY_HIVE, count)
        traits = hives.draw_traits(rng, DRIFT * rng.lognormal(0.0, DRIFT_BY_APIARY, count))
        luck = rng.lognormal(0.0, np.hypot(kills.ROUND_LUCK, kills.HIVE_LUCK), (count, rounds))
        luck *= rng.lognormal(0.0, kills.LIKING, count)[:, None]
        state = hives.settle(traits, start.astype(np.int64), 0, _day_of_year(op, 0), rng)
        mites, per_100, fallen = (np.zeros((count, op.story.days), dtype=np.float32) for _ in range(3))
        return cls(state, traits, first_level(count, rng), luck, mites, per_100, fallen, without={})

    def take(self, which: Ints) -> Cloud:
        """Some of the particles, each as often as it is named."""
        return Cloud(
            state=self.state.take(which),
            traits=self.traits.take(which),
            level=self.level[which],
            luck=self.luck[which],
            mites=self.mites[which],
            per_100=self.per_100[which],
            fallen=self.fallen[which],
            without={name: values[which] for name, values in self.without.items()},
        )

    def step(self, op: Operation, lane: int, day: int, shape: Shape, rng: np.random.Generator) -> None:
        """Move on by a day, in place."""
        for change in op.story.changes:
            if change.day == day and change.lane == lane:
                _part(self.state, change.kind, change.share, rng)
        self.level = next_level(self.level, rng)
        doy = _day_of_year(op, day)
        eggs = year.eggs_per_day(doy - self.traits.shift_days) * self.traits.strength * np.exp(self.level)
        if any(first <= day < last for who, first, last in op.story.pauses if who == lane):
            eggs = np.zeros_like(eggs)
        hazards = (self.luck @ each[:, day] for each in shape[:3])
        self.fallen[:, day] = hives.step(self.state, hives.Day(day, doy, eggs, *hazards), self.traits, rng)
        self.mites[:, day] = self.state.mites
        self.per_100[:, day] = 100 * self.state.on_bees / np.maximum(self.state.bees, 1)

    def branch(self, op: Operation, lane: int, course: Course, shape: Shape, rng: np.random.Generator) -> Floats:
        """Mean mites of each particle on the day a treatment is judged, from branches in which it is not given."""
        count = len(self.level)
        other = replace(self, without={}).take(np.repeat(np.arange(count), BRANCHES))
        read = judged(op, course)
        for day in range(course.first, read + 1):
            other.step(op, lane, day, shape.but(course.treatment_id), rng)
        return np.asarray(other.mites[:, read].reshape(count, BRANCHES).mean(1), dtype=float)


def judged(op: Operation, course: Course) -> int:
    """The day on which a treatment is judged."""
    return min(course.last + AFTER_DAYS, op.story.days - 1)


def read(op: Operation, lane: int, looks: Mapping[int, list[Look]], count: int, rng: np.random.Generator) -> Read:
    """Filter one colony through its season, or to the day it died; `looks` by day."""
    shape = Shape.of([one for one in op.story.rounds if lane in one.lanes], op.story.days)
    courses = [one for one in op.courses if lane in one.lanes]
    cloud, weight = Cloud.before(op, len(shape.treatment), count, rng), np.zeros(count)
    end = min([one.day for one in op.track.deaths if one.lane == lane], default=op.story.days)
    for day in range(end):
        for course in courses:
            if course.first == day and judged(op, course) < end:
                cloud.without[course.treatment_id] = cloud.branch(op, lane, course, shape, rng)
        today = looks.get(day, [])
        weight += sum(log_board(cloud, day, look) for look in today if look.kind == "board")
        cloud.step(op, lane, day, shape, rng)
        weight += sum(_SEEN[look.kind](cloud.state, look, rng) for look in today if look.kind != "board")
        cloud, weight = _fresh(cloud, weight, rng, always=day == end - 1)
    by_treatment = {one.treatment_id: one for one in courses}
    kill = {
        name: 100 * (1 - cloud.mites[:, judged(op, by_treatment[name])] / np.maximum(b, 0.5))
        for name, b in cloud.without.items()
    }
    return Read(lane, cloud.mites[:, :end], cloud.per_100[:, :end], kill)


def log_board(cloud: Cloud, day: int, look: Look) -> Floats:
    """Log chance of a board's mites: Poisson about the fallen that lie there, times a gamma."""
    fell = cloud.fallen[:, max(day - int(look.second), 0) : day].sum(1)
    mean = np.maximum(fell * cloud.traits.board_share, 1e-6)
    size = cloud.traits.dispersion
    return np.asarray(stats.nbinom.logpmf(look.first, size, size / (size + mean)))


def log_wash(state: State, look: Look, rng: np.random.Generator) -> Floats:
    """Log chance of a wash's mites, over draws of the clump and of the share found."""
    recovery, size = reading.WASH_RECOVERY["alcohol wash"]
    rate = np.minimum(state.on_bees / np.maximum(state.bees, 1), 0.9)
    drawn = (len(rate), WASH_DRAWS)
    clump = rng.gamma(reading.CLUMPED, 1 / reading.CLUMPED, drawn)
    share = np.minimum(rate[:, None] * clump * rng.beta(recovery * size, (1 - recovery) * size, drawn), 1.0)
    chance = np.mean(stats.binom.pmf(look.first, look.second, share), axis=1)
    return np.asarray(np.log(np.maximum(chance, 1e-300)))


def log_frames(state: State, look: Look, _: np.random.Generator) -> Floats:
    """Log chance of frames of bees and of brood, to half a frame."""
    half = 0.25 * sheets.BEES_A_FRAME, 0.25 * sheets.CELLS_A_FRAME
    bees = _rounded(look.first * sheets.BEES_A_FRAME, half[0], state.bees, sheets.EYE_BEES)
    brood = _rounded(look.second * sheets.CELLS_A_FRAME, half[1], sheets.BROOD_SEEN * state.capped, sheets.EYE_BROOD)
    return bees + brood


_SEEN = {"wash": log_wash, "frames": log_frames}


def _rounded(seen: float, half: float, true: NDArray[Any], spread: float) -> Floats:
    middle = np.log(np.maximum(true, 1))
    low, high = (special.ndtr((np.log(max(end, 1.0)) - middle) / spread) for end in (seen - half, seen + half))
    return np.asarray(np.log(np.maximum(high - low, 1e-12)))


def _fresh(cloud: Cloud, weight: Floats, rng: np.random.Generator, *, always: bool) -> tuple[Cloud, Floats]:
    """Particles drawn anew by their weights (systematic resampling), when these have become too unequal."""
    count, w = len(weight), np.exp(weight - weight.max())
    if not always and w.sum() ** 2 > FRESH * count * (w**2).sum():
        return cloud, weight
    which = np.searchsorted(np.cumsum(w / w.sum()), (np.arange(count) + rng.random()) / count)
    return cloud.take(np.minimum(which, count - 1)), np.zeros(count)


def _part(state: State, kind: str, share: float, rng: np.random.Generator) -> None:
    """What goes with a split or a swarm goes from every particle."""
    names = ["on_bees", "summer_bees", "winter_bees"]
    if kind == "split":
        names += ["hurt_bees", "worker_mites", "worker_cells", "drone_mites", "drone_cells"]
    for name in names:
        whole = getattr(state, name)
        whole -= rng.binomial(whole, share)


def _day_of_year(op: Operation, day: int) -> float:
    return float(op.story.date_of(day).timetuple().tm_yday)


def looks_of(op: Operation) -> dict[int, dict[int, list[Look]]]:
    """What was written down, by lane and day."""
    lanes = {hive.colony: lane for lane, hive in enumerate(op.hives) if hive.colony}
    found: dict[int, dict[int, list[Look]]] = {lane: {} for lane in lanes.values()}
    written = sheets.sheets(op)
    for row in (*written["counts"], *written["inspections"]):
        if row["colony"] in lanes:
            day = op.day(date.fromisoformat(row["date"]))
            found[lanes[row["colony"]]].setdefault(day, []).append(_look(row))
    return found


def _look(row: Mapping[str, str]) -> Look:
    if "bee_frames" in row:
        return Look("frames", float(row["bee_frames"]), float(row["brood_frames"]))
    if row["method"] == "board":
        return Look("board", float(row["mites"]), float(row["days"]))
    return Look("wash", float(row["mites"]), float(row["bees"]))


def reads(op: Operation, count: int = PARTICLES) -> Iterator[Read]:
    """Every numbered colony that stood from the first day."""
    for lane, looks in looks_of(op).items():
        if op.hives[lane].since is None:
            yield read(op, lane, looks, count, np.random.default_rng([op.seed, 5, lane]))


def tables(op: Operation, count: int = PARTICLES) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Loads, weekly, and kills, with the columns `tests.simulator.score` asks of the kit's."""
    loads, kill = [], []
    for one in reads(op, count):
        loads += list(_loads(op, one))
        kill += list(_kills(op, one))
    return pd.DataFrame(loads), pd.DataFrame(kill)


def _loads(op: Operation, one: Read) -> Iterator[dict[str, object]]:
    hive = op.hives[one.lane]
    for n in range(0, (SEASON_END - SEASON).days + 1, 7):
        day = op.day(SEASON + timedelta(days=n))
        if day < one.mites.shape[1]:
            who = {"date": pd.Timestamp(op.story.date_of(day)), "apiary": hive.apiary, "colony": hive.colony}
            mites, share = (
                _points(name, v[:, day]) for name, v in (("mites", one.mites), ("per_100_bees", one.per_100))
            )
            yield {**who, "scope": "colony", **mites, **share}


def _kills(op: Operation, one: Read) -> Iterator[dict[str, object]]:
    hive = op.hives[one.lane]
    for course in op.courses:
        if course.treatment_id in one.kills:
            who = {"apiary": hive.apiary, "colony": hive.colony, "treatment": sheets._word(op, course.treatment_id)}
            start = pd.Timestamp(op.story.date_of(course.first))
            yield {**who, "start": start, **_points("efficacy", one.kills[course.treatment_id])}


def _points(name: str, values: NDArray[np.floating]) -> dict[str, float]:
    return {f"{name}_{point}": float(np.quantile(values, at)) for point, at in POINTS.items()}


def scored(op: Operation, count: int = PARTICLES) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Scores of loads and of kills, as of `tests.simulator.score`."""
    loads, kill = tables(op, count)
    truth, true_kill = (pd.DataFrame(list(rows)) for rows in (sheets.true_loads(op), sheets.true_efficacy(op)))
    return score.loads(loads, score.typed(truth)), score.efficacy(kill, score.typed(true_kill))


if __name__ == "__main__":
    kind, seed, *more = sys.argv[1:]
    for each in scored(operation(KINDS[kind], int(seed)), *(int(word) for word in more)):
        print(each.round(2).to_string(), "\n")
