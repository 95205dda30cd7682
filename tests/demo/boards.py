"""Which boards lay where, and what stood on them when they were read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tests.demo import year
from tests.demo.places import LANES
from tests.demo.world import World


@dataclass(frozen=True)
class Board:
    """One tray read: the hive's lane, the days it lay, the mites on it."""

    apiary: str
    read: date
    days: int
    lane: int
    mites: int

    @property
    def colony(self) -> str:
        return LANES[self.lane].colony


def _spans() -> list[tuple[str, date, date]]:
    """(apiary, trays in, trays read) of every set of trays, in time."""
    found = [(a, first, year.ROUNDS_2024[1][a]) for a, first in year.ROUNDS_2024[0].items() if a in ("HOME", "TERN")]
    found += [(a, first, year.JULY_READ_2025[a]) for a, first in year.JULY_IN_2025.items()]
    for apiary, first in year.TRAYS_IN_2025.items():
        reads = [rounds[apiary] for rounds in year.ROUNDS_2025]
        reads += [year.FOLLOW_2025[apiary]] if apiary in year.FOLLOW_2025 else []
        found += list(zip([apiary] * len(reads), [first, *reads[:-1]], reads, strict=True))
    found += [(a, first, year.LOOK_2026[a]) for a, first in year.TRAYS_FEB_IN.items()]
    return found


def boards(world: World, hives: int = 3) -> list[Board]:
    """Trays at the first standing hives of each counted apiary; a hive that dies meanwhile is not read."""
    made = []
    for apiary, first, read in _spans():
        alive = set(world.standing(apiary, read))
        lanes = [lane for lane in world.standing(apiary, first)[:hives] if lane in alive]
        days = (read - first).days
        made += [Board(apiary, read, days, lane, world.board(lane, read, days)) for lane in lanes]
    return made


def as_word(mites: int) -> str:
    """Mites as a keeper in a hurry writes them."""
    return "none" if mites == 0 else "few" if mites <= 20 else "many"
