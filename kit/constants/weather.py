"""Weather of a climate by month, for the odds of a day that can be worked where no weather table says better."""

from kit.constants.constant import Constant

_MIDLANDS = "daily highs, mid England"


def _max_c(value: float) -> Constant:
    return Constant(value, "degC", value - 2, value + 2, "bablake2000", "measured", "second-hand", _MIDLANDS)


def _rain_mm(value: float) -> Constant:
    return Constant(value, "mm", value * 0.7, value * 1.6, "bablake2000", "measured", "second-hand", "a month's rain")


def _wet_days(value: float) -> Constant:
    return Constant(value, "d", value - 2, value + 4, "assumed", "assumed", "memory", "days of 1 mm or more, inland")


def _wind_kmh(value: float) -> Constant:
    return Constant(value, "km/h", value * 0.7, value * 1.4, "assumed", "assumed", "memory", "mean at 10 m, inland")


MAX_C_JAN = _max_c(6.9)
MAX_C_FEB = _max_c(7.2)
MAX_C_MAR = _max_c(9.9)
MAX_C_APR = _max_c(12.4)
MAX_C_MAY = _max_c(16.2)
MAX_C_JUN = _max_c(19.1)
MAX_C_JUL = _max_c(21.8)
MAX_C_AUG = _max_c(21.4)
MAX_C_SEP = _max_c(18.1)
MAX_C_OCT = _max_c(13.9)
MAX_C_NOV = _max_c(9.7)
MAX_C_DEC = _max_c(7.6)
MAX_C = (
    MAX_C_JAN, MAX_C_FEB, MAX_C_MAR, MAX_C_APR, MAX_C_MAY, MAX_C_JUN,
    MAX_C_JUL, MAX_C_AUG, MAX_C_SEP, MAX_C_OCT, MAX_C_NOV, MAX_C_DEC,
)  # fmt: skip
"""Mean of the days' highs by month, January first."""

RAIN_MM_JAN = _rain_mm(61.2)
RAIN_MM_FEB = _rain_mm(44.3)
RAIN_MM_MAR = _rain_mm(50.6)
RAIN_MM_APR = _rain_mm(49.3)
RAIN_MM_MAY = _rain_mm(50.8)
RAIN_MM_JUN = _rain_mm(56.9)
RAIN_MM_JUL = _rain_mm(49.5)
RAIN_MM_AUG = _rain_mm(66.3)
RAIN_MM_SEP = _rain_mm(59)
RAIN_MM_OCT = _rain_mm(59.4)
RAIN_MM_NOV = _rain_mm(58)
RAIN_MM_DEC = _rain_mm(62.3)
RAIN_MM = (
    RAIN_MM_JAN, RAIN_MM_FEB, RAIN_MM_MAR, RAIN_MM_APR, RAIN_MM_MAY, RAIN_MM_JUN,
    RAIN_MM_JUL, RAIN_MM_AUG, RAIN_MM_SEP, RAIN_MM_OCT, RAIN_MM_NOV, RAIN_MM_DEC,
)  # fmt: skip
"""Rain of a month, January first."""

WET_DAYS_JAN = _wet_days(11.7)
WET_DAYS_FEB = _wet_days(9.6)
WET_DAYS_MAR = _wet_days(9.7)
WET_DAYS_APR = _wet_days(9.5)
WET_DAYS_MAY = _wet_days(9.2)
WET_DAYS_JUN = _wet_days(9.3)
WET_DAYS_JUL = _wet_days(8.9)
WET_DAYS_AUG = _wet_days(9.6)
WET_DAYS_SEP = _wet_days(9.3)
WET_DAYS_OCT = _wet_days(11)
WET_DAYS_NOV = _wet_days(11.6)
WET_DAYS_DEC = _wet_days(11.8)
WET_DAYS = (
    WET_DAYS_JAN, WET_DAYS_FEB, WET_DAYS_MAR, WET_DAYS_APR, WET_DAYS_MAY, WET_DAYS_JUN,
    WET_DAYS_JUL, WET_DAYS_AUG, WET_DAYS_SEP, WET_DAYS_OCT, WET_DAYS_NOV, WET_DAYS_DEC,
)  # fmt: skip
"""Wet days of a month, January first."""

WIND_KMH_JAN = _wind_kmh(16.5)
WIND_KMH_FEB = _wind_kmh(16)
WIND_KMH_MAR = _wind_kmh(16)
WIND_KMH_APR = _wind_kmh(14.5)
WIND_KMH_MAY = _wind_kmh(14)
WIND_KMH_JUN = _wind_kmh(13)
WIND_KMH_JUL = _wind_kmh(13)
WIND_KMH_AUG = _wind_kmh(12.5)
WIND_KMH_SEP = _wind_kmh(13)
WIND_KMH_OCT = _wind_kmh(14.5)
WIND_KMH_NOV = _wind_kmh(15)
WIND_KMH_DEC = _wind_kmh(15.5)
WIND_KMH = (
    WIND_KMH_JAN, WIND_KMH_FEB, WIND_KMH_MAR, WIND_KMH_APR, WIND_KMH_MAY, WIND_KMH_JUN,
    WIND_KMH_JUL, WIND_KMH_AUG, WIND_KMH_SEP, WIND_KMH_OCT, WIND_KMH_NOV, WIND_KMH_DEC,
)  # fmt: skip
"""Mean wind of a month, January first."""

MAX_C_SPREAD = Constant(
    3.4, "degC", 2.5, 4.5, "assumed", "assumed", "memory", "standard deviation of a day's high about the month's mean"
)
WIND_AT_HIVES = Constant(
    0.6, "1", 0.4, 0.8, "derived", "derived", "memory",
    "of the day's wind: logarithmic profile from 10 m to 1 m over grass (roughness 3 cm); hedges shelter more",
)  # fmt: skip
WEATHER_STAYS = Constant(
    0.25, "1", 0.1, 0.4, "assumed", "assumed", "memory", "correlation of a day's being workable with the day before's"
)
GROUND_STAYS = Constant(
    0.6,
    "1",
    0.4,
    0.8,
    "assumed",
    "assumed",
    "memory",
    "correlation of firm ground from day to day: its rain is that of days",
)
SOFT_DAYS = Constant(3, "d", 2, 5, "assumed", "assumed", "memory", "rain of so many days softens a track")
SOFT_MM = Constant(
    10, "mm", 5, 20, "assumed", "assumed", "memory", "of rain in those days: dry-ground access turns soft"
)

CLIMATE_WORTH_DAYS = Constant(
    10, "d", 5, 30, "assumed", "assumed", "memory", "days of own weather that weigh as much as the climate by name"
)
SEASON_DAYS = Constant(
    15, "d", 7, 21, "assumed", "assumed", "memory", "days on either side of a date, in all years, that speak for it"
)
SPARE_WORTH_LATE_DAYS = Constant(
    1,
    "d",
    0.5,
    3,
    "assumed",
    "assumed",
    "memory",
    "a spare day is given up only where it saves more lateness than this",
)
SPARE_WORTH_MIN = Constant(15, "min", 5, 60, "assumed", "assumed", "memory", "or more driving than this")
