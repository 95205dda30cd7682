r"""Heat in a sublimator: one thermal lump with a thermostat, and the heat a dose takes.

.. math::
    C \frac{dT}{dt} = P - U (T - T_{air})

`C` heat capacity of the chamber, `P` heater power while on, `U` loss to the air.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.checks import not_negative, positive, within
from kit.constants import chemistry

Number = float | NDArray[np.float64]


class DoseHeat(NamedTuple):
    """Where the heat of a dose goes, term by term [kJ/mol of crystals]."""

    warming: float
    dehydration: float
    vaporising_water: float
    sublimation: float
    warming_vapour: float


def dose_heat(*, start_c: float = 7.0) -> DoseHeat:
    """The five heats from cold crystals to vapour at 157 °C, by way of 25 °C where the handbook values hold.

    Parameters
    ----------
    start_c : float
        Crystals to begin with, -30 to 100 [°C].

    Returns
    -------
    DoseHeat
        [kJ/mol of crystals].

    Raises
    ------
    ValidityError
        Outside that range.

    References
    ----------
    apelblat1986, webbook, handbook chemistry

    Examples
    --------
    >>> [round(term, 2) for term in dose_heat()]
    [3.26, 26.34, 88.0, 97.9, 20.99]
    """
    within("start_c", start_c, -30, 100)
    reference = chemistry.REFERENCE_C.value
    return DoseHeat(
        chemistry.CRYSTALS_HEAT_J_PER_MOL_K.value * (reference - start_c) / 1000,
        chemistry.DEHYDRATION_KJ_PER_MOL.value,
        2 * chemistry.WATER_VAPORISING_KJ_PER_MOL.value,
        chemistry.SUBLIMATION_KJ_PER_MOL.value,
        chemistry.VAPOUR_HEAT_J_PER_MOL_K.value * (chemistry.SUBLIMES_C.value - reference) / 1000,
    )


def dose_energy_kj(dose_g: float, *, start_c: float = 7.0) -> float:
    """Heat a dose takes, from cold crystals to vapour.

    Parameters
    ----------
    dose_g : float
        Crystals (dihydrate) [g].
    start_c : float
        Crystals to begin with, -30 to 100 [°C].

    Returns
    -------
    float
        [kJ].

    Raises
    ------
    ValidityError
        A negative dose, or a start outside the range.

    Notes
    -----
    Published heats of sublimation spread the result from 1.84 to 1.96 kJ for each gram. Leaves out what the acid that
    breaks down takes up, and the chamber's own losses.

    References
    ----------
    apelblat1986, webbook, handbook chemistry

    Examples
    --------
    >>> round(dose_energy_kj(1.0), 3)
    1.876
    """
    return not_negative("dose_g", dose_g) * sum(dose_heat(start_c=start_c)) / chemistry.OAD_MOLAR_MASS_G_PER_MOL.value


def warm_up_s(
    *, power_w: float, heat_capacity_j_per_k: float, loss_w_per_k: float, start_c: float, hold_c: float
) -> float:
    r"""Time to warm up from the air's temperature.

    .. math:: t = -\frac{C}{U} \ln\left(1 - \frac{U \Delta T}{P}\right)

    Parameters
    ----------
    power_w : float
        Heater [W].
    heat_capacity_j_per_k : float
        Chamber [J/K].
    loss_w_per_k : float
        To air that is at `start_c` [W/K].
    start_c, hold_c : float
        From and to [°C].

    Returns
    -------
    float
        [s]; infinite when losses eat the whole power before `hold_c`, zero when it is warm already.

    Raises
    ------
    ValidityError
        Power or heat capacity not above zero, a negative loss.

    Examples
    --------
    >>> round(warm_up_s(power_w=200, heat_capacity_j_per_k=243, loss_w_per_k=0.3, start_c=7, hold_c=230))
    330
    """
    positive("power_w", power_w)
    positive("heat_capacity_j_per_k", heat_capacity_j_per_k)
    not_negative("loss_w_per_k", loss_w_per_k)
    return float(warm_up_times_s(power_w, heat_capacity_j_per_k, loss_w_per_k, max(0.0, hold_c - start_c)))


def warm_up_times_s(power_w: Number, heat_capacity_j_per_k: Number, loss_w_per_k: Number, rise_k: Number) -> Number:
    """`warm_up_s` over draws.

    Parameters
    ----------
    power_w : float or array
        Heater [W].
    heat_capacity_j_per_k : float or array
        Chamber [J/K].
    loss_w_per_k : float or array
        To the air [W/K].
    rise_k : float or array
        From the air to the hold [K].

    Returns
    -------
    float or array
        Of the shape they broadcast to; infinite where it never arrives [s].
    """
    loss = np.maximum(loss_w_per_k, 1e-9)
    share = np.minimum(loss * rise_k / power_w, 1.0)
    with np.errstate(divide="ignore"):
        times: Number = -np.asarray(heat_capacity_j_per_k) / loss * np.log1p(-share)
    return times


def heat_capacity_j_per_k(*, warm_up_s: float, power_w: float, loss_w_per_k: float, rise_k: float) -> float:
    """Heat capacity that explains a warm-up time, given the loss: the inverse of `warm_up_s`.

    Parameters
    ----------
    warm_up_s : float
        [s].
    power_w : float
        Heater [W].
    loss_w_per_k : float
        To the air [W/K].
    rise_k : float
        From air to hold [K].

    Returns
    -------
    float
        [J/K].

    Raises
    ------
    ValidityError
        When that loss would eat the whole power before the end.

    Examples
    --------
    >>> round(heat_capacity_j_per_k(warm_up_s=330, power_w=200, loss_w_per_k=0.3, rise_k=223))
    243
    """
    share = positive("loss_w_per_k", loss_w_per_k) * rise_k / positive("power_w", power_w)
    within("loss_w_per_k x rise_k / power_w (share of the power lost when hot)", share, 0, 0.999)
    return -positive("warm_up_s", warm_up_s) * loss_w_per_k / math.log1p(-share)


def holding_duty_pct(*, power_w: float, loss_w_per_k: float, air_c: float, hold_c: float) -> float:
    """Share of the time the thermostat is on to hold an empty chamber.

    Parameters
    ----------
    power_w : float
        Heater [W].
    loss_w_per_k : float
        To the air [W/K].
    air_c, hold_c : float
        [°C].

    Returns
    -------
    float
        [%]; above 100 it cannot hold.

    Examples
    --------
    >>> round(holding_duty_pct(power_w=200, loss_w_per_k=0.3, air_c=7, hold_c=230), 1)
    33.5
    """
    return 100 * not_negative("loss_w_per_k", loss_w_per_k) * (hold_c - air_c) / positive("power_w", power_w)
