"""What is left in a battery after some colonies, as a range."""

from typing import NamedTuple

import numpy as np

from kit.calc.battery import Battery
from kit.calc.charge import charge_use, draw_inputs, input_spreads
from kit.calc.inverter import Inverter
from kit.calc.ranges import Band, band_of
from kit.calc.sublimator import Sublimator
from kit.checks import not_negative, positive, within


class Demand(NamedTuple):
    """What a battery is asked for between two nights on the charger.

    Parameters
    ----------
    doses : float
        Colonies treated [1].
    warm_ups : int
        Times the machine was heated from cold: once a stop.
    air_c : float
        -25 to 45 [°C].
    minutes_per_colony : float
        From one dose to the next [min].
    """

    doses: float
    warm_ups: int
    air_c: float
    minutes_per_colony: float


def charge_left_after_pct(
    battery: Battery, inverter: Inverter, sublimator: Sublimator, demand: Demand, *, draws: int = 2000, seed: int = 0
) -> Band:
    """Charge left in a battery that was full, against full at its age and temperature.

    Parameters
    ----------
    battery, inverter, sublimator : Battery, Inverter, Sublimator
        As for `kit.calc.doses.doses_per_charge`, with the same draws.
    demand : Demand
        Doses, warm-ups, air and pace.
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    Band
        0 to 100; where it ends at 0 the battery gave out before the last colony [%].

    Raises
    ------
    ValidityError
        Negative doses or warm-ups, a pace not above zero, or air outside its range.

    Examples
    --------
    >>> round(charge_left_after_pct(Battery(), Inverter(), Sublimator(), Demand(0, 0, 7.0, 3.0)).p50)
    100
    """
    not_negative("doses", demand.doses)
    not_negative("warm_ups", demand.warm_ups)
    positive("minutes_per_colony", demand.minutes_per_colony)
    air_c = within("air_c", demand.air_c, -25, 45)
    spreads = input_spreads(battery, inverter, sublimator, air_c, demand.minutes_per_colony)
    inputs = draw_inputs(spreads, draws=draws, seed=seed)
    use = charge_use(inputs, battery, inverter, sublimator, air_c=air_c)
    gone = (demand.warm_ups * use.warm_up_ah + demand.doses * use.colony_ah) / use.full_ah
    return band_of(np.clip(100 * (1 - gone), 0.0, 100.0))
