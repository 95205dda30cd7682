"""What may differ from hive to hive, and how much of it operations, apiaries and colonies have in common.

The parameters of a hive, in this order: the named traits, each the logarithm of a factor on what the law of the mites
takes as usual (`START` of mites, `SHIFT` in days); the wander of growth at evenly spaced knots; for each round the log
factor on its hazard. `RESIDUE` and `CELLS` of each treatment word come last.
"""

from __future__ import annotations

from typing import NamedTuple

from kit.constants import Constant, hives

KNOTS = 13
"""Evenly spaced days of the season between which factors run straight: about one a month."""


class Spread(NamedTuple):
    """How much of a trait operations, apiaries and colonies differ by, as standard deviations."""

    operation: float
    apiary: float
    colony: float


NAMES = (
    "START", "GROWTH", "REINVASION", "STRENGTH",
    "BEES_SPRING", "BEES_SUMMER", "BEES_LATE", "BEES_AUTUMN", "BEES_WINTER",
    "BROOD", "SPRING_BROOD", "LATE_BROOD", "WINTER_BROOD", "SHIFT",
    "DROP", "SPRING_DROP", "LATE_DROP", "WINTER_DROP", "FRAME", "BROOD_FRAME",
    "BOARD_SCATTER", "SAMPLE_SCATTER", "RECOVERY", "INVADE", "DRONES", "FALL", "DRONE_FALL",
    "DEATH_SUMMER", "DEATH_WINTER", "CROWDING", "COLD_DAUGHTERS", "DEAD_FALL", "LINGERING",
)  # fmt: skip
(
    START, GROWTH, REINVASION, STRENGTH,
    BEES_SPRING, BEES_SUMMER, BEES_LATE, BEES_AUTUMN, BEES_WINTER,
    BROOD, SPRING_BROOD, LATE_BROOD, WINTER_BROOD, SHIFT,
    DROP, SPRING_DROP, LATE_DROP, WINTER_DROP, FRAME, BROOD_FRAME,
    BOARD_SCATTER, SAMPLE_SCATTER, RECOVERY, INVADE, DRONES, FALL, DRONE_FALL,
    DEATH_SUMMER, DEATH_WINTER, CROWDING, COLD_DAUGHTERS, DEAD_FALL, LINGERING,
) = range(len(NAMES))  # fmt: skip
WANDER = slice(len(NAMES), len(NAMES) + KNOTS)
FIRST_KILL = len(NAMES) + KNOTS
_BY_SEASON = (
    dict.fromkeys(("BEES_SPRING", "BEES_SUMMER", "BEES_LATE"), "BEES")
    | dict.fromkeys(("BEES_AUTUMN", "BEES_WINTER"), "COLD_BEES")
    | dict.fromkeys(("SPRING_DROP", "LATE_DROP", "WINTER_DROP"), "SEASON_DROP")
)


def _of(name: str) -> Spread:
    found = [
        getattr(hives, f"{_BY_SEASON.get(name, name)}_{level}", None) for level in ("OPERATION", "APIARY", "COLONY")
    ]
    return Spread(*(each.value if isinstance(each, Constant) else 0.0 for each in found))


SPREADS = (
    *(_of(name) for name in NAMES),
    *[Spread(hives.WANDER_OPERATION.value, hives.WANDER_APIARY.value, hives.WANDER_COLONY.value)] * KNOTS,
)
"""Of every parameter but the kills."""
KILL = Spread(hives.KILL_WORD.value, hives.KILL_ROUND.value, hives.KILL_HIVE.value)
SUBLIMATION_KILL = hives.SUBLIMATION_KILL_WORD.value
"""Spread between operations of the kill of a sublimation behind a good seal, in place of that of any word."""
SEALS = {"": hives.SEAL_UNSAID_KILL.value, "fair": hives.SEAL_FAIR_KILL.value, "poor": hives.SEAL_POOR_KILL.value}
"""The same, on top of it, behind a seal of this word: one person's "poor"."""
RESIDUE = Spread(hives.RESIDUE_WORD.value, 0.0, 0.0)
CELLS = Spread(hives.CELLS_WORD.value, 0.0, 0.0)
