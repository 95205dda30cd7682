"""What a keeper counts: boards and washes, with more scatter than sampling alone."""

from __future__ import annotations

import numpy as np

from tests.simulator.hives import Traits
from tests.simulator.run import Track

CLUMPED = 9.0  # size of the gamma noise on the share of mites among the bees of one frame
WASH_RECOVERY = {"alcohol wash": (0.91, 40.0), "sugar roll": (0.75, 18.0), "co2": (0.68, 12.0)}


def board(track: Track, traits: Traits, lane: int, read: int, days: int, rng: np.random.Generator) -> int:
    """Mites on a board read on day `read` after lying `days` days (drop of read-days … read-1)."""
    fell = int(track.fallen[lane, max(read - days, 0) : read].sum())
    noise = rng.gamma(traits.dispersion[lane], 1 / traits.dispersion[lane])
    return int(rng.poisson(fell * traits.board_share[lane] * noise))


def wash(track: Track, lane: int, day: int, bees: int, method: str, rng: np.random.Generator) -> int:
    """Mites found in a sample of `bees` bees taken on a day; bees of one frame share more than chance."""
    recovery, size = WASH_RECOVERY[method]
    rate = min(track.on_bees[lane, day] / max(track.bees[lane, day], 1), 0.9)
    clumped = rng.gamma(CLUMPED, rate / CLUMPED) if rate > 0 else 0.0
    share = rng.beta(recovery * size, (1 - recovery) * size)
    return int(rng.binomial(bees, min(clumped * share, 1.0)))
