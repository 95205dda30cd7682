"""How far a colony may stray from the usual year: spreads with which the season is read."""

from kit.constants.constant import Constant

SPRING_MITES = Constant(40, "mites", 5, 300, "assumed", "assumed", "memory", "Median and 5-95 % on 1 April, no counts.")

# Spreads below are standard deviations of natural logarithms.
SPRING_OPERATION = Constant(
    0.6, "1", 0.3, 1, "assumed", "assumed", "memory", "Share of the spring spread that an operation has in common."
)
SPRING_APIARY = Constant(0.6, "1", 0.3, 1, "assumed", "assumed", "memory", "Share that an apiary has in common.")
SPRING_COLONY = Constant(
    0.9, "1", 0.6, 1.2, "assumed", "assumed", "memory", "Share of each colony; the three make 5-300."
)

GROWTH_OPERATION = Constant(
    0.0025, "1/day", 0.001, 0.004, "martin1998", "derived", "memory", "Doubling in 20-33 days is a rate of 0.021-0.035."
)
GROWTH_APIARY = Constant(0.0015, "1/day", 0.0005, 0.003, "assumed", "assumed", "memory")
GROWTH_COLONY = Constant(0.0025, "1/day", 0.001, 0.004, "assumed", "assumed", "memory")
NOISE_APIARY = Constant(0.15, "1", 0.05, 0.3, "assumed", "assumed", "memory", "A month's growth, apiary by apiary.")
NOISE_COLONY = Constant(0.22, "1", 0.1, 0.4, "assumed", "assumed", "memory", "A month's growth, hive by hive.")

REINVASION = Constant(
    1.0,
    "mites/day",
    0.3,
    3,
    "frey2014",
    "derived",
    "read",
    "72-248 mites in 3.5 months at low colony density is 0.7-2.4 a day; July to October.",
)
REINVASION_OPERATION = Constant(0.5, "1", 0.2, 0.8, "assumed", "assumed", "memory")
REINVASION_APIARY = Constant(
    0.6, "1", 0.4, 1.2, "frey2014", "derived", "read", "266-1,171 at high density: a factor of 4-5 between apiaries."
)
REINVASION_COLONY = Constant(0.5, "1", 0.2, 0.8, "assumed", "assumed", "memory")
REINVASION_REST = Constant(10, "%", 0, 30, "assumed", "assumed", "memory", "Of the autumn rate, in the other months.")

CROWDED_MITES = Constant(
    12_000,
    "mites",
    6_000,
    20_000,
    "assumed",
    "assumed",
    "memory",
    "Growth stops here: cells with several mothers yield few daughters.",
)

ADULTS_OPERATION = Constant(0.2, "1", 0.1, 0.4, "delaplane1999", "derived", "read", "August bees 24,800-33,700.")
ADULTS_APIARY = Constant(0.1, "1", 0.05, 0.3, "assumed", "assumed", "memory")
ADULTS_COLONY = Constant(0.25, "1", 0.15, 0.5, "assumed", "assumed", "memory", "Bees against the usual of the date.")
WINTER_ADULTS_OPERATION = Constant(
    0.35,
    "1",
    0.15,
    0.5,
    "avitabile1978",
    "derived",
    "second-hand",
    "20,800 bees in November against 15,000 of the usual.",
)
WINTER_ADULTS_APIARY = Constant(0.1, "1", 0.05, 0.3, "assumed", "assumed", "memory")
WINTER_ADULTS_COLONY = Constant(0.2, "1", 0.1, 0.4, "assumed", "assumed", "memory")

WINTER_ADULTS = Constant(
    120, "%", 100, 140, "avitabile1978", "derived", "second-hand",
    "Winter bees against the usual year's, whose 15,000 in November and 10,000 in February are assumed: measured were "
    "20,800 in November (Avitabile) and 12,600-13,500 in February (Delaplane & Hood).",
)  # fmt: skip
ON_BEES_OPERATION = Constant(
    0.25, "1", 0.1, 0.4, "martin1998", "derived", "second-hand", "65-80 % in brood leaves 20-35 % on bees."
)
ON_BEES_APIARY = Constant(0.1, "1", 0.05, 0.2, "assumed", "assumed", "memory")
ON_BEES_COLONY = Constant(0.15, "1", 0.05, 0.3, "assumed", "assumed", "memory", "Share of the mites on bees, by brood.")

FRAME_BEES = Constant(
    2000, "bees", 1200, 2600, "imdorf2008", "measured", "second-hand", "A frame covered on both sides, larger frames."
)
FRAME_OPERATION = Constant(0.25, "1", 0.1, 0.4, "assumed", "assumed", "memory", "Frame size, and one person's eye.")
FRAME_APIARY = Constant(0.05, "1", 0.02, 0.1, "assumed", "assumed", "memory")
FRAME_COLONY = Constant(0.1, "1", 0.05, 0.2, "assumed", "assumed", "memory")
FRAME_SPREAD = Constant(
    0.3, "1", 0.15, 0.5, "assumed", "assumed", "memory", "One look at the frames covered with bees."
)

FALL_OPERATION = Constant(
    0.4, "1", 0.2, 0.6, "martin1998", "derived", "second-hand",
    "The drop factor: 20-40 by one author, 30 in the leaflet, near 45 by the law.",
)  # fmt: skip
FALL_APIARY = Constant(0.1, "1", 0.05, 0.3, "assumed", "assumed", "memory")
FALL_COLONY = Constant(0.15, "1", 0.05, 0.3, "assumed", "assumed", "memory", "Floors and nests differ.")
WINTER_FALL_OPERATION = Constant(
    0.35, "1", 0.2, 0.5, "martin1998", "derived", "second-hand", "The drop factor without brood: 250-500 by one author."
)
WINTER_FALL_APIARY = Constant(0.1, "1", 0.05, 0.3, "assumed", "assumed", "memory")
WINTER_FALL_COLONY = Constant(0.1, "1", 0.05, 0.3, "assumed", "assumed", "memory")
DEAD_OPERATION = Constant(
    0.15, "1", 0.05, 0.3, "assumed", "assumed", "memory", "Of the dead of a treatment, those found."
)
DEAD_APIARY = Constant(0.05, "1", 0.02, 0.1, "assumed", "assumed", "memory")
DEAD_COLONY = Constant(0.1, "1", 0.05, 0.2, "assumed", "assumed", "memory", "Mesh, ants, and what the bees carry out.")

KILL_OPERATION = Constant(
    0.2, "1", 0.1, 0.4, "assumed", "assumed", "memory", "Spreads of log(-log(share left)): one farmer's way of working."
)
KILL_ROUND = Constant(0.4, "1", 0.15, 0.5, "assumed", "assumed", "memory", "One round at one apiary.")
KILL_HIVE = Constant(0.35, "1", 0.1, 0.4, "assumed", "assumed", "memory", "One hive in one round.")

BOARD_SPREAD = Constant(
    0.4, "1", 0.3, 0.7, "martin1998", "derived", "second-hand", "Overdispersion of a board beyond chance."
)
WASH_SPREAD = Constant(
    0.3, "1", 0.2, 0.5, "lee2010", "derived", "memory", "Overdispersion of a sample of bees beyond chance."
)
DEAD_ON_BOARD = Constant(
    90,
    "%",
    70,
    100,
    "assumed",
    "assumed",
    "memory",
    "Of the mites a treatment kills, those that come to lie on the board.",
)
DEAD_IN_WEEK = Constant(
    80,
    "%",
    70,
    90,
    "state_advisers",
    "measured",
    "read",
    "Of the dead of one oxalic round, fallen within a week; most on days 2-4.",
)
DEAD_TAIL_DAYS = Constant(28, "days", 21, 28, "state_advisers", "measured", "read", "The last of them have fallen.")

WINDY = Constant(
    70, "%", 40, 100, "assumed", "assumed", "memory", "Of the kill in calm air, when the wind was breezy or windy."
)

SERIES_GAP_DAYS = Constant(16, "days", 16, 16, "assumed", "defined", "read", "Rounds further apart are two treatments.")
JUDGED_AFTER_DAYS = Constant(
    14, "days", 14, 14, "ema2010", "defined", "read", "Efficacy is judged this long after a treatment's last day."
)
WEAK_SYNTHETIC = Constant(
    90, "%", 70, 95, "ema2010", "label", "read", "Expected of synthetics: 95; weak when likely below this."
)
WEAK_OXALIC = Constant(
    80, "%", 70, 90, "ema2010", "label", "read", "Expected of others than synthetics: 90; weak when below this."
)
FAILED = Constant(
    70, "%", 60, 80, "assumed", "assumed", "second-hand", "Below it reviews speak of resistance or a failed treatment."
)
FAR_SHORT = Constant(
    15,
    "%",
    10,
    20,
    "assumed",
    "assumed",
    "memory",
    "Points below its line at which the middle of a counted kill is weak.",
)
