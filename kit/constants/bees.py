"""Bees: how brood grows up, how many eggs and adults a default year holds, what a bee weighs."""

from kit.constants.constant import Constant

WORKER_UNCAPPED_DAYS = Constant(9, "d", 8.5, 9.5, "winston1987", "measured", "second-hand", "egg 3 d, open cell 6 d")
WORKER_CAPPED_DAYS = Constant(12, "d", 11.5, 12.5, "winston1987", "measured", "second-hand", "21 d from egg to bee")
DRONE_UNCAPPED_DAYS = Constant(
    10, "d", 9.5, 10.5, "winston1987", "measured", "second-hand", "3 + 6.5 d, rounded to whole days"
)
DRONE_CAPPED_DAYS = Constant(14, "d", 14, 15, "winston1987", "measured", "second-hand", "14.5 d, rounded to whole days")
EGG_TO_CAPPED = Constant(
    0.85, "1", 0.75, 0.95, "assumed", "assumed", "memory", "share of eggs that reach a capped cell"
)
BEES_PER_GRAM = Constant(8, "1/g", 7, 9, "assumed", "assumed", "memory", "1 g is about 8 bees")
DRONE_SHARE = Constant(
    0.02,
    "1",
    0.01,
    0.06,
    "assumed",
    "assumed",
    "memory",
    "of all eggs at the height of the season; foundation for workers",
)
BROODLESS_ADULTS = Constant(12_000, "1", 8_000, 16_000, "delaplane1997", "measured", "read", "February 12,600-13,500")
ADULT_DEATH_LOW = Constant(
    0.001, "1/d", 0.0005, 0.002, "assumed", "assumed", "memory", "floor of the daily death of bees"
)
ADULT_DEATH_HIGH = Constant(
    0.08, "1/d", 0.06, 0.12, "assumed", "assumed", "memory", "ceiling of the daily death of bees"
)
CAGED_DAYS = Constant(
    25, "d", 24, 28, "buchler2020", "measured", "read", "queen caged through one brood cycle of drones"
)
MOST_EGGS = Constant(
    0.09, "1/d", 0.06, 0.12, "moeller1961", "assumed", "memory",
    "eggs a day that one bee can see raised, after a split or swarm: the source has only that small colonies raise "
    "most brood for their bees; about nine capped cells for ten bees is assumed",
)  # fmt: skip
SPLIT_PCT = Constant(40, "%", 30, 50, "assumed", "assumed", "memory", "of bees and brood that a split takes")
SWARM_PCT = Constant(50, "%", 40, 70, "common practice", "common practice", "memory", "of the bees that a swarm takes")
QUEENLESS_DAYS = Constant(
    24, "d", 20, 30, "common practice", "common practice", "memory",
    "from losing the queen to the first eggs of one raised from a larva: 12 to hatch, 5 to ripen, 7 to mate and lay",
)  # fmt: skip

_NOTE = "maritime-temperate year, mid-month; few eggs until February, as the handbook's drop factors want"


def _eggs(value: float, low: float, high: float) -> Constant:
    return Constant(value, "1/d", low, high, "assumed", "assumed", "memory", _NOTE)


def _adults(value: float, low: float, high: float) -> Constant:
    return Constant(value, "1", low, high, "assumed", "assumed", "memory", "maritime-temperate year, mid-month")


EGGS_JAN = _eggs(5, 0, 30)
EGGS_FEB = _eggs(35, 10, 200)
EGGS_MAR = _eggs(200, 80, 500)
EGGS_APR = _eggs(700, 400, 1000)
EGGS_MAY = _eggs(1500, 1200, 1800)
EGGS_JUN = _eggs(1600, 1200, 2000)
EGGS_JUL = _eggs(1300, 1000, 1700)
EGGS_AUG = _eggs(900, 600, 1200)
EGGS_SEP = _eggs(420, 250, 700)
EGGS_OCT = _eggs(30, 10, 250)
EGGS_NOV = _eggs(3, 0, 60)
EGGS_DEC = _eggs(2, 0, 20)
EGGS = (
    EGGS_JAN, EGGS_FEB, EGGS_MAR, EGGS_APR, EGGS_MAY, EGGS_JUN,
    EGGS_JUL, EGGS_AUG, EGGS_SEP, EGGS_OCT, EGGS_NOV, EGGS_DEC,
)  # fmt: skip
"""Eggs laid a day in the middle of each month, January first."""

ADULTS_JAN = _adults(11_500, 8_000, 15_000)
ADULTS_FEB = _adults(10_500, 7_000, 14_000)
ADULTS_MAR = _adults(10_000, 7_000, 13_000)
ADULTS_APR = _adults(12_500, 9_000, 17_000)
ADULTS_MAY = _adults(23_000, 17_000, 30_000)
ADULTS_JUN = _adults(37_000, 28_000, 45_000)
ADULTS_JUL = _adults(40_000, 30_000, 48_000)
ADULTS_AUG = _adults(33_000, 24_800, 40_000)
ADULTS_SEP = _adults(25_000, 18_000, 31_000)
ADULTS_OCT = _adults(18_000, 13_000, 24_000)
ADULTS_NOV = _adults(15_000, 11_000, 20_800)
ADULTS_DEC = _adults(13_000, 9_000, 18_000)
ADULTS = (
    ADULTS_JAN, ADULTS_FEB, ADULTS_MAR, ADULTS_APR, ADULTS_MAY, ADULTS_JUN,
    ADULTS_JUL, ADULTS_AUG, ADULTS_SEP, ADULTS_OCT, ADULTS_NOV, ADULTS_DEC,
)  # fmt: skip
"""Adult bees in the middle of each month, January first."""
