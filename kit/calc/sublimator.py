"""A sublimator as its label and its owner describe it, and the lump of metal that stands for it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from kit.calc.expulsion import Chamber, expel_s
from kit.calc.heat import heat_capacity_j_per_k
from kit.checks import not_negative, positive, within
from kit.constants import heat as k


@dataclass(frozen=True)
class Sublimator:
    """A heated chamber known by its times; capacity and contact follow from them.

    Parameters
    ----------
    watts : float
        Heater at its rated volts [W].
    warm_up_s : float
        From air at `warm_up_from_c` to the hold, in good order [s].
    expel_s : float
        One dose of `dose_g` out of the hot chamber, in good order [s].
    dose_g : float
        Crystals in a dose [g].
    hold_c : float
        Thermostat [°C].
    loss_w_per_k : float
        To the air [W/K].
    warm_up_from_c : float
        Air at which the warm-up time is meant [°C].
    cool_down_min : float
        Wait between two hives for a type that must cool; 0 for one that holds heat [min].
    rated_v : float
        Volts its heater is made for: 230 behind an inverter, 12 for a direct pan [V].

    Raises
    ------
    ValidityError
        A number not above zero, a hold outside 160 to 350 °C, or losses that eat the whole power before the hold.

    Notes
    -----
    Warm-up time alone does not tell heat capacity from loss: the loss is a guess (0.1 to 0.5 W/K) until holding duty
    has been watched.
    """

    watts: float = k.HEATER_W.value
    warm_up_s: float = k.WARM_UP_S.value
    expel_s: float = k.EXPEL_S.value
    dose_g: float = k.DOSE_G.value
    hold_c: float = k.HOLD_C.value
    loss_w_per_k: float = k.LOSS_W_PER_K.value
    warm_up_from_c: float = k.WARM_UP_FROM_C.value
    cool_down_min: float = 0.0
    rated_v: float = 230.0

    def __post_init__(self) -> None:
        for name in ("watts", "warm_up_s", "expel_s", "dose_g", "loss_w_per_k", "rated_v"):
            positive(name, getattr(self, name))
        not_negative("cool_down_min", self.cool_down_min)
        within("hold_c", self.hold_c, 160, 350)
        within("loss_w_per_k at the hold, as a share of watts", self.loss_w_per_k * self.rise_k / self.watts, 0, 0.95)

    @property
    def rise_k(self) -> float:
        """From the air of the warm-up time to the hold [K]."""
        return self.hold_c - self.warm_up_from_c

    @cached_property
    def chamber(self) -> Chamber:
        """The lump that warms up and expels in just those times."""
        capacity = heat_capacity_j_per_k(
            warm_up_s=self.warm_up_s, power_w=self.watts, loss_w_per_k=self.loss_w_per_k, rise_k=self.rise_k
        )
        bare = Chamber(self.watts, capacity, self.loss_w_per_k, 1.0, self.hold_c)
        touch = contact_for_w_per_k(self.expel_s, self.dose_g, bare, air_c=self.warm_up_from_c)
        return bare._replace(contact_w_per_k=touch)

    @property
    def contact_w_per_k(self) -> float:
        """Between chamber and crystals [W/K]."""
        return float(self.chamber.contact_w_per_k)


def contact_for_w_per_k(seconds: float, dose_g: float, chamber: Chamber, *, air_c: float) -> float:
    """Contact between chamber and crystals that explains an expulsion time: the inverse of `expel_s`.

    Parameters
    ----------
    seconds : float
        [s].
    dose_g : float
        Crystals [g].
    chamber : Chamber
        Of single numbers; its contact is not used.
    air_c : float
        [°C].

    Returns
    -------
    float
        Never above 100: a dose faster than that is limited by the chamber's heat, not by contact [W/K].
    """

    def miss(log_contact: float) -> float:
        tried = chamber._replace(contact_w_per_k=float(np.exp(log_contact)))
        return 1 / seconds - 1 / float(expel_s(dose_g, tried, chamber_c=chamber.hold_c, air_c=air_c))

    low, high = np.log(0.01), np.log(100.0)
    if miss(high) > 0:
        return 100.0
    return float(np.exp(brentq(miss, low, high, xtol=1e-10)))
