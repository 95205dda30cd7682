"""How much each fault slows vapour: ranges to draw from. Kill and its causes stand elsewhere."""

from kit.constants.constant import Constant

POWER_LEFT = Constant(
    0.7, "1", 0.4, 0.95, "assumed", "assumed", "memory", "share of the heater's power a weak supply or element gives"
)
LEADS_POWER_LEFT = Constant(
    0.8, "1", 0.55, 0.95, "assumed", "assumed", "memory", "share left behind thin or long 12 V leads"
)
CONTACT_LEFT = Constant(0.6, "1", 0.3, 0.95, "assumed", "assumed", "memory", "contact left under scale and residue")
OVERFULL = Constant(1.4, "1", 1.1, 2.0, "assumed", "assumed", "memory", "grams on a heaped spoon over those meant")
DAMP = Constant(1.2, "1", 1.05, 1.5, "assumed", "assumed", "memory", "seconds with damp crystals over dry ones")
COLD_HOLD_C = Constant(
    195.0, "°C", 172.0, 220.0, "assumed", "assumed", "memory", "chamber of a machine used before it is hot, or set low"
)
COOLED = Constant(1.15, "1", 1.0, 1.4, "assumed", "assumed", "memory", "seconds when wind or waits cool the chamber")
SECONDS_OFFSET = Constant(
    0.15, "1", 0.1, 0.2, "assumed", "assumed", "memory", "a machine's own seconds against those printed (log s.d.)"
)
MINUTES_OFFSET = Constant(
    0.06, "1", 0.03, 0.1, "assumed", "assumed", "memory", "a machine's own warm-up against the one printed (log s.d.)"
)
LOSS_SPREAD = Constant(
    0.3, "1", 0.2, 0.5, "assumed", "assumed", "memory", "loss to the air against the one assumed (log s.d.)"
)
WARM_UP_SCATTER = Constant(
    0.08,
    "1",
    0.04,
    0.15,
    "assumed",
    "assumed",
    "memory",
    "one warm-up against the next beyond air and watch (log s.d.)",
)
NOTHING_WRONG = Constant(
    0.4, "1", 0.2, 0.7, "assumed", "assumed", "memory", "prior that slow times are scatter, before any is seen"
)
INDEPENDENT_TIMINGS = Constant(
    3.0,
    "1",
    2.0,
    6.0,
    "assumed",
    "assumed",
    "memory",
    "how many independent ones a season's times of one machine count as",
)
POWER_SPREAD = Constant(
    0.12, "1", 0.05, 0.25, "assumed", "assumed", "memory", "a heater's power against the one printed (log s.d.)"
)
DUTY_REL = Constant(
    0.1, "1", 0.05, 0.2, "assumed", "assumed", "memory", "scatter of a holding duty timed over ten minutes (log s.d.)"
)
