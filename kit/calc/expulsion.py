r"""The crystals in a hot chamber: how fast they go, and when the chamber is too cold or too hot for them.

.. math::
    C \frac{dT}{dt} = P - U (T - T_{air}) - G (T - T_{acid})

`C` heat capacity of the chamber, `P` heater power while on, `U` loss to the air, `G` contact between chamber and
crystals, `T_acid` the temperature at which the crystals take their heat up: 101 °C while they lose water, 157 °C
while the acid goes.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.heat import dose_energy_kj, dose_heat
from kit.checks import not_negative
from kit.constants import chemistry, heat

Number = float | NDArray[np.float64]


class Chamber(NamedTuple):
    """A heated chamber as one lump; each field a number or an array of draws of one shape.

    Parameters
    ----------
    power_w : float or array
        What the heater gives while on [W].
    heat_capacity_j_per_k : float or array
        Of metal and insulation together [J/K].
    loss_w_per_k : float or array
        To the air [W/K].
    contact_w_per_k : float or array
        Between chamber and crystals [W/K].
    hold_c : float or array
        Where the thermostat holds it [°C].
    """

    power_w: Number
    heat_capacity_j_per_k: Number
    loss_w_per_k: Number
    contact_w_per_k: Number
    hold_c: Number


def chamber_temperature_c(
    time_s: NDArray[np.float64], chamber: Chamber, *, start_c: float, air_c: float
) -> NDArray[np.float64]:
    """Warm-up curve: the chamber at each time with the heater on until it holds.

    Parameters
    ----------
    time_s : array, shape (n,)
        Since switching on [s].
    chamber : Chamber
        Of single numbers.
    start_c, air_c : float
        Chamber at the start and air [°C].

    Returns
    -------
    array, shape (n,)
        [°C].
    """
    final = air_c + chamber.power_w / chamber.loss_w_per_k
    curve = final + (start_c - final) * np.exp(-time_s * chamber.loss_w_per_k / chamber.heat_capacity_j_per_k)
    return np.asarray(np.minimum(curve, chamber.hold_c))


def expel_s(dose_g: Number, chamber: Chamber, *, chamber_c: Number, air_c: Number) -> Number:
    r"""Time from crystals in to vapour out.

    Two stages one after the other, water then acid, each taking its share of the dose's heat through the contact
    `G` from a chamber that cools meanwhile:

    .. math::
        Q(t) = G \left[(T_\infty - T_{acid}) t + (T_0 - T_\infty) \frac{1 - e^{-at}}{a}\right],
        \quad a = \frac{U+G}{C}

    Parameters
    ----------
    dose_g : float or array
        Crystals [g].
    chamber : Chamber
        Numbers or draws that broadcast with the dose.
    chamber_c : float or array
        Chamber when the crystals go in [°C].
    air_c : float or array
        [°C].

    Returns
    -------
    float or array
        [s]; infinite where the chamber is too cold to finish.

    Notes
    -----
    The heater is on at full power until the thermostat's hold; it never lifts the chamber above it. Leaves out the
    time a hand takes to tip the crystals in, and crystals that lie apart from the metal.
    """
    terms = dose_heat()
    moles = np.asarray(dose_g, dtype=float) / chemistry.OAD_MOLAR_MASS_G_PER_MOL.value
    water_j = 1000 * moles * sum(terms[:3])
    acid_j = 1000 * moles * sum(terms[3:])
    water_s, after_c = _stage(water_j, chamber, chamber_c, air_c, chemistry.WATER_LOSS_C.value)
    acid_s, _ = _stage(acid_j, chamber, after_c, air_c, chemistry.SUBLIMES_C.value)
    times: Number = water_s + acid_s
    return times


def _stage(heat_j: Number, chamber: Chamber, start_c: Number, air_c: Number, acid_c: float) -> tuple[Number, Number]:
    """Time [s] and chamber at the end [°C] of one stage: Newton on Q(t), from the side where it cannot overshoot.

    Q is concave while the chamber cools (start left of the root, on the tangent at 0) and convex while it warms
    (start right of it, on the asymptote).
    """
    contact = np.asarray(chamber.contact_w_per_k, dtype=float)
    start = np.asarray(start_c, dtype=float)
    rate = (chamber.loss_w_per_k + contact) / chamber.heat_capacity_j_per_k
    gain_w = chamber.power_w + chamber.loss_w_per_k * air_c + contact * acid_c
    level = np.maximum(np.minimum(gain_w / (chamber.loss_w_per_k + contact), chamber.hold_c), -273.0)
    warms = start < level
    with np.errstate(divide="ignore", invalid="ignore"):
        tangent = heat_j / (contact * (start - acid_c))
        asymptote = (heat_j / contact + (level - start) / rate) / (level - acid_c)
        time = np.where(warms, asymptote, tangent)
    possible = np.where(warms, level, start) > acid_c
    time = np.where(possible, time, 0.0)
    for _ in range(12):
        left = np.exp(-rate * time)
        flow = contact * (level - acid_c + (start - level) * left)
        given = contact * ((level - acid_c) * time + (start - level) * (1 - left) / rate)
        possible = possible & (flow > 1e-6 * contact)
        time = np.where(possible, time - (given - heat_j) / np.where(possible, flow, 1.0), time)
    end = level + (start - level) * np.exp(-rate * time)
    return np.where(possible, time, np.inf), np.where(possible, end, start)


def working_temperature_c(dose_g: Number, chamber: Chamber, *, seconds_between_doses: Number, air_c: Number) -> Number:
    """Where the chamber settles when dose follows dose: the hold, or lower when the power cannot keep up.

    Parameters
    ----------
    dose_g : float or array
        Crystals [g].
    chamber : Chamber
        Numbers or draws.
    seconds_between_doses : float or array
        From one dose to the next [s].
    air_c : float or array
        [°C].

    Returns
    -------
    float or array
        [°C].
    """
    dose_w = 1000 * dose_energy_kj(1.0) * np.asarray(dose_g) / seconds_between_doses
    reached = air_c + (chamber.power_w - dose_w) / chamber.loss_w_per_k
    settled: Number = np.minimum(reached, chamber.hold_c)
    return settled


def temperature_warnings(chamber_c: float, dose_g: float) -> tuple[str, ...]:
    """What a chamber's temperature does to a dose, in plain sentences; none when it is in order.

    Parameters
    ----------
    chamber_c : float
        Chamber when the crystals go in [°C].
    dose_g : float
        Crystals in it [g]; zero for an empty chamber.

    Returns
    -------
    tuple of str
        Empty when nothing is wrong.

    References
    ----------
    handbook chemistry, assumed

    Examples
    --------
    >>> temperature_warnings(230, 2.3)
    ()
    """
    not_negative("dose_g", dose_g)
    sublimes, breaks = chemistry.SUBLIMES_C.value, chemistry.BREAKDOWN_C.value
    found = []
    if chamber_c <= sublimes:
        found.append(f"Too cold: below {sublimes:.0f} °C the acid hardly sublimes; wait until the machine is hot.")
    elif chamber_c < heat.TOO_COLD_C.value:
        found.append("Cold: the dose will be slow and leave residue; wait, or dose less often.")
    if chamber_c > heat.TOO_HOT_C.value:
        found.append(
            f"Too hot: far above {breaks:.0f} °C the acid breaks down into carbon monoxide and more; turn it down."
        )
    if dose_g == 0 and chamber_c > breaks:
        found.append(
            "Empty and hot: the first crystals flash; that is no fault, but keep your face away from the nozzle."
        )
    return tuple(found)
