"""Batteries, inverters, cables and generators."""

from kit.constants.constant import Constant

BATTERY_V = Constant(12.0, "V", 12.0, 12.0, "common practice", "defined", "second-hand", "six lead-acid cells")
RATED_AH = Constant(65.0, "Ah", 45.0, 110.0, "common practice", "common practice", "second-hand", "at the 20-hour rate")
RATED_H = Constant(20.0, "h", 5.0, 100.0, "common practice", "defined", "second-hand", "rate of the printed capacity")
WORKING_V = Constant(12.0, "V", 11.5, 12.4, "assumed", "assumed", "memory", "mean volts under load")
PEUKERT_EXPONENT = Constant(1.15, "1", 1.1, 1.3, "peukert1897", "fitted", "second-hand", "lead-acid 1.1 to 1.3")
LITHIUM_EXPONENT = Constant(1.03, "1", 1.0, 1.08, "assumed", "assumed", "memory", "lithium iron phosphate")
AGM_EXPONENT = Constant(1.1, "1", 1.05, 1.15, "assumed", "assumed", "memory", "absorbed glass mat")
USABLE_PCT = Constant(
    50.0, "%", 30.0, 60.0, "common practice", "common practice", "second-hand", "half discharge; a starter type suffers"
)
LITHIUM_USABLE_PCT = Constant(80.0, "%", 70.0, 95.0, "assumed", "assumed", "memory", "lithium iron phosphate")
VEHICLE_USABLE_PCT = Constant(
    20.0, "%", 10.0, 30.0, "assumed", "assumed", "memory", "of the battery that must start the engine again"
)
HEALTH_PCT = Constant(95.0, "%", 75.0, 100.0, "assumed", "assumed", "memory", "capacity left against the printed one")
BATTERY_WARMER_K = Constant(
    4.0, "K", 0.0, 10.0, "assumed", "assumed", "memory", "battery above the air, fresh from a shed or vehicle"
)
INTERNAL_OHM = Constant(
    0.015, "ohm", 0.008, 0.03, "assumed", "assumed", "memory", "65 Ah lead-acid at work, plates and clamps together"
)

COLD_CUBE = Constant(-2.8117, "1", -2.8118, -2.8116, "ieee485", "fitted", "read", "divisor, times (°C/100) cubed")
COLD_SQUARE = Constant(4.1916, "1", 4.1915, 4.1917, "ieee485", "fitted", "read", "divisor, times (°C/100) squared")
COLD_SLOPE = Constant(-2.4941, "1", -2.4942, -2.4940, "ieee485", "fitted", "read", "divisor, times °C/100")
COLD_OFFSET = Constant(1.405, "1", 1.4049, 1.4051, "ieee485", "fitted", "read", "divisor at 0 °C")
LITHIUM_COLD_PCT_PER_K = Constant(
    0.8, "%/K", 0.4, 1.2, "assumed", "assumed", "memory", "lithium capacity lost for each K below 20 °C"
)

CELL_OFFSET_V = Constant(0.845, "V", 0.84, 0.85, "doe1084", "fitted", "read", "cell volts minus specific gravity")
GRAVITY_FULL = Constant(
    1.265, "1", 1.25, 1.28, "doe1084", "measured", "memory", "rested, full; a trade page prints 1.260-1.280"
)
GRAVITY_EMPTY = Constant(1.12, "1", 1.10, 1.15, "doe1084", "measured", "memory", "rested, empty at the 20-hour rate")

INVERTER_W = Constant(500.0, "W", 300.0, 1000.0, "common practice", "common practice", "second-hand", "continuous")
INVERTER_EFFICIENCY_PCT = Constant(87.0, "%", 82.0, 91.0, "assumed", "assumed", "memory", "without its own use")
INVERTER_IDLE_W = Constant(8.0, "W", 4.0, 15.0, "assumed", "assumed", "memory", "its own use while switched on")
CUT_OUT_V = Constant(10.5, "V", 10.0, 11.0, "common practice", "common practice", "second-hand", "input, under load")

CABLE_MM2 = Constant(10.0, "mm²", 4.0, 25.0, "common practice", "common practice", "memory", "battery to inverter")
CABLE_M = Constant(3.0, "m", 1.0, 10.0, "assumed", "assumed", "memory", "out and back together")
COPPER_1_5_OHM_PER_KM = Constant(13.3, "ohm/km", 13.25, 13.35, "iec60228", "defined", "read", "class 5, 20 °C")
COPPER_2_5_OHM_PER_KM = Constant(7.98, "ohm/km", 7.975, 7.985, "iec60228", "defined", "read", "class 5, 20 °C")
COPPER_4_OHM_PER_KM = Constant(4.95, "ohm/km", 4.945, 4.955, "iec60228", "defined", "read", "class 5, 20 °C")
COPPER_6_OHM_PER_KM = Constant(3.30, "ohm/km", 3.295, 3.305, "iec60228", "defined", "read", "class 5, 20 °C")
COPPER_10_OHM_PER_KM = Constant(1.91, "ohm/km", 1.905, 1.915, "iec60228", "defined", "read", "class 5, 20 °C")

PACE_FACTOR = Constant(
    1.0, "1", 0.75, 1.5, "assumed", "assumed", "memory", "minutes a colony as they turn out, against those meant"
)
SPOON_FACTOR = Constant(
    1.0, "1", 0.9, 1.12, "assumed", "assumed", "memory", "grams on the spoon as they turn out, against those meant"
)
RESTING_FULL_V = Constant(
    12.65, "V", 12.5, 12.85, "doe1084", "derived", "read", "rested for hours; straight off the charger it reads more"
)
UNRESTED_V = Constant(
    0.2, "V", 0.0, 0.5, "assumed", "assumed", "memory", "what a 12 V battery reads low right after work, until it rests"
)
VOLTMETER_V = Constant(0.05, "V", 0.02, 0.1, "assumed", "assumed", "memory", "scatter of a reading, one s.d.")
DOSES_SCATTER = Constant(
    0.15, "1", 0.1, 0.25, "assumed", "assumed", "memory", "doses of a charge beyond what is drawn (log s.d.)"
)
FULL_FROM_PCT = Constant(
    85.0, "%", 75.0, 95.0, "assumed", "assumed", "memory", "charge from which a start counts as full"
)
