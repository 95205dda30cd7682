"""Numbers of winter loss."""

from kit.constants.constant import Constant

LOSS_TOP = Constant(
    92, "%", 80, 98, "assumed", "assumed", "memory", "Loss by mites where all autumn bees are infested."
)
LOSS_HALF = Constant(
    11, "mites/100 bees", 7, 16, "assumed", "assumed", "memory",
    "October infestation at which half the top loss falls; about 6 clearly raises loss, a third is near certainty.",
)  # fmt: skip
LOSS_STEEPNESS = Constant(2.6, "1", 1.8, 3.5, "assumed", "assumed", "memory")
BACKGROUND = Constant(
    8, "%", 4, 15, "assumed", "assumed", "memory", "All causes but mites: queens, hunger, floods, and the rest."
)
EXPOSURE_TO_OCTOBER = Constant(
    3, "1", 2, 4, "derived", "derived", "memory",
    "October infestation of a colony left alone, over its mean while winter bees are raised: 37 days at a doubling "
    "time of 28 to 30 days (×2.4), on fewer bees (×1.2 to 1.8).",
)  # fmt: skip
EXPOSURE_WEIGHT = Constant(
    0.75, "1", 0.5, 0.95, "assumed", "assumed", "memory",
    "Weight of the exposure of the winter bees; the rest is the October load.",
)  # fmt: skip
SHARED_LUCK = Constant(
    0.1, "1", 0.02, 0.3, "assumed", "assumed", "memory",
    "Correlation of the winter deaths of hives in one apiary beyond what their mites explain.",
)  # fmt: skip
