"""True efficacy: mites 14 days after the last day, against the same colony's mean over branches without it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.simulator.hives import step
from tests.simulator.run import Story, Track, _today

AFTER_DAYS = 14


@dataclass(frozen=True)
class Course:
    """One treatment as given: id, lanes, first day, last day (of vapour, or strips off)."""

    treatment_id: str
    lanes: tuple[int, ...]
    first: int
    last: int


class TrueKill(NamedTuple):
    """`a` as it happened and `b` the mean over branches, mites; by lane of the course."""

    lanes: NDArray[np.int64]
    a: NDArray[np.float64]
    b: NDArray[np.float64]

    @property
    def efficacy_pct(self) -> NDArray[np.float64]:
        return 100 * (1 - self.a / np.maximum(self.b, 1e-9))


def true_kill(story: Story, track: Track, course: Course, branches: int, rng: np.random.Generator) -> TrueKill:
    """Efficacy of a course; `track` must have kept the state of its first day.

    A lane that is not alive on the day read gives NaN. Splits and swarms between are left out of the branches.
    """
    lanes = np.array([x for x in course.lanes if track.at[course.first].alive[x]], dtype=np.int64)
    read = min(course.last + AFTER_DAYS, story.days - 1)
    copies = np.repeat(lanes, branches)
    state, traits = track.at[course.first].take(copies), story.traits.take(copies)
    if track.whole is None:
        raise ValueError("the track holds no hazards")
    left = track.whole.without(track.by_treatment[course.treatment_id]).take(copies)
    eggs = track.eggs[copies]
    for day in range(course.first, read + 1):
        step(state, _today(story, eggs, left, day), traits, rng)
    b = state.mites.reshape(len(lanes), branches).mean(1)
    a = track.mites[lanes, read].astype(float)
    a[track.bees[lanes, read] == 0] = np.nan
    return TrueKill(lanes, a, b)
