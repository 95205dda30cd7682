"""How each kind of treatment acts: its numbers by treatment word, at their centre or drawn."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.constants import bees
from kit.constants import treatments as c
from kit.constants.constant import Constant
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]

SOURCED: Mapping[str, Mapping[str, Constant]] = {
    "oxalic sublimation": {
        "most": c.SUBLIMATION_MOST, "dose_at_g": c.SUBLIMATION_DOSE_G, "shape": c.SUBLIMATION_SHAPE,
        "usual_g": c.SUBLIMATION_USUAL_G, "dilution": c.SUBLIMATION_DILUTION, "reach": c.REACH,
        "active_days": c.SUBLIMATION_ACTIVE_DAYS, "seal_fair": c.SEAL_FAIR, "seal_poor": c.SEAL_POOR,
        "warm_c": c.COLD_SUBLIMATION_C, "cold": c.COLD_SUBLIMATION,
    },
    "oxalic trickle": {
        "most": c.TRICKLE_MOST, "dose_at_g": c.TRICKLE_DOSE_G, "shape": c.TRICKLE_SHAPE, "usual_g": c.TRICKLE_USUAL_G,
        "reach": c.REACH, "active_days": c.TRICKLE_ACTIVE_DAYS,
    },
    "oxalic spray": {
        "most": c.SPRAY_MOST, "dose_at_g": c.SPRAY_DOSE_G, "shape": c.SPRAY_SHAPE, "usual_g": c.SPRAY_USUAL_G,
        "reach": c.REACH, "active_days": c.SPRAY_ACTIVE_DAYS,
    },
    "formic acid": {
        "daily": c.FORMIC_DAILY, "worker_cells": c.FORMIC_CELLS, "drone_cells": c.FORMIC_CELLS, "days": c.FORMIC_DAYS,
        "warm_c": c.FORMIC_WARM_C, "cold": c.FORMIC_COLD,
    },
    "thymol": {"daily": c.THYMOL_DAILY, "days": c.THYMOL_DAYS, "warm_c": c.THYMOL_WARM_C, "cold": c.THYMOL_COLD},
    "amitraz strips": {"daily": c.AMITRAZ_DAILY, "days": c.AMITRAZ_DAYS, "resistant": c.AMITRAZ_RESISTANT},
    "pyrethroid strips": {
        "daily": c.PYRETHROID_DAILY, "days": c.PYRETHROID_DAYS, "resistant": c.PYRETHROID_RESISTANT,
    },
    "drone brood removal": {"drone_cells": c.DRONE_REMOVAL_DAILY, "days": c.DRONE_REMOVAL_DAYS},
    "queen caging": {"days": bees.CAGED_DAYS},
    "brood break": {"days": bees.CAGED_DAYS},
    "other": {},
}  # fmt: skip
"""By treatment word, the sourced numbers of its action; `other` has no assumed kill."""


@dataclass(frozen=True, slots=True)
class Action:
    """How one kind of treatment acts. Each field is a number, or an array of draws of shape (n,)."""

    most: float | FloatArray = 0.0
    """Kill of mites on bees at a dose more than enough, in a winter colony [1]."""
    dose_at_g: float | FloatArray = 1.0
    """Scale of the dose curve, crystals [g]."""
    shape: float | FloatArray = 1.0
    """Steepness of the dose curve [1]."""
    usual_g: float | FloatArray = 0.0
    """Dose where none is written, crystals [g]."""
    dilution: float | FloatArray = 0.0
    """Power with which a strong colony thins the dose [1]."""
    reach: float | FloatArray = 0.0
    """Power with which a strong colony lowers the kill [1]."""
    active_days: float | FloatArray = 0.0
    """Days until the residue has lost its last kill [d]."""
    seal_fair: float | FloatArray = 1.0
    seal_poor: float | FloatArray = 1.0
    """Share of the dose that stays in a hive with such a seal [1]."""
    daily: float | FloatArray = 0.0
    """Kill of mites on bees a day while in place [1/d]."""
    worker_cells: float | FloatArray = 0.0
    drone_cells: float | FloatArray = 0.0
    """Kill of mites in such capped cells a day while in place [1/d]."""
    days: float | FloatArray = 1.0
    """Days in place where no end is written [d]."""
    warm_c: float | FloatArray = 0.0
    cold: float | FloatArray = 0.0
    """Share of the kill lost for each degree [1/degC] below `warm_c` [degC]."""
    resistant: float | FloatArray = 0.0
    """Share of the kill lost to resistant mites [1]."""


def default_action(word: str) -> Action:
    """The action of a treatment word at its central numbers.

    Parameters
    ----------
    word : str
        A treatment word of the record sheets, or "other".

    Returns
    -------
    Action
        Scalars.

    Raises
    ------
    ValidityError
        For a word the record sheets do not know.
    """
    if word not in SOURCED:
        raise ValidityError(f"treatment word must be one of {', '.join(SOURCED)}: got {word!r}")
    return Action(**{name: constant.value for name, constant in SOURCED[word].items()})
