"""Numbers by which the kill of a treatment is judged."""

from kit.constants.constant import Constant

GUIDELINE_SYNTHETIC = Constant(
    95, "%", 95, 95, "ema2010", "defined", "read", "Expected of a synthetic product, follow-up after at least 14 days."
)
GUIDELINE_OTHER = Constant(
    90,
    "%",
    90,
    90,
    "ema2010",
    "defined",
    "read",
    "Expected of acids, thymol and other products that are not synthetic.",
)
FOLLOW_UP_DAYS = Constant(
    14, "days", 14, 28, "ema2010", "defined", "read", "Least wait before the follow-up treatment."
)
