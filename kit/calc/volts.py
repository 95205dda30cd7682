"""Volts of a rested lead-acid battery, and the charge they stand for."""

import numpy as np
from numpy.typing import NDArray

from kit.checks import positive, within
from kit.constants import supply as k

Number = float | NDArray[np.float64]


def cell_volts(specific_gravity: float) -> float:
    """Open-circuit volts of a rested lead-acid cell.

    Parameters
    ----------
    specific_gravity : float
        Of the electrolyte, 1.05 to 1.35 [1].

    Returns
    -------
    float
        [V].

    Raises
    ------
    ValidityError
        Outside that range.

    References
    ----------
    doe1084

    Examples
    --------
    >>> round(cell_volts(1.28), 3)
    2.125
    """
    return within("specific_gravity", specific_gravity, 1.05, 1.35) + k.CELL_OFFSET_V.value


def rest_volts(charge_left_pct: Number, *, volts: float = 12.0) -> Number:
    """Volts of a lead-acid battery that has rested for hours.

    Parameters
    ----------
    charge_left_pct : float or array
        [%].
    volts : float
        Nominal, 12 or 24 [V].

    Returns
    -------
    float or array
        [V].

    References
    ----------
    doe1084

    Examples
    --------
    >>> round(float(rest_volts(50.0)), 1)
    12.2
    """
    span = k.GRAVITY_FULL.value - k.GRAVITY_EMPTY.value
    gravity = k.GRAVITY_EMPTY.value + span * np.asarray(charge_left_pct) / 100
    rested: Number = volts / 2 * (gravity + k.CELL_OFFSET_V.value)
    return rested


def charge_left_pct(resting_volts: float, *, volts: float = 12.0) -> float:
    """Charge left by the volts of a lead-acid battery that has rested for hours; the inverse of `rest_volts`.

    Parameters
    ----------
    resting_volts : float
        [V].
    volts : float
        Nominal, 12 or 24 [V].

    Returns
    -------
    float
        Kept within 0 and 100 [%].

    Raises
    ------
    ValidityError
        Volts not above zero.

    Notes
    -----
    Right after work volts read low, right after the charger high: both take hours to settle. Not for lithium, whose
    volts hardly move.

    References
    ----------
    doe1084

    Examples
    --------
    >>> round(charge_left_pct(12.2))
    47
    """
    cell = 2 * positive("resting_volts", resting_volts) / positive("volts", volts)
    gravity = cell - k.CELL_OFFSET_V.value
    share = (gravity - k.GRAVITY_EMPTY.value) / (k.GRAVITY_FULL.value - k.GRAVITY_EMPTY.value)
    return float(np.clip(100 * share, 0, 100))
