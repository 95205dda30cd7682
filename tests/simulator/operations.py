"""Three kinds of operation on which the reading of a season is tried: a seed in, sheets and truth out.

`well counted`: every colony by board each month and washed in summer. `sparse`: two hives of an apiary once or
twice a year, one apiary without numbers. `three trays`: boards at three hives of each apiary, in with a round and
read at the next. Programmes, dates, seals, lateness and drift are drawn afresh for each seed. The season told of as
true is the last; seasons may go before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import product

import numpy as np

from tests.simulator.hives import draw_traits
from tests.simulator.kills import Round
from tests.simulator.run import Change, Story, Track, run
from tests.simulator.truth import Course

SEASON, SEASON_END = date(2025, 4, 1), date(2026, 3, 31)
START_MITES, START_BY_APIARY, START_BY_HIVE = 45.0, 0.5, 0.9
DRIFT, DRIFT_BY_APIARY = 1.2, 0.5
"""Medians of the mites on 1 March and of those drifting in a day, and how their logarithms spread."""


@dataclass(frozen=True)
class Kind:
    """How an operation is counted; dates are month and day of free-standing boards and washes."""

    name: str
    apiaries: int
    hives: int
    boards_on: tuple[tuple[int, int], ...]
    board_hives: int
    washes_on: tuple[tuple[int, int], ...]
    wash_hives: int
    looked_at: int  # hives inspected each time
    looks_on: tuple[tuple[int, int], ...]
    trays_at_rounds: bool
    unnumbered: int = 0  # how many apiaries, from the last, have no numbers


KINDS = {
    kind.name: kind
    for kind in (
        Kind("well counted", 3, 12, ((4, 15), (5, 14), (6, 12), (7, 10), (8, 4), (9, 20), (10, 18), (2, 20)), 12,
             ((7, 12), (9, 2)), 12, 12, ((4, 15), (6, 12), (8, 4), (9, 20)), True),
        Kind("sparse", 4, 12, ((7, 14),), 2, ((8, 2),), 2, 3, ((4, 18),), False, unnumbered=1),
        Kind("three trays", 5, 10, ((4, 12), (7, 12), (9, 25)), 3, (), 0, 3, ((4, 12), (8, 2)), True),
    )
}  # fmt: skip


@dataclass(frozen=True)
class Hive:
    """A lane: its apiary, its colony id (empty without a number), the day it came to be if a split."""

    apiary: str
    colony: str
    since: date | None = None


@dataclass(frozen=True)
class Given:
    """One round or placing at one apiary, as it is written down."""

    apiary: str
    treatment: str
    when: date
    round_no: int
    removed: date | None
    seal: str
    treatment_id: str


@dataclass(frozen=True)
class Operation:
    """One operation after it happened."""

    kind: Kind
    seed: int
    hives: tuple[Hive, ...]
    given: tuple[Given, ...]
    story: Story
    track: Track

    @cached_property
    def apiaries(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(hive.apiary for hive in self.hives))

    def day(self, when: date) -> int:
        return self.story.day_of(when)

    @property
    def years(self) -> range:
        """The years in which its seasons begin."""
        return range(self.story.start.year, SEASON.year + 1)

    def alive(self, apiary: str, when: date) -> list[int]:
        """Lanes of an apiary that live at the end of a day."""
        bees = self.track.bees[:, self.day(when)]
        return [n for n, hive in enumerate(self.hives) if hive.apiary == apiary and bees[n] > 0]

    @cached_property
    def courses(self) -> tuple[Course, ...]:
        return tuple(_courses(self.hives, self.given, self.story))


def operation(kind: Kind, seed: int, *, seasons: int = 1) -> Operation:
    """Draw an operation of a kind and let its seasons happen."""
    years = range(SEASON.year + 1 - seasons, SEASON.year + 1)
    rng = np.random.default_rng([seed, sum(kind.name.encode())])
    names = [f"Y{n + 1}" for n in range(kind.apiaries)]
    splits = {name: SEASON + timedelta(days=int(rng.integers(35, 75))) for name in names}
    hives = tuple(hive for n, name in enumerate(names) for hive in _hives(kind, n, name, splits[name]))
    given = tuple(one for name in names for year in years for one in _programme(name, year, rng))
    story = _story(hives, given, years, rng)
    courses = _courses(hives, given, story)
    keep = frozenset(course.first for course in courses)
    return Operation(kind, seed, hives, given, story, run(story, rng, keep))


def _hives(kind: Kind, n: int, apiary: str, split: date) -> list[Hive]:
    numbered = n < kind.apiaries - kind.unnumbered
    ids = [f"{chr(65 + n)}{k + 1:02d}" if numbered else "" for k in range(kind.hives + 1)]
    return [*(Hive(apiary, one) for one in ids[:-1]), Hive(apiary, ids[-1], split)]


def _programme(apiary: str, year: int, rng: np.random.Generator) -> list[Given]:
    """A late-summer treatment, and rounds of vapour before or in winter."""
    seal = str(rng.choice(["good", "good", "fair", "poor"]))
    main = str(rng.choice(["amitraz strips", "amitraz strips", "thymol", "formic acid", ""]))
    lasts = {"amitraz strips": 46, "thymol": 28, "formic acid": 12, "": 0}[main]
    placed = date(year, 8, 5) + timedelta(days=int(rng.integers(0, 18) + (rng.random() < 0.25) * 20))
    made = []
    if main:
        out = placed + timedelta(days=lasts)
        made.append(Given(apiary, main, placed, 1, out, "", f"{apiary}-{year}-main"))
    first = date(year, 10, 25) + timedelta(days=int(rng.integers(0, 25)))
    gaps = np.cumsum([0, *rng.integers(5, 8, size=int(rng.choice([1, 2, 2])))])
    for n, gap in enumerate(gaps, 1):
        when = first + timedelta(days=int(gap))
        made.append(Given(apiary, "oxalic sublimation", when, n, None, seal, f"{apiary}-{year}-autumn"))
    if rng.random() < 0.4:
        winter = date(year, 12, 22) + timedelta(days=int(rng.integers(0, 20)))
        made.append(Given(apiary, "oxalic sublimation", winter, 1, None, seal, f"{apiary}-{year}-winter"))
    return made


def _story(hives: Sequence[Hive], given: Sequence[Given], years: range, rng: np.random.Generator) -> Story:
    begin = date(years[0], 3, 1)
    names = list(dict.fromkeys(hive.apiary for hive in hives))
    of = np.array([names.index(hive.apiary) for hive in hives])
    drift = rng.lognormal(np.log(DRIFT), DRIFT_BY_APIARY, len(names))[of]
    start = rng.lognormal(np.log(START_MITES), START_BY_APIARY, len(names))[of]
    start *= rng.lognormal(0.0, START_BY_HIVE, len(hives))
    changes, pauses = _changes(hives, years, rng)
    rounds = tuple(_round(hives, one, begin) for one in given)
    late = frozenset(n for n, hive in enumerate(hives) if hive.since)
    traits = draw_traits(rng, drift)
    days = (SEASON_END - begin).days + 1
    return Story(begin, days, traits, start.astype(np.int64), rounds, changes, pauses, late)


def _changes(
    hives: Sequence[Hive], years: range, rng: np.random.Generator
) -> tuple[list[Change], list[tuple[int, int, int]]]:
    begin, changes, pauses = date(years[0], 3, 1), [], []
    for child, hive in enumerate(hives):
        if hive.since is None:
            continue
        day = (hive.since - begin).days
        parent = next(n for n, other in enumerate(hives) if other.apiary == hive.apiary)
        changes.append(Change(day, "split", parent, child))
        pauses.append((child, day, day + int(rng.integers(22, 30))))
    for year, (lane, hive) in product(years, enumerate(hives)):
        if hive.since is None and rng.random() < 0.06:
            day = (date(year, 5, 20) - begin).days + int(rng.integers(0, 40))
            changes.append(Change(day, "swarm", lane, share=0.5))
            pauses.append((lane, day, day + int(rng.integers(18, 26))))
    return changes, pauses


def _round(hives: Sequence[Hive], one: Given, begin: date) -> Round:
    lanes = tuple(n for n, hive in enumerate(hives) if hive.apiary == one.apiary)
    removed = (one.removed - begin).days if one.removed else None
    return Round(one.treatment, one.treatment_id, lanes, (one.when - begin).days, removed, 2.0, one.seal)


def _courses(hives: Sequence[Hive], given: Sequence[Given], story: Story) -> list[Course]:
    made = []
    for name in dict.fromkeys(one.treatment_id for one in given):
        rounds = [one for one in given if one.treatment_id == name]
        lanes = tuple(n for n, hive in enumerate(hives) if hive.apiary == rounds[0].apiary)
        first, last = rounds[0].when, max(one.removed or one.when for one in rounds)
        made.append(Course(name, lanes, story.day_of(first), story.day_of(last)))
    return made
