"""Treatments: kill by dose, what stays active, what reaches into cells. Kill is of mites on bees unless said."""

from kit.constants.constant import Constant

MAX_DOSE_G = Constant(
    4, "g", 3, 4.5, "assumed", "assumed", "memory", "crystals a hive; beyond it nothing here has a source"
)
WINTER_BEES = Constant(
    12_000, "1", 10_000, 15_000, "toufailia2015", "assumed", "memory", "bees of the colonies of the trial"
)
REACH = Constant(
    0.13, "1", 0.03, 0.18, "buchler2020", "derived", "read",
    "kill falls as (adults / 12,000)^-0.13: 88-90 % without brood in summer against 95-97 % in winter",
)  # fmt: skip

SUBLIMATION_MOST = Constant(
    0.972, "1", 0.93, 0.985, "toufailia2015", "fitted", "second-hand", "plateau of the dose curve"
)
SUBLIMATION_DOSE_G = Constant(
    0.389, "g", 0.33, 0.55, "toufailia2015", "fitted", "memory",
    "kill = most x (1 - exp(-(dose/this)^shape)), 0.56 g 81 %; as crystals; high end if they were acid (x 1.4)",
)  # fmt: skip
SUBLIMATION_SHAPE = Constant(1.6, "1", 1.3, 1.9, "toufailia2015", "fitted", "memory")
SUBLIMATION_USUAL_G = Constant(
    2.25, "g", 2.0, 2.5, "common practice", "common practice", "memory", "where no dose is written"
)
SUBLIMATION_DILUTION = Constant(
    0.5, "1", 0.0, 1.5, "pmc8825467", "assumed", "read",
    "a strong colony needs more: dose / (adults / 12,000)^this; wide, for that trial found next to nothing",
)  # fmt: skip
SUBLIMATION_ACTIVE_DAYS = Constant(
    3, "d", 0, 5, "common practice", "common practice", "memory",
    "until the acid on bees and comb has lost its last kill, fading evenly; practice says 2-5, trials with brood less",
)  # fmt: skip
SEAL_FAIR = Constant(0.6, "1", 0.4, 0.9, "assumed", "assumed", "memory", "share of the dose that stays in the hive")
SEAL_POOR = Constant(0.2, "1", 0.1, 0.5, "assumed", "assumed", "memory", "share of the dose that stays in the hive")

TRICKLE_MOST = Constant(1.0, "1", 0.97, 1.0, "gregorc2001", "fitted", "read", "once without brood: 99.4 %")
TRICKLE_DOSE_G = Constant(
    1.238, "g", 1.1, 1.3, "toufailia2015", "fitted", "memory", "20, 57, 93-95 % at 0.56, 1.125, 2.25 g"
)
TRICKLE_SHAPE = Constant(1.89, "1", 1.6, 2.2, "toufailia2015", "fitted", "memory")
TRICKLE_USUAL_G = Constant(
    2.25, "g", 1.8, 3.0, "common practice", "common practice", "memory", "where no dose is written"
)
TRICKLE_ACTIVE_DAYS = Constant(0, "d", 0, 1, "gregorc2001", "derived", "read", "three with brood reached only 39-52 %")

SPRAY_MOST = Constant(0.95, "1", 0.93, 0.97, "toufailia2015", "fitted", "memory")
SPRAY_DOSE_G = Constant(
    0.843, "g", 0.75, 0.95, "toufailia2015", "fitted", "memory", "25, 86, 93-95 % at 0.56, 1.125, 2.25 g"
)
SPRAY_SHAPE = Constant(2.9, "1", 2.4, 3.4, "toufailia2015", "fitted", "memory")
SPRAY_USUAL_G = Constant(
    2.25, "g", 1.8, 3.0, "common practice", "common practice", "memory", "where no dose is written"
)
SPRAY_ACTIVE_DAYS = Constant(0, "d", 0, 1, "assumed", "assumed", "memory")

FORMIC_DAILY = Constant(0.12, "1/d", 0.05, 0.22, "beebook", "derived", "second-hand", "so that a placing kills 49-93 %")
FORMIC_CELLS = Constant(0.06, "1/d", 0.02, 0.12, "beebook", "derived", "second-hand", "of mites in capped cells")
FORMIC_DAYS = Constant(14, "d", 7, 21, "common practice", "common practice", "memory")
FORMIC_WARM_C = Constant(10, "degC", 8, 12, "beebook", "measured", "second-hand", "works from 10 to 30 degC")
FORMIC_HOT_C = Constant(30, "degC", 28, 32, "beebook", "measured", "second-hand", "works from 10 to 30 degC")
FORMIC_COLD = Constant(0.08, "1/degC", 0.04, 0.12, "assumed", "assumed", "memory", "kill lost per degree below")

THYMOL_DAILY = Constant(0.16, "1/d", 0.09, 0.25, "beebook", "derived", "second-hand", "so that a placing kills 70-95 %")
THYMOL_DAYS = Constant(28, "d", 21, 42, "common practice", "common practice", "memory", "3-6 weeks")
THYMOL_WARM_C = Constant(15, "degC", 12, 18, "beebook", "measured", "second-hand", "needs about 15 degC")
THYMOL_HOT_C = Constant(
    30, "degC", 30, 40, "assumed", "assumed", "memory",
    "above it too much evaporates at once; some labels stop at 30, others later: the careful one until yours is known",
)  # fmt: skip
THYMOL_COLD = Constant(0.10, "1/degC", 0.05, 0.15, "assumed", "assumed", "memory", "kill lost per degree below")

AMITRAZ_DAILY = Constant(0.14, "1/d", 0.10, 0.25, "amitraz2013", "derived", "read", "so that 6-8 weeks kill 90-95 %")
AMITRAZ_DAYS = Constant(49, "d", 42, 56, "amitraz2013", "measured", "read")
AMITRAZ_RESISTANT = Constant(
    0.0, "1", 0.0, 0.3, "assumed", "assumed", "memory", "share of the kill lost; taken as susceptible unless told"
)
PYRETHROID_DAILY = Constant(
    0.30, "1/d", 0.20, 0.50, "thompson2002", "derived", "read", "above 95 % where mites are susceptible"
)
PYRETHROID_DAYS = Constant(42, "d", 42, 56, "common practice", "common practice", "memory")
PYRETHROID_RESISTANT = Constant(
    0.9, "1", 0.5, 1.0, "thompson2002", "assumed", "read", "share of the kill lost; resistance in the UK since 2001"
)
DRONE_REMOVAL_DAILY = Constant(
    0.17, "1/d", 0.10, 0.30, "toufailia2016", "derived", "read", "of the mites in drone cells: a month is -46 %"
)
DRONE_REMOVAL_DAYS = Constant(30, "d", 28, 31, "toufailia2016", "measured", "read")
COLD_SUBLIMATION_C = Constant(4, "degC", 2, 8, "assumed", "assumed", "memory", "below it bees sit tight")
COLD_SUBLIMATION = Constant(0.02, "1/degC", 0.0, 0.05, "assumed", "assumed", "memory", "kill lost per degree below")
