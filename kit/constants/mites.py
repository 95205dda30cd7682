"""Mites: how they enter cells, multiply, fall and die."""

from kit.constants.constant import Constant

INVADE_WORKER_G = Constant(
    0.559,
    "g/cell",
    0.45,
    0.68,
    "boot1995",
    "derived",
    "read",
    "6.48 / 11.6; 0.56 in Calis, Fries & Ryrie 1999 (memory)",
)
INVADE_DRONE_G = Constant(
    6.48, "g/cell", 5.2, 7.8, "boot1995", "derived", "read", "-ln(0.05) x 1000 g / 462 drone cells"
)
DAUGHTERS_WORKER_SUMMER = Constant(
    0.85, "1", 0.7, 1.2, "martin2001", "fitted", "read",
    "viable, per foundress and cycle: 1.0 measured; 0.85 with 23 % falling gives the growth and the drop factors seen",
)  # fmt: skip
DAUGHTERS_WORKER_WINTER = Constant(
    0.5, "1", 0.3, 0.8, "martin2001", "measured", "read", "viable, per foundress and cycle"
)
DAUGHTERS_DRONE = Constant(2.2, "1", 1.8, 2.6, "beebook", "measured", "second-hand", "reviews give 2.2-2.6")
CROWDING_WORKER = Constant(
    0.3, "1", 0.15, 0.6, "martin1995", "fitted", "memory",
    "daughters per foundress x exp(-c x mites per cell): each further foundress of a cell costs the others this share",
)  # fmt: skip
CROWDING_DRONE = Constant(0.2, "1", 0.1, 0.4, "martin1995", "fitted", "memory", "the same in drone cells")
FALL_WORKER = Constant(
    0.23, "1", 0.15, 0.32, "martin1998", "fitted", "second-hand", "share of the mites leaving a worker cell that falls"
)
FALL_DRONE = Constant(
    0.10,
    "1",
    0.05,
    0.15,
    "lobb1997",
    "derived",
    "read",
    "the fall from worker cells is 2-3 times that from drone cells",
)
DEATH_SUMMER = Constant(0.006, "1/d", 0.004, 0.010, "fries1994", "fitted", "memory", "of mites on bees, in full season")
DEATH_WINTER = Constant(
    0.003, "1/d", 0.002, 0.004, "korpela1992", "derived", "read", "39.8 % lost in 5-6 months is 0.28-0.34 % a day"
)
FULL_SEASON_CELLS = Constant(
    800, "1/d", 500, 1100, "assumed", "assumed", "memory", "worker cells capped a day from which summer rates hold"
)
DEAD_FALL_PER_DAY = Constant(
    0.40, "1/d", 0.3, 0.55, "state_advisers", "derived", "read",
    "two such steps in a row, the second slow for some, drop 80 % of those killed by oxalic acid within a week, "
    "most on days 2-4",
)  # fmt: skip
DEAD_LINGERING = Constant(
    0.20, "1", 0.1, 0.35, "state_advisers", "derived", "read", "of them: the tail runs to 3-4 weeks"
)
LINGERING_FALL_PER_DAY = Constant(
    0.10, "1/d", 0.07, 0.15, "state_advisers", "derived", "read",
    "6 % of all are still to come after a fortnight, 1 % after four weeks",
)  # fmt: skip
STRUCK_FALL_PER_DAY = Constant(
    0.5, "1/d", 0.3, 0.8, "assumed", "assumed", "memory",
    "mites struck by strips or by what evaporates let go soon",
)  # fmt: skip
START_MITES = Constant(40, "1", 5, 300, "assumed", "assumed", "memory", "in spring, lognormal, 5 and 95 % points")
REINVASION_PER_DAY = Constant(
    1.5, "1/d", 0.5, 11, "frey2014", "measured", "read", "72-248 in 3.5 months at low, 266-1,171 at high colony density"
)
