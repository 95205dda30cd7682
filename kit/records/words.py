"""The words of the record sheets that more than one sheet, or the rules of reading, lean on."""

from kit.constants import treatment_words

YES_NO = ("yes", "no")
YES_NO_ALSO = (
    ("y", "yes"), ("true", "yes"), ("1", "yes"), ("x", "yes"), ("n", "no"), ("false", "no"), ("0", "no"),
)  # fmt: skip

SUBLIMATION = treatment_words.SUBLIMATION
TREATMENTS = treatment_words.WORDS
"""Any other word in a treatment column is kept, reported, and treated as "other" with no assumed kill."""
STRIPS = treatment_words.SYNTHETIC
PLACED, TAKEN_OUT = treatment_words.PLACED, treatment_words.TAKEN_OUT

COULD_NOT = "could not"
STRIPS_IN = "strips in"
STRIPS_OUT = "strips out"
TRAYS_IN = "trays in"
TRAYS_READ = "trays read"
DEEDS = (STRIPS_IN, STRIPS_OUT, TRAYS_IN, TRAYS_READ, "look", "heads", COULD_NOT)
"""What a `log` line may say was done besides a treatment."""

CAUSES = ("mites", "starved", "small then starved", "queen", "flood", "wind", "robbed", "disease", "unknown")
WHY_LATE = ("supers", "ground", "weather", "kit", "illness", "time", "did not know")
WRONG = ("none", "wind", "ground", "rain", "slow", "seal", "power", "ran out", "time")
LEVELS = ("none", "few", "many")
SUPPLIES = ("vehicle", "battery", "generator", "mains")
WINDS = ("calm", "light", "breezy", "windy")
"""From the stillest up; the order counts."""

ALL = "all"
"""In a list of colonies: every colony of the apiary."""
