"""A battery at work: what is left in it by current, cold and age.

Lead-acid after Peukert with the cold divisor of IEEE 485 and the cell voltage of the DOE handbook; lithium iron
phosphate by its own, flatter, numbers.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.checks import positive, within
from kit.constants import supply as k

Number = float | NDArray[np.float64]


class BatteryType(NamedTuple):
    """What the word in the sheet `gear` stands for."""

    exponent: float
    exponent_low: float
    exponent_high: float
    usable_pct: float
    lithium: bool
    caution: str


TYPES: dict[str, BatteryType] = {
    "starter": BatteryType(
        *(k.PEUKERT_EXPONENT.value, k.PEUKERT_EXPONENT.low, k.PEUKERT_EXPONENT.high, k.USABLE_PCT.value, False),
        "A starter battery dies of half discharges: each one costs it life. A deep-cycle type is made for this.",
    ),
    "deep cycle": BatteryType(
        *(k.PEUKERT_EXPONENT.value, k.PEUKERT_EXPONENT.low, k.PEUKERT_EXPONENT.high, k.USABLE_PCT.value, False), ""
    ),
    "agm": BatteryType(*(k.AGM_EXPONENT.value, k.AGM_EXPONENT.low, k.AGM_EXPONENT.high, k.USABLE_PCT.value, False), ""),
    "lithium": BatteryType(
        *(k.LITHIUM_EXPONENT.value, k.LITHIUM_EXPONENT.low, k.LITHIUM_EXPONENT.high, k.LITHIUM_USABLE_PCT.value, True),
        "",
    ),
}
"""By the word used in `gear.type`, lower case."""


@dataclass(frozen=True)
class Battery:
    """A battery as its label and its owner describe it.

    Parameters
    ----------
    rated_ah : float
        Printed capacity [Ah].
    rated_h : float
        Hours of discharge it is printed for [h].
    type : str
        starter, deep cycle, agm or lithium; another word counts as starter, the most careful.
    volts : float
        12 or 24 [V].
    health_pct : float
        Capacity left against the printed one, at the middle of the guess [%].
    starts_vehicle : bool
        True for the vehicle's own battery: most of it must stay in.

    Raises
    ------
    ValidityError
        Capacity, hours or volts not above zero, health outside 1 to 110.
    """

    rated_ah: float = k.RATED_AH.value
    rated_h: float = k.RATED_H.value
    type: str = "starter"
    volts: float = k.BATTERY_V.value
    health_pct: float = k.HEALTH_PCT.value
    starts_vehicle: bool = False

    def __post_init__(self) -> None:
        positive("rated_ah", self.rated_ah)
        positive("rated_h", self.rated_h)
        positive("volts", self.volts)
        within("health_pct", self.health_pct, 1, 110)

    @property
    def kind(self) -> BatteryType:
        """Numbers of its type."""
        return TYPES.get(self.type.casefold(), TYPES["starter"])

    @property
    def usable_pct(self) -> float:
        """Share that may be taken out before it is recharged [%]."""
        return k.VEHICLE_USABLE_PCT.value if self.starts_vehicle else self.kind.usable_pct

    @property
    def caution(self) -> str:
        """A sentence to show beside any plan with it, empty when there is none."""
        return "The vehicle's own battery must get you home." if self.starts_vehicle else self.kind.caution


def peukert_hours(*, rated_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    r"""Hours a lead-acid battery lasts at a steady current.

    .. math:: t = H \left(\frac{C}{I H}\right)^k

    Parameters
    ----------
    rated_ah : float
        Capacity `C` at the rated hours [Ah].
    rated_h : float
        `H` [h].
    current_a : float
        `I` [A].
    exponent : float
        `k`, 1 to 1.6 [1].

    Returns
    -------
    float
        [h].

    Raises
    ------
    ValidityError
        A number not above zero, or an exponent outside 1 to 1.6.

    References
    ----------
    peukert1897

    Examples
    --------
    >>> round(20 * peukert_hours(rated_ah=65, rated_h=20, current_a=20, exponent=1.2), 1)
    45.2
    """
    positive("rated_ah", rated_ah)
    positive("rated_h", rated_h)
    positive("current_a", current_a)
    within("exponent", exponent, 1.0, 1.6)
    return float(rated_h * (rated_ah / (current_a * rated_h)) ** exponent)


def drain_ah_per_h(current_a: Number, *, rated_ah: Number, rated_h: Number, exponent: Number) -> Number:
    """Capacity a current uses up each hour with Peukert's toll; below the rated current neither toll nor gain.

    Parameters
    ----------
    current_a : float or array
        [A].
    rated_ah : float or array
        Of the battery as it is [Ah].
    rated_h : float or array
        [h].
    exponent : float or array
        Peukert's [1].

    Returns
    -------
    float or array
        [Ah/h].
    """
    toll = np.maximum(np.asarray(current_a) * rated_h / rated_ah, 1.0) ** (np.asarray(exponent) - 1)
    drain: Number = current_a * toll
    return drain


def cold_divisor(celsius: float, *, extrapolate: bool = False) -> float:
    r"""What a cold lead-acid battery's capacity is divided by.

    .. math:: -2.8117 x^3 + 4.1916 x^2 - 2.4941 x + 1.405, \quad x = T / 100

    Parameters
    ----------
    celsius : float
        Electrolyte, -4 to 50 [°C].
    extrapolate : bool
        True to go on to colder ones, down to -25.

    Returns
    -------
    float
        1.0 at 25 °C [1].

    Raises
    ------
    ValidityError
        Outside the range.

    References
    ----------
    ieee485

    Examples
    --------
    >>> round(100 / cold_divisor(0))
    71
    """
    within("celsius", celsius, -25.0 if extrapolate else -4.0, 50.0)
    return float(_divisor(celsius))


def _divisor(celsius: Number) -> Number:
    x = np.asarray(celsius) / 100
    divisor: Number = ((k.COLD_CUBE.value * x + k.COLD_SQUARE.value) * x + k.COLD_SLOPE.value) * x + k.COLD_OFFSET.value
    return divisor


def capacity_share(celsius: Number, *, lithium: bool) -> Number:
    """Share of the capacity at 25 °C that a battery has at a temperature, over draws; kept within -25 to 50 °C.

    Parameters
    ----------
    celsius : float or array
        Of the battery [°C].
    lithium : bool
        Whether it is lithium iron phosphate.

    Returns
    -------
    float or array
        0 to a little over 1 [1].
    """
    kept = np.clip(celsius, -25.0, 50.0)
    if lithium:
        share: Number = 1 - k.LITHIUM_COLD_PCT_PER_K.value / 100 * np.clip(20.0 - kept, 0, 60)
        return share
    cold: Number = 1 / _divisor(kept)
    return cold
