"""How far hives stray from the usual year of the law of the mites: spreads between operations, apiaries and colonies.

Each is a standard deviation of natural logarithms, but for the shift of the season in days. They are what a count of
the season is weighed against; three counted hives inform the twenty beside them through the first two.
"""

from kit.constants.constant import Constant


def _spread(value: float, note: str = "", unit: str = "1") -> Constant:
    return Constant(value, unit, value / 2, value * 2, "assumed", "assumed", "memory", note)


START_OPERATION, START_APIARY = _spread(0.6, "mites at the start; the three make 5-300"), _spread(0.6)
START_COLONY = _spread(0.9)
SPLIT_MITES = _spread(0.3, "share of the mites that goes with a split, against that of the bees and brood")
GROWTH_OPERATION, GROWTH_APIARY = _spread(0.12, "daughters of the law, all year"), _spread(0.07)
GROWTH_COLONY = _spread(0.12)
WANDER_OPERATION, WANDER_APIARY = _spread(0.13, "daughters in one month: the law's seasons"), _spread(0.1)
WANDER_COLONY = _spread(0.22)
REINVASION_OPERATION, REINVASION_APIARY = _spread(0.5, "mites carried in"), _spread(0.5)
REINVASION_COLONY = _spread(0.5)
STRENGTH_OPERATION, STRENGTH_APIARY = _spread(0.22, "bees and brood together: hive, stock and country"), _spread(0.06)
STRENGTH_COLONY = _spread(0.18)
BEES_OPERATION = _spread(0.2, "adult bees against the usual of one part of the year")
BEES_APIARY, BEES_COLONY = _spread(0.04), _spread(0.1)
COLD_BEES_OPERATION = _spread(0.35, "the same from October to March")
COLD_BEES_APIARY, COLD_BEES_COLONY = _spread(0.06), _spread(0.13)
BROOD_OPERATION, BROOD_APIARY = _spread(0.1, "brood against the bees, all year"), _spread(0.04)
BROOD_COLONY = _spread(0.1)
SPRING_BROOD_OPERATION, SPRING_BROOD_APIARY = _spread(0.4, "brood of March and April"), _spread(0.08)
SPRING_BROOD_COLONY = _spread(0.15)
LATE_BROOD_OPERATION, LATE_BROOD_APIARY = _spread(0.5, "brood of October"), _spread(0.1)
LATE_BROOD_COLONY = _spread(0.2)
WINTER_BROOD_OPERATION, WINTER_BROOD_APIARY = _spread(0.8, "brood of November to February"), _spread(0.15)
WINTER_BROOD_COLONY = _spread(0.3)
DRONES_OPERATION = _spread(0.4, "drone cells, by what they catch")
SHIFT_OPERATION, SHIFT_APIARY = _spread(5, "the season later or earlier", "days"), _spread(2, "", "days")
SHIFT_COLONY = _spread(6, "", "days")
DROP_OPERATION = _spread(
    0.3, "drop factor: fallen that lie on the board against the law's; ants, grease, a gap beside it"
)
DROP_APIARY = _spread(0.04)
DROP_COLONY = _spread(0.12)
SEASON_DROP_OPERATION = _spread(0.18, "the same in one part of the year against summer")
SEASON_DROP_APIARY, SEASON_DROP_COLONY = _spread(0.08), _spread(0.08)
FRAME_OPERATION, FRAME_APIARY = _spread(0.2, "bees on a frame, and one person's eye"), _spread(0.04)
FRAME_COLONY = _spread(0.05)
BROOD_FRAME_OPERATION, BROOD_FRAME_APIARY = _spread(0.25, "capped cells on a frame of brood"), _spread(0.04)
BROOD_FRAME_COLONY = _spread(0.05)
BOARD_SCATTER_OPERATION, BOARD_SCATTER_APIARY = _spread(0.5, "own scatter of boards, against the usual"), _spread(0.2)
SAMPLE_SCATTER_OPERATION, SAMPLE_SCATTER_APIARY = _spread(0.5, "the same of samples of bees"), _spread(0.2)
RECOVERY_OPERATION = _spread(0.1, "share of the mites on a sample that is found")
INVADE_OPERATION, INVADE_COLONY = _spread(0.12, "hazard of entering cells"), _spread(0.1)
FALL_OPERATION = _spread(0.2, "share of the mites leaving a cell that falls")
DRONE_FALL_OPERATION = _spread(0.4, "the same of a drone cell")
DEATH_SUMMER_OPERATION = _spread(0.2, "daily death of mites on bees in season")
DEATH_WINTER_OPERATION, DEATH_WINTER_COLONY = _spread(0.2, "the same in winter"), _spread(0.05)
CROWDING_OPERATION = _spread(0.4, "loss of daughters where mites share a cell")
COLD_DAUGHTERS_OPERATION = _spread(0.3, "daughters in winter")
DEAD_FALL_OPERATION = _spread(0.15, "pace at which a treatment's dead come down")
LINGERING_OPERATION = _spread(0.3, "share of them that lingers")

KILL_WORD = _spread(0.35, "hazard of a treatment's kill: one farmer's way with one word")
KILL_ROUND, KILL_HIVE = _spread(0.2, "one round at one apiary"), _spread(0.3, "one hive in one round")
SUBLIMATION_KILL_WORD = Constant(
    0.2, "1", 0.1, 0.4, "toufailia2015", "derived", "memory",
    "the same of sublimation behind a good seal: trials without brood found 93 to 97.6 % at 1.1 g and more, hazards of "
    "2.7 to 3.7, which is 0.13; a farmer's hand is less even than a trial's",
)  # fmt: skip
SEAL_UNSAID_KILL = _spread(0.3, "the same where no seal is written: it may have been any")
SEAL_FAIR_KILL = _spread(0.15, "the same behind a fair seal: what one farmer calls fair")
SEAL_POOR_KILL = _spread(0.5, "the same behind a poor seal")
RESIDUE_WORD = _spread(0.4, "days a residue stays active")
CELLS_WORD = _spread(0.4, "kill in capped cells")

BROOD_FRAME_CELLS = Constant(
    2600, "cells", 1500, 4000, "imdorf2008", "derived", "second-hand",
    "capped cells for each frame called brood: 3,200 worker cells a side, three fifths capped, seldom full",
)  # fmt: skip
FALLING = Constant(
    26, "%", 15, 32, "martin1998", "derived", "second-hand",
    "of the mites leaving a worker cell: between about 30 measured and the law's 23 that gives the drop factors seen",
)  # fmt: skip
DRONE_FALLING = Constant(
    17, "%", 5, 30, "lobb1997", "derived", "read",
    "of the mites leaving a drone cell: between a third of that of worker cells and the same",
)  # fmt: skip
MILD_EGGS = tuple(
    Constant(value, "1/d", low, high, "assumed", "assumed", "memory", "by month, a maritime year with late brood")
    for value, low, high in (
        (20, 3, 60), (200, 30, 300), (500, 200, 700), (1000, 700, 1200), (1500, 1200, 1700), (1600, 1300, 1900),
        (1300, 1000, 1600), (900, 700, 1200), (500, 400, 700), (150, 30, 250), (20, 3, 60), (5, 2, 20),
    )
)  # fmt: skip
"""The reading takes laying between this and the law's default, month by month: nobody knows which holds."""
DRONE_SHARE = Constant(0.035, "1", 0.02, 0.06, "assumed", "assumed", "memory", "of the cells, at the season's height")

AUTUMN_BEES = Constant(
    138, "%", 100, 150, "avitabile1978", "derived", "second-hand", "20,800 in November against the law's 15,000"
)
WINTER_BEES = Constant(
    124, "%", 105, 140, "delaplane1999", "derived", "read", "12,600-13,500 in February against the law's 10,500"
)
ON_BOARD = Constant(88, "%", 70, 100, "assumed", "assumed", "memory", "of the fallen that lie on the board when read")
STRAY_MITES = Constant(0.05, "mites", 0, 0.3, "assumed", "assumed", "memory", "in any count, from nowhere")
BOARD_NOISE = Constant(
    0.28, "1", 0.2, 0.6, "assumed", "assumed", "memory",
    "overdispersion of a board beyond chance that no care takes away, and what the law itself misses; "
    "set so that kills of simulated seasons hold their bands (seeds 501-504)",
)  # fmt: skip
OWN_BOARD_NOISE = Constant(
    0.15, "1", 0.05, 0.6, "assumed", "assumed", "memory", "on top of it: one farmer's way with boards"
)
WASH_NOISE = Constant(
    0.28, "1", 0.2, 0.5, "assumed", "assumed", "memory",
    "overdispersion of a sample beyond chance that no care takes away, and what the law itself misses",
)  # fmt: skip
OWN_WASH_NOISE = Constant(0.17, "1", 0.05, 0.6, "assumed", "assumed", "memory", "on top of it: one farmer's way")
MOST_OWN_NOISE = Constant(
    0.4, "1", 0.3, 0.8, "assumed", "assumed", "memory", "the same at the most; what scatters by more is a wrong count"
)
WRONG_COUNTS = Constant(
    0.02, "1", 0.005, 0.05, "assumed", "assumed", "memory",
    "share of the counts and looks that are wrong: a zero too many, another hive's tray, a swarm nobody saw",
)  # fmt: skip
WRONG_NOISE = Constant(1.5, "1", 1.0, 2.5, "assumed", "assumed", "memory", "how far off a wrong one may be")
BREAK_BOARD_NOISE = Constant(
    0.8, "1", 0.4, 1.2, "assumed", "assumed", "memory",
    "of a board while a queen is raised: laying begins 20 to 30 days on, and a few days decide whether brood opens",
)  # fmt: skip
BREAK_SAMPLE_NOISE = Constant(0.5, "1", 0.2, 0.8, "assumed", "assumed", "memory", "the same of a sample of bees")
BROOD_FRAME_NOISE = Constant(0.28, "1", 0.15, 0.5, "assumed", "assumed", "memory", "one look at the brood frames")
FRAME_NOISE = Constant(0.22, "1", 0.1, 0.4, "assumed", "assumed", "memory", "one look at the frames covered with bees")
LUCK_OF_FEW = Constant(
    1.5, "1", 1, 3, "assumed", "assumed", "memory",
    "variance of the mites of one colony by births and deaths alone, against their mean",
)  # fmt: skip
