"""A sublimator on less than its full power: how long it warms up, how long a dose takes, what a charge gives."""

import math
from typing import NamedTuple

from kit.calc.doses import DosesPerCharge, doses_per_charge
from kit.calc.expulsion import expel_s, working_temperature_c
from kit.calc.heat import warm_up_times_s
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.calc.supply import Direct, power_at_heater_w
from kit.checks import positive
from kit.constants import chemistry, supply
from kit.errors import ValidityError


class AtPower(NamedTuple):
    """A machine on a power.

    Parameters
    ----------
    power_w : float
        At the heater [W].
    warm_up_min : float
        From air to the hold; infinite where it never arrives [min].
    expel_s, expel_most_s : float
        One dose, at the pace: if it lives on the chamber's stored heat, and if on the heater alone; infinite where the
        chamber is too cold to finish [s].
    chamber_c : float
        Where it settles while dose follows dose [°C].
    """

    power_w: float
    warm_up_min: float
    expel_s: float
    expel_most_s: float
    chamber_c: float

    @property
    def works(self) -> bool:
        """Whether it gets hot, and a dose goes."""
        hot = math.isfinite(self.warm_up_min) and self.chamber_c > chemistry.SUBLIMES_C.value
        return hot and math.isfinite(self.expel_s)


def at_power(sublimator: Sublimator, power_w: float, *, air_c: float, minutes_per_colony: float) -> AtPower:
    """How a machine does on a power, its chamber and contact as they are in good order.

    Parameters
    ----------
    sublimator : Sublimator
        In good order.
    power_w : float
        At the heater [W].
    air_c : float
        [°C].
    minutes_per_colony : float
        From one dose to the next [min].

    Returns
    -------
    AtPower
        At full power and the air of its warm-up time, the times it is known by.

    Raises
    ------
    ValidityError
        A power or pace not above zero.

    Notes
    -----
    How far a dose lives on stored heat and how far on the heater is not known: `kit.calc.causes` draws it between the
    two ends that stand here.

    References
    ----------
    assumed

    Examples
    --------
    >>> full = at_power(Sublimator(), 200.0, air_c=8.0, minutes_per_colony=3.0)
    >>> weak = at_power(Sublimator(), 162.0, air_c=8.0, minutes_per_colony=3.0)
    >>> round(full.warm_up_min, 1), round(weak.warm_up_min, 1), round(full.expel_s), round(weak.expel_most_s)
    (5.5, 7.2, 20, 25)
    """
    positive("minutes_per_colony", minutes_per_colony)
    chamber = sublimator.chamber._replace(power_w=positive("power_w", power_w))
    seconds = 60 * minutes_per_colony
    settled = working_temperature_c(sublimator.dose_g, chamber, seconds_between_doses=seconds, air_c=air_c)
    rise = max(sublimator.hold_c - air_c, 0.0)
    warm = warm_up_times_s(power_w, chamber.heat_capacity_j_per_k, chamber.loss_w_per_k, rise)
    dose = expel_s(sublimator.dose_g, chamber, chamber_c=settled, air_c=air_c)
    most = float(dose) * max(sublimator.watts / power_w, 1.0)
    return AtPower(power_w, float(warm) / 60, float(dose), most, float(settled))


def behind_leads(direct: Direct, sublimator: Sublimator) -> tuple[Inverter, Sublimator]:
    """A machine straight on a battery, as one behind an "inverter" without own use or cut-out that only loses heat.

    Parameters
    ----------
    direct : Direct
        Battery and leads.
    sublimator : Sublimator
        Made for the battery's volts.

    Returns
    -------
    tuple of Inverter and Sublimator
        The leads, and the machine as it does on what is left.

    Raises
    ------
    ValidityError
        When so little is left that it never gets hot.
    """
    volts = direct.battery.volts / supply.BATTERY_V.value * supply.WORKING_V.value
    power_w = power_at_heater_w(direct, sublimator, supply_v=volts)
    heater_ohm = sublimator.rated_v**2 / sublimator.watts
    weak = at_power(
        sublimator, power_w, air_c=sublimator.warm_up_from_c, minutes_per_colony=sublimator.expel_s / 60 + 1.0
    )
    if not weak.works:
        raise ValidityError(f"power at the heater must be enough to get it hot: got {power_w:.0f} W")
    machine = Sublimator(
        watts=power_w, warm_up_s=60 * weak.warm_up_min,
        expel_s=math.sqrt(weak.expel_s * weak.expel_most_s), dose_g=sublimator.dose_g,
        hold_c=sublimator.hold_c, loss_w_per_k=sublimator.loss_w_per_k, warm_up_from_c=sublimator.warm_up_from_c,
        rated_v=sublimator.rated_v,
    )  # fmt: skip
    left_pct = 100 * heater_ohm / (heater_ohm + direct.leads.ohm)
    return Inverter(watts=2 * sublimator.watts, efficiency_pct=left_pct, idle_w=0.0, cut_out_v=0.0), machine


def doses_on_leads(
    direct: Direct, sublimator: Sublimator, *, air_c: float, minutes_per_colony: float
) -> DosesPerCharge:
    """Doses that one charge gives to a machine straight on the battery; as `kit.calc.doses.doses_per_charge`.

    Parameters
    ----------
    direct : Direct
        Battery and leads.
    sublimator : Sublimator
        Made for the battery's volts.
    air_c : float
        [°C].
    minutes_per_colony : float
        From one dose to the next [min].

    Returns
    -------
    DosesPerCharge
        Whole doses.

    Raises
    ------
    ValidityError
        When the machine never gets hot on it.
    """
    leads, machine = behind_leads(direct, sublimator)
    return doses_per_charge(direct.battery, leads, machine, air_c=air_c, minutes_per_colony=minutes_per_colony)
