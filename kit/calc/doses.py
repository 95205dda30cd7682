"""Doses a battery charge gives, as a range, with what limits it and what moves it most."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.battery import Battery
from kit.calc.charge import Inputs, charge_use, draw_inputs, input_spreads
from kit.calc.inverter import Inverter
from kit.calc.ranges import Band, band_of
from kit.calc.sublimator import Sublimator
from kit.checks import not_negative, positive, within
from kit.constants import supply as k
from kit.errors import ValidityError

Draws = NDArray[np.float64]

LIMITS = ("discharge limit", "low-voltage cut-out", "heater cannot keep the pace", "inverter too small")
"""What ends a charge: the share that may be taken out, the inverter's cut-out, or a supply that never manages."""


class DosesPerCharge(NamedTuple):
    """Doses from one charge: 5, 50 and 95 % points, and what ends it.

    Parameters
    ----------
    p05, p50, p95 : float
        Whole doses.
    limit : str
        What ends the charge in most draws: one of `LIMITS`.
    limit_pct : float
        Share of the draws it ends [%].
    caution : str
        A sentence to show beside it, or empty.
    """

    p05: float
    p50: float
    p95: float
    limit: str
    limit_pct: float
    caution: str


class ChargesNeeded(NamedTuple):
    """Full charges to take.

    Parameters
    ----------
    expected : int
        At the middle of the range.
    safe : int
        At its 5 % point.
    take_spare : bool
        Whether the 5 % case needs more than the middle one.
    """

    expected: int
    safe: int
    take_spare: bool


class Swing(NamedTuple):
    """What one input does to the doses per charge while the others stay at their middle."""

    what: str
    low: float
    high: float
    unit: str
    doses_at_low: float
    doses_at_high: float


def doses_from_inputs(
    inputs: Inputs, battery: Battery, inverter: Inverter, sublimator: Sublimator, *, air_c: float
) -> Draws:
    """Doses before each limit of `LIMITS`: the smallest of a column is what one charge gives.

    Parameters
    ----------
    inputs, battery, inverter, sublimator, air_c
        As for `charge_use`.

    Returns
    -------
    array, shape (4, n)
        Doses, not rounded.

    Notes
    -----
    The volts at the cut-out are those of a rested cell less what resistance takes.
    """
    use = charge_use(inputs, battery, inverter, sublimator, air_c=air_c)
    share = np.full((len(LIMITS), len(use.full_ah)), np.inf)
    share[0] = battery.usable_pct / 100
    share[1] = _share_before_cut_out(inputs, battery, inverter, use.working_a)
    share[2, ~use.keeps_pace] = 0.0
    share[3] = np.inf if sublimator.watts <= inverter.watts else 0.0
    return np.asarray(np.maximum((share * use.full_ah - use.warm_up_ah) / use.colony_ah, 0.0))


def _share_before_cut_out(inputs: Inputs, battery: Battery, inverter: Inverter, on_a: Draws) -> Draws:
    """Share of the charge out when volts under load fall to the cut-out; lithium holds its volts to the end."""
    if battery.kind.lithium:
        return np.ones_like(on_a)
    cells = battery.volts / 2
    lost_v = on_a * (inputs.internal_ohm + inverter.leads.ohm) * (battery.volts / k.BATTERY_V.value)
    gravity = (inverter.cut_out_v * battery.volts / k.BATTERY_V.value + lost_v) / cells - k.CELL_OFFSET_V.value
    left = (gravity - k.GRAVITY_EMPTY.value) / (k.GRAVITY_FULL.value - k.GRAVITY_EMPTY.value)
    return np.clip(1 - left, 0.0, 1.0)


def doses_per_charge(  # noqa: PLR0913 the interface is fixed by the plan that calls it
    battery: Battery,
    inverter: Inverter,
    sublimator: Sublimator,
    *,
    air_c: float,
    minutes_per_colony: float,
    draws: int = 2000,
    seed: int = 0,
) -> DosesPerCharge:
    """Doses one full charge gives, 5, 50 and 95 % points, and what ends it.

    Parameters
    ----------
    battery : Battery
        Full at the start.
    inverter : Inverter
        Between battery and machine.
    sublimator : Sublimator
        One that holds its heat; it warms up once a charge.
    air_c : float
        -25 to 45 [°C].
    minutes_per_colony : float
        From one dose to the next, sealing and walking included [min].
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    DosesPerCharge
        Whole doses.

    Raises
    ------
    ValidityError
        Air outside its range, minutes or draws not above zero.

    Notes
    -----
    Drawn: the machine's loss, the pace, the spoon, the battery's health, Peukert's exponent, the inverter's efficiency
    and own use, the battery's temperature and its resistance, each independently over the range of its constant.

    References
    ----------
    peukert1897, ieee485, doe1084, common practice

    Examples
    --------
    >>> doses_per_charge(Battery(), Inverter(), Sublimator(), air_c=7.0, minutes_per_colony=3.0).limit
    'discharge limit'
    """
    within("air_c", air_c, -25, 45)
    positive("minutes_per_colony", minutes_per_colony)
    positive("draws", draws)
    inputs = draw_inputs(
        input_spreads(battery, inverter, sublimator, air_c, minutes_per_colony), draws=draws, seed=seed
    )
    by_limit = doses_from_inputs(inputs, battery, inverter, sublimator, air_c=air_c)
    ends = np.bincount(np.argmin(by_limit, axis=0), minlength=len(LIMITS))
    band = band_of(np.floor(by_limit.min(axis=0) + 1e-9))
    first = int(np.argmax(ends))
    return DosesPerCharge(*band, LIMITS[first], 100 * float(ends[first]) / draws, battery.caution)


def doses_sensitivity(
    battery: Battery, inverter: Inverter, sublimator: Sublimator, *, air_c: float, minutes_per_colony: float
) -> tuple[Swing, ...]:
    """Which input moves the doses per charge most: each taken from its 5 to its 95 % point, the others at their middle.

    Parameters
    ----------
    battery, inverter, sublimator, air_c, minutes_per_colony
        As for `doses_per_charge`.

    Returns
    -------
    tuple of Swing
        Largest first; doses not rounded.
    """
    spreads = input_spreads(battery, inverter, sublimator, air_c, minutes_per_colony)
    middle = Inputs(*(np.array([s.middle]) for s in spreads.values()))

    def doses(name: str, value: float) -> float:
        tried = middle._replace(**{name: np.array([value])})
        return float(doses_from_inputs(tried, battery, inverter, sublimator, air_c=air_c).min())

    swings = [
        Swing(name, s.low, s.high, s.unit, doses(name, s.low), doses(name, s.high)) for name, s in spreads.items()
    ]
    return tuple(sorted(swings, key=lambda s: -abs(s.doses_at_high - s.doses_at_low)))


def charges_needed(colonies: int, doses: DosesPerCharge | Band, *, battery: Battery | None = None) -> ChargesNeeded:
    """Full charges, or full batteries, for a day's colonies.

    Parameters
    ----------
    colonies : int
        To treat before the next recharge.
    doses : DosesPerCharge or Band
        What one charge gives [1].
    battery : Battery, optional
        Given to have a plan refused that would strand the vehicle.

    Returns
    -------
    ChargesNeeded
        `take_spare` is the "take two batteries" line.

    Raises
    ------
    ValidityError
        When one charge does not give one dose at the 5 % point, or when the vehicle's own battery would be drained.
    """
    safe = charges_needed_for(colonies, max(doses.p05, 0.0))
    if battery is not None and battery.starts_vehicle and safe > 1:
        raise ValidityError(
            f"colonies must be <= {doses.p05:g} on the vehicle's own battery: got {colonies}; more would leave too "
            "little to start the engine, so take a separate battery or run the engine"
        )
    expected = charges_needed_for(colonies, max(doses.p50, doses.p05))
    return ChargesNeeded(expected, safe, safe > expected)


def charges_needed_for(colonies: float, doses: float) -> int:
    """Full charges for a number of colonies at so many doses each.

    Parameters
    ----------
    colonies : float
        To treat [1].
    doses : float
        One charge gives [1].

    Returns
    -------
    int
        At least one when there is a colony.

    Raises
    ------
    ValidityError
        When a charge does not give a single dose.
    """
    not_negative("colonies", colonies)
    if doses < 1:
        raise ValidityError(f"doses must be >= 1: got {doses:g}; this supply does not carry one colony")
    return int(np.ceil(colonies / doses))
