"""What a warm-up and a colony take out of a battery, with everything uncertain drawn over its range."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.battery import Battery, capacity_share, drain_ah_per_h
from kit.calc.heat import dose_energy_kj, warm_up_times_s
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.constants import Constant
from kit.constants import heat as hot
from kit.constants import supply as k

Draws = NDArray[np.float64]


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
class Spread:
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


def _around(middle: float, constant: Constant) -> Spread:
    """A constant's relative range about another middle."""
    return Spread(
        middle, middle * constant.low / constant.value, middle * constant.high / constant.value, constant.unit
    )


def input_spreads(
    battery: Battery, inverter: Inverter, sublimator: Sublimator, air_c: float, minutes_per_colony: float
) -> dict[str, Spread]:
    """Middle and range of everything that is drawn.

    Parameters
    ----------
    battery, inverter, sublimator : Battery, Inverter, Sublimator
        For the middles they give.
    air_c : float
        [°C].
    minutes_per_colony : float
        From one dose to the next [min].

    Returns
    -------
    dict
        By the names of `Inputs`, in their order.
    """
    kind, warmer = battery.kind, k.BATTERY_WARMER_K
    exponent = Spread(kind.exponent, kind.exponent_low, kind.exponent_high, "1")
    cold = Spread(air_c + warmer.value, air_c + warmer.low, air_c + warmer.high, "°C")
    pace, spoon = _around(minutes_per_colony, k.PACE_FACTOR), _around(sublimator.dose_g, k.SPOON_FACTOR)
    spreads = (
        _around(sublimator.loss_w_per_k, hot.LOSS_W_PER_K),
        Spread(pace.middle, pace.low, pace.high, "min"),
        Spread(spoon.middle, spoon.low, spoon.high, "g"),
        _around(battery.health_pct, k.HEALTH_PCT),
        exponent,
        _around(inverter.efficiency_pct, k.INVERTER_EFFICIENCY_PCT),
        _around(inverter.idle_w, k.INVERTER_IDLE_W),
        cold,
        _around(k.INTERNAL_OHM.value * k.RATED_AH.value / battery.rated_ah, k.INTERNAL_OHM),
    )
    return dict(zip(Inputs._fields, spreads, strict=True))


def draw_inputs(spreads: dict[str, Spread], *, draws: int, seed: int) -> Inputs:
    """Independent draws of every input from one seeded stream.

    Parameters
    ----------
    spreads : dict
        As from `input_spreads`.
    draws : int
        Number of draws.
    seed : int
        Of the stream.

    Returns
    -------
    Inputs
        Arrays of shape (draws,).
    """
    z = np.random.default_rng(seed).standard_normal((len(spreads), draws))
    return Inputs(*(spread.at(row) for spread, row in zip(spreads.values(), z, strict=True)))


class ChargeUse(NamedTuple):
    """Where a charge goes; arrays of draws, in Ah with Peukert's toll in them.

    Parameters
    ----------
    full_ah : array
        In a full battery at its age and temperature [Ah].
    warm_up_ah, colony_ah : array
        One warm-up, one colony [Ah].
    working_a : array
        While the heater is on [A].
    keeps_pace : array of bool
        Whether the heater makes up for losses and doses at this pace.
    """

    full_ah: Draws
    warm_up_ah: Draws
    colony_ah: Draws
    working_a: Draws
    keeps_pace: NDArray[np.bool_]


def charge_use(
    inputs: Inputs, battery: Battery, inverter: Inverter, sublimator: Sublimator, *, air_c: float
) -> ChargeUse:
    """What a warm-up and a colony take out of a battery, in closed form.

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
    ChargeUse
        Arrays of shape (n,).

    Notes
    -----
    The thermostat's on and off are averaged by energy; Peukert is reckoned on the working current.
    `kit.calc.discharge` steps through the same visit as a check.
    """
    watts = sublimator.watts
    volts = battery.volts / k.BATTERY_V.value * k.WORKING_V.value
    loss = np.minimum(inputs.loss_w_per_k, 0.95 * watts / max(sublimator.rise_k, sublimator.hold_c - air_c))
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
    return ChargeUse(
        np.asarray(whole_ah * capacity_share(inputs.battery_c, lithium=battery.kind.lithium)),
        np.asarray(warm_s * drain / 3600),
        np.asarray((on_s * drain + (seconds - on_s) * idle_a) / 3600),
        np.asarray(on_a),
        np.asarray(spare_w * seconds > dose_j * (1 - 1e-9)),
    )


def _capacity(loss: Draws, sublimator: Sublimator) -> Draws:
    """Heat capacity that keeps the machine's known warm-up time at each drawn loss [J/K]."""
    unit = warm_up_times_s(sublimator.watts, 1.0, loss, sublimator.rise_k)
    return np.asarray(sublimator.warm_up_s / unit)
