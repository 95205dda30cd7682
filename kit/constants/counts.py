"""Numbers that turn counted mites into mites in the colony."""

from kit.constants.constant import Constant

# Handbook factors: daily drop on a board times the factor = mites in the colony.
FACTOR_SUMMER = Constant(
    30, "days", 12, 75, "managing_varroa", "measured", "second-hand",
    "May to August; Martin 1998 gives 20-40 with brood. The range is one count's factor of 2-3 either way.",
)  # fmt: skip
FACTOR_SPRING_AUTUMN = Constant(
    100, "days", 40, 250, "managing_varroa", "measured", "second-hand", "March, April, September, October."
)
FACTOR_WINTER = Constant(
    400, "days", 160, 1000, "managing_varroa", "measured", "second-hand",
    "November to February; Martin 1998 gives 250-500 without brood.",
)  # fmt: skip
FACTOR_SPREAD = Constant(
    2.5, "1", 2, 3, "martin1998", "measured", "second-hand",
    "One board reading is good to this factor either way; taken as its 5 and 95 % points.",
)  # fmt: skip
PART_BOARD_SD = Constant(
    9.5,
    "%",
    0,
    15,
    "ostiguy2000",
    "measured",
    "read",
    "Scatter of a third of the board against the whole: 0.4 ± 9.5 %.",
)
MANY_SPAN = Constant(
    10, "1", 4, 20, "assumed", "assumed", "memory", "The word 'many' is read as few_max to this many times few_max."
)

# Drop per day above which trouble is likely this season; never 'fine' below. One edition of the leaflet.
TROUBLE_WINTER_SPRING = Constant(0.5, "mites/day", 0.25, 9, "managing_varroa", "measured", "second-hand")
TROUBLE_MAY = Constant(6, "mites/day", 3, 9, "managing_varroa", "measured", "second-hand")
TROUBLE_JUNE = Constant(10, "mites/day", 5, 15, "managing_varroa", "measured", "second-hand")
TROUBLE_JULY = Constant(16, "mites/day", 9, 24, "managing_varroa", "measured", "second-hand")
TROUBLE_AUGUST = Constant(33, "mites/day", 9, 50, "managing_varroa", "measured", "second-hand")
TROUBLE_SEPTEMBER = Constant(20, "mites/day", 9, 30, "managing_varroa", "measured", "second-hand")
TROUBLE_OCTOBER_NOVEMBER = Constant(
    5,
    "mites/day",
    2.5,
    7.5,
    "state_advisers",
    "measured",
    "read",
    "Extra treatment above it; another source than the rest.",
)
TROUBLE_MITES = Constant(
    1000, "mites", 500, 2000, "managing_varroa", "measured", "second-hand", "Keep a full colony under about this many."
)

# Washes: share of the mites on the bees in the jar that the method finds.
RECOVERY_ALCOHOL_WASH = Constant(
    92, "%", 85, 97, "beebook", "measured", "memory", "The standard methods' worked example finds 10 of 11 in one wash."
)
RECOVERY_SUGAR_ROLL = Constant(
    75, "%", 55, 93, "assumed", "assumed", "memory",
    "In the field; laboratory jars gave 92.9 ± 5.5 % (macedo2002), taken as the upper end.",
)  # fmt: skip
RECOVERY_CO2 = Constant(67, "%", 50, 85, "assumed", "assumed", "memory")
SAMPLE_BEES = Constant(300, "bees", 250, 350, "lee2010", "measured", "read", "About 100 ml of bees.")
