"""The heated chamber of a sublimator."""

from kit.constants.constant import Constant

HEATER_W = Constant(
    200.0, "W", 150.0, 300.0, "common practice", "common practice", "second-hand", "one that holds heat"
)
HOLD_C = Constant(
    230.0, "°C", 190.0, 240.0, "common practice", "common practice", "second-hand", "where the thermostat holds it"
)
WARM_UP_S = Constant(330.0, "s", 300.0, 360.0, "common practice", "common practice", "second-hand", "5 to 6 minutes")
WARM_UP_FROM_C = Constant(7.0, "°C", 0.0, 20.0, "assumed", "assumed", "memory", "air at which that time is meant")
EXPEL_S = Constant(
    20.0, "s", 15.0, 25.0, "common practice", "common practice", "second-hand", "for 2 to 2.5 g; slower means a fault"
)
DOSE_G = Constant(
    2.25, "g", 2.0, 2.5, "common practice", "common practice", "second-hand", "crystals at which those times are meant"
)
LOSS_W_PER_K = Constant(
    0.3, "W/K", 0.1, 0.5, "assumed", "assumed", "memory", "heat lost to the air; warm-up time alone does not find it"
)
CONTACT_W_PER_K = Constant(
    2.3, "W/K", 1.5, 4.7, "derived", "derived", "read", "20 s a dose at 230 °C; 4.7 at 190 °C; a check, not an input"
)
THERMOSTAT_BAND_K = Constant(4.0, "K", 1.0, 10.0, "assumed", "assumed", "memory", "between switching off and on")
TOO_COLD_C = Constant(
    180.0, "°C", 170.0, 190.0, "assumed", "assumed", "memory", "below it a dose is slow and leaves residue"
)
TOO_HOT_C = Constant(
    260.0, "°C", 240.0, 280.0, "assumed", "assumed", "memory", "above it crystals no longer cool the metal they lie on"
)
STOPWATCH_REL = Constant(
    0.12, "1", 0.05, 0.2, "assumed", "assumed", "memory", "scatter of one timed dose: watch, wind, eye"
)
WARM_UP_READING_MIN = Constant(
    0.5, "min", 0.25, 1.0, "assumed", "assumed", "memory", "warm-up is noted to the minute or half minute"
)
