"""A visit stepped through second by second: chamber, thermostat and battery; the check on `kit.calc.charge`.

It also gives the curve of the charge left, for a chart.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.battery import Battery, capacity_share, drain_ah_per_h
from kit.calc.heat import dose_energy_kj
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.checks import positive
from kit.constants import heat, supply

Draws = NDArray[np.float64]


class Course(NamedTuple):
    """The course of a visit, one value for each step.

    Parameters
    ----------
    time_min : array, shape (n,)
        Since switching on [min].
    chamber_c : array, shape (n,)
        [°C].
    charge_left_pct : array, shape (n,)
        Of what the battery holds full, at its age and temperature [%].
    heater_on : array of bool, shape (n,)
        Whether the thermostat is on.
    """

    time_min: Draws
    chamber_c: Draws
    charge_left_pct: Draws
    heater_on: NDArray[np.bool_]


def discharge(  # noqa: PLR0913 the four objects of a visit, its air and pace, and the step
    battery: Battery,
    inverter: Inverter,
    sublimator: Sublimator,
    *,
    air_c: float,
    minutes_per_colony: float,
    colonies: int,
    step_s: float = 1.0,
) -> Course:
    """Chamber and charge through a visit on battery and inverter.

    Parameters
    ----------
    battery, inverter, sublimator : Battery, Inverter, Sublimator
        The battery full at the start, at the middle of its spread.
    air_c : float
        [°C].
    minutes_per_colony : float
        From one dose to the next; the first goes in when the chamber is hot [min].
    colonies : int
        To treat.
    step_s : float
        Of the clock [s].

    Returns
    -------
    Course
        From switching on to one interval after the last dose.

    Raises
    ------
    ValidityError
        A pace or step not above zero.

    Notes
    -----
    A dose takes its heat evenly over the machine's seconds. Peukert is reckoned at each step on its current.
    """
    positive("minutes_per_colony", minutes_per_colony)
    positive("step_s", step_s)
    heater = _heater(sublimator, air_c, minutes_per_colony, colonies, step_s)
    on = np.array([bool(state[1]) for state in heater])
    volts = battery.volts / supply.BATTERY_V.value * supply.WORKING_V.value
    current = inverter.idle_w / volts + on * 100 * sublimator.watts / inverter.efficiency_pct / volts
    whole = battery.rated_ah * battery.health_pct / 100
    drain = drain_ah_per_h(current, rated_ah=whole, rated_h=battery.rated_h, exponent=battery.kind.exponent)
    full = whole * capacity_share(air_c + supply.BATTERY_WARMER_K.value, lithium=battery.kind.lithium)
    left = 100 * (1 - np.cumsum(drain) * step_s / 3600 / full)
    time = np.arange(1.0, len(heater) + 1) * step_s / 60
    return Course(
        time, np.array([state[0] for state in heater], dtype=np.float64), np.asarray(left, dtype=np.float64), on
    )


def _heater(
    sublimator: Sublimator, air_c: float, minutes_per_colony: float, colonies: int, step_s: float
) -> list[tuple[float, bool]]:
    """Chamber [°C] and thermostat for each step: explicit Euler, switching between hold and hold less its band."""
    chamber = sublimator.chamber
    dose_w = 1000 * dose_energy_kj(sublimator.dose_g, start_c=air_c) / sublimator.expel_s
    temp, on, hot_at = air_c, True, float("inf")
    states: list[tuple[float, bool]] = []
    time, end = 0.0, float("inf")
    while time < end:
        on = temp < sublimator.hold_c - (0.0 if on else heat.THERMOSTAT_BAND_K.value)
        since = time - hot_at
        dosing = 0 <= since < 60 * minutes_per_colony * colonies
        dosing = dosing and since % (60 * minutes_per_colony) < sublimator.expel_s
        flow = sublimator.watts * on - sublimator.loss_w_per_k * (temp - air_c) - dose_w * dosing
        temp += step_s * flow / float(chamber.heat_capacity_j_per_k)
        states.append((temp, on))
        time += step_s
        if hot_at == float("inf") and temp >= sublimator.hold_c:
            hot_at, end = time, time + 60 * minutes_per_colony * colonies
    return states
