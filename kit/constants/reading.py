"""What a season is read with where nothing is recorded, and from where a kill counts as weak."""

from kit.constants.constant import Constant

SPRING_MITES = Constant(40, "mites", 5, 300, "assumed", "assumed", "memory", "Median and 5-95 % on 1 April, no counts.")

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
REINVASION_REST = Constant(10, "%", 0, 30, "assumed", "assumed", "memory", "Of the autumn rate, in the other months.")
FRAME_BEES = Constant(
    2000, "bees", 1200, 2600, "imdorf2008", "measured", "second-hand", "A frame covered on both sides, larger frames."
)
DEAD_TAIL_DAYS = Constant(
    28, "days", 21, 28, "state_advisers", "measured", "read", "A round's last dead mites have fallen."
)

WINDY = Constant(
    70, "%", 40, 100, "assumed", "assumed", "memory", "Of the kill in calm air, when the wind was breezy or windy."
)

SERIES_GAP_DAYS = Constant(
    16, "days", 16, 16, "assumed", "defined", "memory", "Rounds further apart are two treatments."
)
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
    70,
    "%",
    60,
    80,
    "beebook",
    "common practice",
    "second-hand",
    "Below it reviews speak of resistance or a failed treatment.",
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
