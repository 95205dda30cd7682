"""Who dies in winter, and of what: mites on the brood that became winter bees first, bad luck beside.

Near certainty when a third or more of the winter bees were raised in infested cells; background causes
together about 8 % (both assumed on the science page).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tests.simulator.hives import State

BACKGROUND = {"queen": 0.033, "starved": 0.022, "small then starved": 0.012, "unknown": 0.008}
DYING_DAYS = {  # days after 12 October: earliest, latest
    "mites": (10, 140),
    "queen": (20, 150),
    "starved": (90, 155),
    "small then starved": (60, 145),
    "unknown": (20, 150),
}


@dataclass(frozen=True)
class Death:
    lane: int
    day: int
    cause: str


def chance_by_mites(infested_share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Chance to die of mites before spring, by the share of winter bees raised in infested cells."""
    share = np.maximum(infested_share, 1e-9)
    return 0.97 / (1 + (0.27 / share) ** 3.2)


def deaths(
    alive: NDArray[np.bool_], infested_share: NDArray[np.float64], day: int, rng: np.random.Generator
) -> list[Death]:
    """Deaths of the coming winter, settled on `day` (12 October)."""
    by_mites = rng.random(len(alive)) < chance_by_mites(infested_share)
    other = rng.random(len(alive))
    when = rng.beta(1.6, 1.6, len(alive))
    found = []
    for lane in np.flatnonzero(alive):
        cause = "mites" if by_mites[lane] else _background(float(other[lane]))
        if cause:
            first, last = DYING_DAYS[cause]
            found.append(Death(int(lane), day + int(first + when[lane] * (last - first)), cause))
    return found


def collapses(state: State, day: int, when: date, rng: np.random.Generator) -> list[Death]:
    """Colonies that go down before winter: from late August, past 35 mites on 100 bees, 3 % a day (assumed)."""
    luck = rng.random(len(state.alive))
    if not (when.month, when.day) >= (8, 20):
        return []
    going = state.alive & (state.on_bees > 0.35 * np.maximum(state.bees, 1)) & (luck < 0.03)
    return [Death(int(lane), day, "mites") for lane in np.flatnonzero(going)]


def _background(chance: float) -> str:
    for cause, share in BACKGROUND.items():
        if chance < share:
            return cause
        chance -= share
    return ""
