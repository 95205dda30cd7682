"""The plan: windows of the year, rounds of the trade, odds and prices used when the records say nothing."""

from kit.constants.constant import Constant

# windows of the year, as day of the year (1 January = 1)
MAIN_FROM_DAY = Constant(
    182.0,
    "day of year",
    182.0,
    200.0,
    "assumed",
    "defined",
    "memory",
    "1 July: the main treatment is the first after it",
)
MAIN_STOPS_DAY = Constant(
    288.0,
    "day of year",
    274.0,
    300.0,
    "assumed",
    "assumed",
    "memory",
    "15 October: a first treatment later is no main one",
)
AUTUMN_FROM_DAY = Constant(
    296.0, "day of year", 281.0, 310.0, "assumed", "assumed", "memory", "23 October: brood is tailing off"
)
AUTUMN_DUE_DAY = Constant(312.0, "day of year", 300.0, 325.0, "assumed", "assumed", "memory", "8 November: first round")
AUTUMN_STOPS_DAY = Constant(
    328.0, "day of year", 315.0, 335.0, "assumed", "assumed", "memory", "24 November: last day to begin the series"
)
WINTER_FROM_DAY = Constant(
    332.0, "day of year", 320.0, 345.0, "assumed", "assumed", "memory", "28 November: broodless or nearly so, by odds"
)
WINTER_DUE_DAY = Constant(
    362.0, "day of year", 345.0, 365.0, "assumed", "assumed", "memory", "28 December: laying picks up in January"
)
WINTER_LASTS_DAYS = Constant(
    49.0, "d", 35.0, 60.0, "assumed", "assumed", "memory", "from the first winter day to mid-January"
)
MAIN_CLOSES_AFTER_DAYS = Constant(
    45.0, "d", 30.0, 60.0, "assumed", "assumed", "memory", "after treat_by a main treatment no longer saves winter bees"
)

# rounds of the trade
SERIES_ROUNDS = Constant(
    3.0,
    "1",
    2.0,
    4.0,
    "common practice",
    "common practice",
    "second-hand",
    "three rounds over 15 days; the label decides",
)
INTERVAL_DAYS = Constant(
    6.0, "d", 5.0, 7.0, "common practice", "common practice", "second-hand", "5 to 6 days, a day to bend for weather"
)
INTERVAL_LEAST_DAYS = Constant(
    4.0, "d", 3.0, 5.0, "derived", "derived", "memory", "4 to 8 days differ little in full brood"
)
INTERVAL_MOST_DAYS = Constant(
    8.0, "d", 7.0, 9.0, "derived", "derived", "memory", "4 to 8 days differ little in full brood"
)
BEND_DAYS = Constant(
    1.0, "d", 1.0, 2.0, "common practice", "common practice", "memory", "plans may bend a day for weather"
)
STRIPS_LEAST_DAYS = Constant(
    42.0, "d", 42.0, 56.0, "amitraz2013", "common practice", "read", "6 to 8 weeks in the hive"
)
STRIPS_MOST_DAYS = Constant(56.0, "d", 42.0, 56.0, "amitraz2013", "common practice", "read", "6 to 8 weeks in the hive")
THYMOL_LEAST_DAYS = Constant(21.0, "d", 21.0, 28.0, "common practice", "common practice", "memory", "3 to 6 weeks")
THYMOL_MOST_DAYS = Constant(42.0, "d", 28.0, 42.0, "common practice", "common practice", "memory", "3 to 6 weeks")
FORMIC_LEAST_DAYS = Constant(7.0, "d", 7.0, 14.0, "common practice", "common practice", "memory", "one to three weeks")
FORMIC_MOST_DAYS = Constant(21.0, "d", 14.0, 21.0, "common practice", "common practice", "memory", "one to three weeks")
CAGED_LEAST_DAYS = Constant(25.0, "d", 24.0, 26.0, "buchler2020", "measured", "read", "25 days, then oxalic acid")
CAGED_MOST_DAYS = Constant(27.0, "d", 25.0, 28.0, "assumed", "assumed", "memory", "two days to bend")
SPLIT_DAY = Constant(
    140.0, "day of year", 120.0, 170.0, "common practice", "common practice", "memory", "20 May: colonies are split"
)
SPLIT_MIN = Constant(15.0, "min", 8.0, 30.0, "assumed", "assumed", "memory", "to split one hive")
STOCK_DOSE_G = Constant(
    2.25,
    "g",
    2.0,
    2.5,
    "common practice",
    "common practice",
    "second-hand",
    "crystals; for stock only, the label decides",
)

# hours and days
DRIVE_MIN = Constant(
    20.0, "min", 5.0, 45.0, "assumed", "assumed", "memory", "one way, when neither minutes nor place are known"
)
ROAD_KM_PER_H = Constant(40.0, "km/h", 25.0, 60.0, "assumed", "assumed", "memory", "rural roads, when nothing fits it")
EARTH_KM = Constant(6371.0, "km", 6357.0, 6378.0, "derived", "defined", "memory", "mean radius")
HIVES = Constant(10.0, "1", 4.0, 25.0, "assumed", "assumed", "memory", "an apiary whose hives are nowhere recorded")
TRADE_DOSES_PER_CHARGE = Constant(
    40.0,
    "1",
    10.0,
    50.0,
    "common practice",
    "common practice",
    "second-hand",
    "65 Ah battery, heated sublimator of 200 W",
)

# the soft cost of being late, before the mite model speaks
LOSS_PER_LATE_DAY_PCT = Constant(
    0.5,
    "%/d",
    0.1,
    1.0,
    "assumed",
    "assumed",
    "memory",
    "of hives, for each day after treat_by; direction only is sourced",
)
LOSS_PER_LATE_DAY_OTHER_PCT = Constant(
    0.1,
    "%/d",
    0.02,
    0.3,
    "assumed",
    "assumed",
    "memory",
    "of hives, for each day an autumn or winter treatment is late",
)
LOSS_UNTREATED_MAIN_PCT = Constant(35.0, "%", 15.0, 60.0, "assumed", "assumed", "memory", "of hives, no main treatment")
LOSS_UNTREATED_OTHER_PCT = Constant(
    10.0, "%", 3.0, 25.0, "assumed", "assumed", "memory", "of hives, no autumn or no winter treatment"
)

# prices of mends
BATTERY_PRICE = Constant(120.0, "currency", 70.0, 250.0, "assumed", "assumed", "memory", "deep cycle, about 65 Ah")
HELPER_KIT_PRICE = Constant(
    230.0,
    "currency",
    120.0,
    400.0,
    "assumed",
    "assumed",
    "memory",
    "full-face mask, filters and a fit test for one person",
)
INSURANCE_PRICE = Constant(100.0, "currency", 50.0, 300.0, "assumed", "assumed", "memory", "cover for a helper, a year")

GENERATOR_PRICE = Constant(
    350.0, "currency", 200.0, 900.0, "assumed", "assumed", "memory", "a small generator that runs a heated sublimator"
)
MOVE_MIN_PER_HIVE = Constant(
    12.0, "min", 6.0, 25.0, "assumed", "assumed", "memory", "closing, loading, unloading and opening one hive"
)

# what goes along
ORDER_LEAD_DAYS = Constant(
    21.0,
    "d",
    7.0,
    42.0,
    "assumed",
    "assumed",
    "memory",
    "from ordering a medicine to having it, a vet's paper included",
)
SPARE_DOSES_PCT = Constant(
    5.0, "%", 2.0, 10.0, "assumed", "assumed", "memory", "of a visit's doses, for spills; one at least"
)
EYE_WATER_L = Constant(
    2.0, "l", 1.0, 5.0, "assumed", "assumed", "memory", "for each person; rinsing lasts many minutes"
)

# next season's mites: how far one year strays from the last, and the limits beside those of the settings
YEAR_SHIFT = Constant(4.0, "d", 2.0, 8.0, "assumed", "assumed", "memory", "season earlier or later, standard deviation")
YEAR_REINVASION = Constant(
    0.4, "1", 0.2, 0.8, "assumed", "assumed", "memory", "mites carried in, standard deviation of the logarithm"
)
YEAR_BROOD = Constant(
    0.3, "1", 0.15, 0.6, "assumed", "assumed", "memory", "brood from October on, standard deviation of the logarithm"
)
LEAST_MITES = Constant(1.0, "mites", 0.5, 3.0, "assumed", "assumed", "memory", "a hive read as clean still gets one")
SPRING_DROP = Constant(
    0.5, "1/d", 0.3, 1.0, "state_advisers", "measured", "read",
    "most board drop a day after the winter treatment, judged 28 days after oxalic acid",
)  # fmt: skip
BROODLESS_SHARE = Constant(
    10.0, "%", 5.0, 20.0, "assumed", "assumed", "memory", "of the mites in capped cells: hardly any brood"
)
CRUMBS_CELLS = Constant(
    150.0, "cells", 50.0, 400.0, "assumed", "assumed", "memory", "capped cells at which two looks in three see crumbs"
)
CRUMBS_WRONG = Constant(10.0, "%", 5.0, 20.0, "assumed", "assumed", "memory", "of looks at trays for crumbs")
CRUMBS_ELSEWHERE = Constant(
    0.5, "1", 0.2, 1.0, "assumed", "assumed", "memory", "weight of a look at another apiary of the same keeper"
)

# candidates: work as a range, and drone combs
PACE_KNOWN = Constant(1.0, "1", 0.85, 1.2, "assumed", "assumed", "memory", "minutes at the hives, own pace recorded")
PACE_GUESSED = Constant(1.0, "1", 0.7, 1.5, "assumed", "assumed", "memory", "minutes at the hives, no pace recorded")
DRIVE_SPREAD = Constant(1.0, "1", 0.9, 1.25, "assumed", "assumed", "memory", "minutes on the road")
DRONE_CUT_LEAST_DAYS = Constant(
    18.0, "d", 16.0, 20.0, "common practice", "common practice", "memory", "between two cuttings of drone comb"
)
DRONE_CUT_MOST_DAYS = Constant(
    23.0, "d", 21.0, 24.0, "winston1987", "derived", "second-hand", "drones emerge 24 days after the egg: cut before"
)
