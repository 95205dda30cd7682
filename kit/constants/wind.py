"""Words for wind as speeds: upper bounds of the forces of the Beaufort scale."""

from kit.constants.constant import Constant

CALM_KMH = Constant(5, "km/h", 5, 5, "beaufort", "defined", "second-hand", "force 1, 1-5 km/h: smoke drifts")
LIGHT_KMH = Constant(11, "km/h", 11, 11, "beaufort", "defined", "second-hand", "force 2, 6-11 km/h: leaves rustle")
BREEZY_KMH = Constant(
    28, "km/h", 28, 28, "beaufort", "defined", "second-hand", "force 4, 20-28 km/h: small branches move"
)

STRONGEST_KMH = {"calm": CALM_KMH.value, "light": LIGHT_KMH.value, "breezy": BREEZY_KMH.value, "windy": float("inf")}
"""By the words of the records: the strongest wind that still goes by that word."""
