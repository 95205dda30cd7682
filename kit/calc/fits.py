"""A machine's own numbers from its owner's times, and what those times cannot tell.

Capacity, loss, contact and power are drawn over wide ranges and weighed by the times recorded. A number counts as found
when the times shrink its range by half; warm-up and seconds alone never find the loss to the air.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from kit.calc.expulsion import Chamber, expel_s
from kit.calc.heat import warm_up_times_s
from kit.calc.ranges import Band, band_of
from kit.checks import positive, within
from kit.constants import causes as slow
from kit.constants import heat as k
from kit.errors import ValidityError

Draws = NDArray[np.float64]

FOUND_FROM_PCT = 50.0
"""A number is found when its range on the log shrinks by this much."""

ADVICE = {
    "loss_w_per_k": "time the thermostat's on and off for ten minutes while the empty machine holds its heat",
    "heat_capacity_j_per_k": "warm-up gives it only together with loss and power: find those two",
    "contact_w_per_k": "time the seconds of a weighed dose",
    "power_w": "read the watts on a plug-in meter while it heats",
}
"""What would find a number that the times do not."""


class OwnTimes(NamedTuple):
    """What the owner of a machine timed; any of the lists may be empty, not all.

    Parameters
    ----------
    warm_up_min : sequence of float
        From the air to the hold [min].
    expel_s : sequence of float
        One dose each [s].
    duty_pct : sequence of float
        Share of the time the thermostat is on while the empty machine holds [%].
    air_c : float
        On average [°C].
    dose_g : float
        Crystals of a dose [g].
    """

    warm_up_min: Sequence[float] = ()
    expel_s: Sequence[float] = ()
    duty_pct: Sequence[float] = ()
    air_c: float = 8.0
    dose_g: float = k.DOSE_G.value


class Found(NamedTuple):
    """One number of the machine.

    Parameters
    ----------
    name : str
        heat_capacity_j_per_k, loss_w_per_k, contact_w_per_k or power_w.
    band : Band
        After the times.
    before : Band
        Before them.
    shrunk_pct : float
        How much narrower the range got, on the log [%].
    """

    name: str
    band: Band
    before: Band
    shrunk_pct: float

    @property
    def found(self) -> bool:
        """Whether the times say more than was assumed."""
        return self.shrunk_pct >= FOUND_FROM_PCT


class Fit(NamedTuple):
    """All numbers, and what the times cannot tell.

    Parameters
    ----------
    numbers : tuple of Found
        Capacity, loss, contact, power.
    not_found : tuple of str
        One sentence for each number that the times leave open, with what would find it.
    effective_draws : float
        How many draws carry the result; under some hundred it is rough.
    """

    numbers: tuple[Found, ...]
    not_found: tuple[str, ...]
    effective_draws: float

    def of(self, name: str) -> Found:
        """One number by its name."""
        return next(number for number in self.numbers if number.name == name)


def fit_machine(times: OwnTimes, *, watts: float, hold_c: float, draws: int = 200_000, seed: int = 0) -> Fit:
    """Capacity, loss, contact and power that explain a machine's times, as ranges.

    Parameters
    ----------
    times : OwnTimes
        At least one number in it.
    watts : float
        As printed; the power is drawn around it [W].
    hold_c : float
        Thermostat [°C].
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    Fit
        Ranges are 5, 50 and 95 % points.

    Raises
    ------
    ValidityError
        Nothing timed, a time not above zero, or a machine that no draw explains.

    Examples
    --------
    >>> fit = fit_machine(OwnTimes([5.5, 6.0], [20, 21]), watts=200, hold_c=230)
    >>> fit.of("contact_w_per_k").found, fit.of("loss_w_per_k").found
    (True, False)
    """
    _checked(times)
    prior = _prior(positive("watts", watts), within("hold_c", hold_c, 160, 350), times, draws, seed)
    log_weight = _log_likelihood(times, prior, hold_c)
    weight = np.exp(log_weight - log_weight.max())
    if not np.isfinite(weight).all() or weight.sum() < 1e-12:
        raise ValidityError("times must fit a machine of these watts: no draw does; check minutes and seconds")
    weight /= weight.sum()
    pick = np.random.default_rng([seed, 1]).choice(draws, size=4000, p=weight)
    numbers = tuple(_found(name, values, pick) for name, values in prior.items())
    open_ends = tuple(f"{n.name}: these times do not find it; {ADVICE[n.name]}" for n in numbers if not n.found)
    return Fit(numbers, open_ends, float(1 / np.sum(weight**2)))


def _checked(times: OwnTimes) -> None:
    if not (times.warm_up_min or times.expel_s or times.duty_pct):
        raise ValidityError("times must hold at least one warm-up, dose or duty: got none")
    for name in ("warm_up_min", "expel_s", "duty_pct"):
        for value in getattr(times, name):
            positive(name, value)


def _prior(watts: float, hold_c: float, times: OwnTimes, draws: int, seed: int) -> dict[str, Draws]:
    """Wide on the log; a loss that would eat the whole power is drawn in again below it."""
    u = np.random.default_rng(seed).random((4, draws))

    def spread(row: int, low: float, high: float) -> Draws:
        return np.asarray(low * (high / low) ** u[row])

    power = watts * np.exp(slow.POWER_SPREAD.value * ndtri(u[3]))
    most = 0.9 * power / (hold_c - times.air_c)
    return {
        "heat_capacity_j_per_k": spread(0, 60.0, 900.0),
        "loss_w_per_k": np.minimum(spread(1, 0.05, 1.0), most),
        "contact_w_per_k": spread(2, 0.4, 12.0),
        "power_w": power,
    }


def _log_likelihood(times: OwnTimes, prior: dict[str, Draws], hold_c: float) -> Draws:
    capacity, loss, contact, power = prior.values()
    total = np.zeros_like(power)
    warm = warm_up_times_s(power, capacity, loss, hold_c - times.air_c) / 60
    for minutes in times.warm_up_min:
        spread = np.hypot(slow.WARM_UP_SCATTER.value, k.WARM_UP_READING_MIN.value / minutes)
        total -= 0.5 * (np.log(minutes / warm) / spread) ** 2
    if times.expel_s:
        chamber = Chamber(power, capacity, loss, contact, np.full_like(power, hold_c))
        seconds = np.minimum(expel_s(times.dose_g, chamber, chamber_c=hold_c, air_c=times.air_c), 1e6)
        for second in times.expel_s:
            total -= 0.5 * (np.log(second / seconds) / k.STOPWATCH_REL.value) ** 2
    duty = 100 * loss * (hold_c - times.air_c) / power
    for share in times.duty_pct:
        total -= 0.5 * (np.log(share / duty) / slow.DUTY_REL.value) ** 2
    return np.asarray(total)


def _found(name: str, values: Draws, pick: NDArray[np.int64]) -> Found:
    before, after = band_of(values), band_of(values[pick])
    width = np.log(after.p95 / after.p05) / np.log(before.p95 / before.p05)
    return Found(name, after, before, float(100 * (1 - width)))
