"""Minutes and money of a visit."""

from kit.constants.constant import Constant

SET_UP_MIN = Constant(8.0, "min", 4.0, 15.0, "assumed", "assumed", "memory", "mask on, supply set, cautions read")
PACK_MIN = Constant(6.0, "min", 3.0, 12.0, "assumed", "assumed", "memory", "kit counted back, notes written")
SEAL_MIN = Constant(0.8, "min", 0.4, 1.5, "assumed", "assumed", "memory", "tray in and entrance closed, one hive")
DOSE_MIN = Constant(
    1.5, "min", 0.8, 2.5, "assumed", "assumed", "memory", "spoon filled, nozzle in, vapour out, on to the next hive"
)
UNSEAL_MIN = Constant(0.7, "min", 0.3, 1.2, "assumed", "assumed", "memory", "entrance opened, seal counted back")
SEALED_MIN = Constant(
    10.0, "min", 8.0, 15.0, "common practice", "common practice", "second-hand", "seal stays on after the dose"
)
GROUP_SIZE = Constant(4.0, "1", 2.0, 8.0, "common practice", "common practice", "second-hand", "hives sealed at a time")
LOOK_MIN = Constant(4.0, "min", 2.0, 10.0, "assumed", "assumed", "memory", "one hive looked into")
STRIPS_MIN = Constant(2.0, "min", 1.0, 4.0, "assumed", "assumed", "memory", "strips placed or taken out, one hive")
TRAY_MIN = Constant(1.5, "min", 0.8, 3.0, "assumed", "assumed", "memory", "a tray slid in, or read and cleaned")
TRICKLE_MIN = Constant(2.5, "min", 1.5, 4.0, "assumed", "assumed", "memory", "one hive opened and trickled")
HEADS_MIN = Constant(0.5, "min", 0.2, 1.0, "assumed", "assumed", "memory", "one hive hefted and counted")
FIXED_MIN = Constant(10.0, "min", 5.0, 20.0, "assumed", "assumed", "memory", "gate, dressing, notes of any visit")
DRIVE_DETOUR = Constant(1.3, "1", 1.2, 1.5, "assumed", "assumed", "memory", "road against great circle")

PAN_HEAT_MIN = Constant(2.5, "min", 2.0, 3.5, "assumed", "assumed", "memory", "a pan heated from cold in the hive")
PAN_COOL_MIN = Constant(2.0, "min", 1.0, 4.0, "assumed", "assumed", "memory", "and cooled in water before the next")
PAN_OUTLAY = Constant(120.0, "currency", 60.0, 200.0, "assumed", "assumed", "memory", "pan and leads, battery at hand")
HEATED_OUTLAY = Constant(
    550.0, "currency", 350.0, 800.0, "assumed", "assumed", "memory", "continuously heated sublimator with its inverter"
)
MACHINE_LIFE_YEARS = Constant(5.0, "years", 3.0, 8.0, "assumed", "assumed", "memory", "before it is worn out")
ROUNDS_PER_YEAR = Constant(
    3.0, "1", 1.0, 4.0, "common practice", "common practice", "second-hand", "sublimations a colony; the label decides"
)
PAN_BREAK_EVEN_COLONIES = Constant(
    50.0, "1", 30.0, 80.0, "common practice", "common practice", "second-hand", "a check, not an input"
)
