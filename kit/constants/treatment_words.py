"""Every treatment word of the record sheets: how it is given, what is in it, how long it stays, how long a hive takes.

What each does to mites is in `kit.calc.actions`. Any other word in a treatment column is kept, reported, and treated as
"other" with no assumed kill.
"""

from dataclasses import dataclass
from typing import Literal

from kit.constants import bees, effort, plan, treatments
from kit.constants.constant import Constant

Way = Literal["dose", "placed", "laying stop", "cut"]


@dataclass(frozen=True, slots=True)
class TreatmentWord:
    """One treatment.

    Parameters
    ----------
    word : str
        As the record sheets have it.
    way : Way
        dose: given on a day; placed: something stays in the hive and comes out again; laying stop: the queen lays
        nothing for a time; cut: brood is taken out.
    hive_min : Constant
        Of one person at one hive; for sublimation `kit.calc.effort` reckons the visit instead [min].
    actives : tuple of str
        What is in it as labels begin to name it; empty for what is no medicine.
    works_days : Constant or None
        How long it works where no end is written; None for a dose [d].
    stays_days : tuple of Constant or None
        Least and most days between placing and taking out when it is planned [d].
    synthetic : bool
        Whether mites may have become resistant to it.
    """

    word: str
    way: Way
    hive_min: Constant
    actives: tuple[str, ...] = ()
    works_days: Constant | None = None
    stays_days: tuple[Constant, Constant] | None = None
    synthetic: bool = False


_STRIPS = plan.STRIPS_LEAST_DAYS, plan.STRIPS_MOST_DAYS
_CAGED = plan.CAGED_LEAST_DAYS, plan.CAGED_MOST_DAYS
SUBLIMATION = "oxalic sublimation"

KNOWN = (
    TreatmentWord(SUBLIMATION, "dose", effort.DOSE_MIN, ("oxalic",)),
    TreatmentWord("oxalic trickle", "dose", effort.TRICKLE_MIN, ("oxalic",)),
    TreatmentWord("oxalic spray", "dose", effort.LOOK_MIN, ("oxalic",)),
    TreatmentWord(
        "formic acid", "placed", effort.STRIPS_MIN, ("formic",), treatments.FORMIC_DAYS,
        (plan.FORMIC_LEAST_DAYS, plan.FORMIC_MOST_DAYS),
    ),
    TreatmentWord(
        "thymol", "placed", effort.STRIPS_MIN, ("thymol",), treatments.THYMOL_DAYS,
        (plan.THYMOL_LEAST_DAYS, plan.THYMOL_MOST_DAYS),
    ),
    TreatmentWord(
        "amitraz strips", "placed", effort.STRIPS_MIN, ("amitraz",), treatments.AMITRAZ_DAYS, _STRIPS, synthetic=True
    ),
    TreatmentWord(
        "pyrethroid strips", "placed", effort.STRIPS_MIN, ("fluvalinate", "flumethrin", "pyrethroid"),
        treatments.PYRETHROID_DAYS, _STRIPS, synthetic=True,
    ),
    TreatmentWord("drone brood removal", "cut", effort.LOOK_MIN, works_days=treatments.DRONE_REMOVAL_DAYS),
    TreatmentWord("queen caging", "laying stop", effort.LOOK_MIN, (), bees.CAGED_DAYS, _CAGED),
    TreatmentWord("brood break", "laying stop", effort.LOOK_MIN, (), bees.CAGED_DAYS, _CAGED),
)  # fmt: skip
BY_WORD = {one.word: one for one in KNOWN}
WORDS = tuple(BY_WORD)


def _words(*ways: Way) -> tuple[str, ...]:
    return tuple(one.word for one in KNOWN if one.way in ways)


OXALIC = _words("dose")
"""Oxalic acid, however given."""
PLACED = _words("placed", "laying stop")
"""What stays for a time and is taken out, or ended, on another day."""
TAKEN_OUT = _words("placed")
"""Of these, where something has to come out of the hive again."""
LAYING_STOPS = frozenset(_words("laying stop"))
"""What acts through the queen's laying alone."""
SYNTHETIC = tuple(one.word for one in KNOWN if one.synthetic)
"""Strips, to which mites may have become resistant."""
NO_MEDICINE = frozenset(one.word for one in KNOWN if not one.actives)
"""What needs no product."""
KILLS_MITES = tuple(one.word for one in KNOWN if one.actives)
"""What kills mites on bees."""
WORKS_DAYS = {one.word: one.works_days for one in KNOWN if one.works_days is not None}
"""How long what is in place works, where no end is written [d]."""
STAYS_DAYS = {one.word: one.stays_days for one in KNOWN if one.stays_days is not None}
"""Least and most days in place when planned [d]."""
