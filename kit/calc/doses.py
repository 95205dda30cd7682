"""Doses a battery charge gives, as a range, with what limits it and what moves it most."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.battery import Battery, capacity_share, drain_ah_per_h
from kit.calc.heat import dose_energy_kj, warm_up_times_s
from kit.calc.inverter import Inverter
from kit.calc.ranges import Band, band_of
from kit.calc.sublimator import Sublimator
from kit.checks import not_negative, positive, within
from kit.constants import Constant
from kit.constants import heat as hot
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


class Inputs(NamedTuple):
    """Draws of everything that is not known; each an array of one shape, or a number."""

    loss_w_per_k: Draws
    minutes_per_colony: Draws
    dose_g: Draws
    health_pct: Draws
    exponent: Draws
    efficiency_pct: Draws
    idle_w: Draws
    battery_c: Draws
    internal_ohm: Draws


@dataclass(frozen=True)
class _Spread:
    """Middle with its 5 and 95 % points."""

    middle: float
    low: float
    high: float
    unit: str

    def at(self, z: Draws) -> Draws:
        """A width of its own on either side of the middle, on the log where all is positive."""
        side = np.where(z < 0, self.low, self.high)
        if self.low > 0:
            return np.asarray(self.middle * (side / self.middle) ** (np.abs(z) / 1.645))
        return np.asarray(self.middle + (side - self.middle) * np.abs(z) / 1.645)


def _around(middle: float, constant: Constant) -> _Spread:
    """A constant's relative range about another middle."""
    return _Spread(
        middle, middle * constant.low / constant.value, middle * constant.high / constant.value, constant.unit
    )


def _spreads(
    battery: Battery, inverter: Inverter, sublimator: Sublimator, air_c: float, minutes_per_colony: float
) -> dict[str, _Spread]:
    kind, warmer = battery.kind, k.BATTERY_WARMER_K
    exponent = _Spread(kind.exponent, kind.exponent_low, kind.exponent_high, "1")
    cold = _Spread(air_c + warmer.value, air_c + warmer.low, air_c + warmer.high, "°C")
    pace, spoon = _around(minutes_per_colony, k.PACE_FACTOR), _around(sublimator.dose_g, k.SPOON_FACTOR)
    spreads = (
        _around(sublimator.loss_w_per_k, hot.LOSS_W_PER_K),
        _Spread(pace.middle, pace.low, pace.high, "min"),
        _Spread(spoon.middle, spoon.low, spoon.high, "g"),
        _around(battery.health_pct, k.HEALTH_PCT),
        exponent,
        _around(inverter.efficiency_pct, k.INVERTER_EFFICIENCY_PCT),
        _around(inverter.idle_w, k.INVERTER_IDLE_W),
        cold,
        _around(k.INTERNAL_OHM.value * k.RATED_AH.value / battery.rated_ah, k.INTERNAL_OHM),
    )
    return dict(zip(Inputs._fields, spreads, strict=True))


def draw_inputs(spreads: dict[str, _Spread], *, draws: int, seed: int) -> Inputs:
    """Independent draws of every input from one seeded stream."""
    z = np.random.default_rng(seed).standard_normal((len(spreads), draws))
    return Inputs(*(spread.at(row) for spread, row in zip(spreads.values(), z, strict=True)))


def doses_from_inputs(
    inputs: Inputs, battery: Battery, inverter: Inverter, sublimator: Sublimator, *, air_c: float
) -> Draws:
    """Doses before each limit of `LIMITS`, in closed form: the smallest of a column is what one charge gives.

    Parameters
    ----------
    inputs : Inputs
        Of shape (n,).
    battery, inverter, sublimator : Battery, Inverter, Sublimator
        Their fixed numbers.
    air_c : float
        [°C].

    Returns
    -------
    array, shape (4, n)
        Doses, not rounded.

    Notes
    -----
    The thermostat's on and off are averaged by energy, Peukert is reckoned on the working current, and the volts at
    the cut-out are those of a rested cell less what resistance takes. `kit.calc.discharge` steps through the same
    visit as a check.
    """
    watts = sublimator.watts
    volts = battery.volts / k.BATTERY_V.value * k.WORKING_V.value
    loss = np.minimum(inputs.loss_w_per_k, 0.95 * watts / sublimator.rise_k)
    lost_w = loss * (sublimator.hold_c - air_c)
    dose_j = 1000 * dose_energy_kj(1.0, start_c=float(np.clip(air_c, -30, 60))) * inputs.dose_g
    spare_w = np.maximum(watts - lost_w, 1e-9)
    seconds = np.maximum(60 * inputs.minutes_per_colony, dose_j / spare_w)
    on_s = np.minimum((lost_w * seconds + dose_j) / watts, seconds)
    warm_s = warm_up_times_s(watts, _capacity(loss, sublimator), loss, max(sublimator.hold_c - air_c, 0.0))

    idle_a = inputs.idle_w / volts
    on_a = 100 * watts / inputs.efficiency_pct / volts + idle_a
    whole_ah = battery.rated_ah * inputs.health_pct / 100
    drain = drain_ah_per_h(on_a, rated_ah=whole_ah, rated_h=battery.rated_h, exponent=inputs.exponent)
    colony_ah = (on_s * drain + (seconds - on_s) * idle_a) / 3600
    left_ah = whole_ah * capacity_share(inputs.battery_c, lithium=battery.kind.lithium)

    usable = np.array([battery.usable_pct, *[100.0] * 3])[:, None] / 100 * np.ones_like(loss)
    usable[1] = _share_before_cut_out(inputs, battery, inverter, on_a)
    usable[2] = np.where(spare_w * seconds > dose_j * (1 - 1e-9), np.inf, 0.0)
    usable[3] = np.inf if watts <= inverter.watts else 0.0
    return np.asarray(np.maximum((usable * left_ah - warm_s * drain / 3600) / colony_ah, 0.0))


def _capacity(loss: Draws, sublimator: Sublimator) -> Draws:
    """Heat capacity that keeps the machine's known warm-up time at each drawn loss [J/K]."""
    unit = warm_up_times_s(sublimator.watts, 1.0, loss, sublimator.rise_k)
    return np.asarray(sublimator.warm_up_s / unit)


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
    inputs = draw_inputs(_spreads(battery, inverter, sublimator, air_c, minutes_per_colony), draws=draws, seed=seed)
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
    spreads = _spreads(battery, inverter, sublimator, air_c, minutes_per_colony)
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
        What one charge gives.
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
        To treat.
    doses : float
        One charge gives.

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
