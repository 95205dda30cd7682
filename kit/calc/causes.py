"""Why vapour is slow: causes ranked by how well each explains the seconds and minutes written down.

A fault is a range of what it does to warm-up and expulsion. Each is drawn, run through the chamber, and weighed by
the likelihood of what was recorded: `share of a cause = prior x mean likelihood`, over all causes and "usual scatter".
A fault of the machine follows it to every supply; one of the supply, the spoon or the crystals shows only where it is
at work.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from kit.calc.expulsion import Chamber, expel_s, working_temperature_c
from kit.calc.heat import warm_up_times_s
from kit.calc.sublimator import Sublimator
from kit.checks import positive
from kit.constants import Constant, heat
from kit.constants import causes as k
from kit.constants.effort import DOSE_MIN

Draws = NDArray[np.float64]

SCATTER = "usual scatter"
SUPPLY_LOW, LEADS = "supply low", "thin or long leads"
ELEMENT, SCALE = "worn element", "scale in the chamber"
OVERFULL, DAMP = "overfull spoon", "damp crystals"
COLD, COOLING = "chamber not hot", "cooling between hives"

OF_SUPPLY = (SUPPLY_LOW, LEADS)
OF_MACHINE = (ELEMENT, SCALE)


@dataclass(frozen=True)
class Timing:
    """What one visit recorded of a machine.

    Parameters
    ----------
    expel_s : float or None
        Seconds of a dose; None when not recorded [s].
    warm_up_min : float or None
        [min].
    dose_g : float
        Crystals meant [g].
    air_c : float
        [°C].
    here : bool
        True on the supply in question, False for the same machine elsewhere.

    Raises
    ------
    ValidityError
        A time or a dose not above zero.
    """

    expel_s: float | None
    warm_up_min: float | None
    dose_g: float = heat.DOSE_G.value
    air_c: float = 8.0
    here: bool = True

    def __post_init__(self) -> None:
        for name in ("expel_s", "warm_up_min"):
            if getattr(self, name) is not None:
                positive(name, getattr(self, name))
        positive("dose_g", self.dose_g)


class RankedCause(NamedTuple):
    """A cause with its share of the belief."""

    cause: str
    share_pct: float
    check: str


class Effect(NamedTuple):
    """What a fault does; each an array of draws of one length."""

    power: Draws | float = 1.0
    contact: Draws | float = 1.0
    dose: Draws | float = 1.0
    slower: Draws | float = 1.0
    hold_c: Draws | float | None = None


NO_FAULT = Effect()
"""A machine in good order."""


def rank_causes(
    timings: Sequence[Timing],
    machine: Sublimator,
    *,
    behind_inverter: bool,
    direct_leads: bool = False,
    draws: int = 3000,
    seed: int = 0,
) -> tuple[RankedCause, ...]:
    """Causes of slow vapour, likeliest first, "usual scatter" among them.

    Parameters
    ----------
    timings : sequence of Timing
        All that is recorded of one machine; at least one `here`.
    machine : Sublimator
        As it is in good order.
    behind_inverter : bool
        True rules supply and leads out: an inverter holds its output until it cuts out.
    direct_leads : bool
        True where a 12 V battery feeds the heater through leads.
    draws : int
        For each cause.
    seed : int
        Of the random stream.

    Returns
    -------
    tuple of RankedCause
        Shares sum to 100. Without a single time they are the priors: nothing is known.

    Notes
    -----
    One fault at a time; two together are not tried. The shares are as good as the ranges of `kit.constants.causes`.
    Times of one machine share an offset that is drawn, and all together count as a few at most, so that ten slow doses
    are not ten independent proofs.

    Examples
    --------
    >>> slow = [Timing(33.0, 8.0)] * 3
    >>> rank_causes(slow, Sublimator(), behind_inverter=True)[0].cause
    'worn element'
    """
    priors = cause_priors(behind_inverter=behind_inverter, direct_leads=direct_leads, cools=machine.cool_down_min > 0)
    rng = np.random.default_rng(seed)
    logs = {}
    for cause, prior in priors.items():
        effect = _EFFECTS[cause](rng.random(draws))
        logs[cause] = math.log(prior) + _log_likelihood(
            timings, machine, cause, effect, rng.standard_normal((4, draws))
        )
    top = max(logs.values())
    weights = {cause: math.exp(value - top) for cause, value in logs.items()}
    whole = sum(weights.values())
    order = sorted(weights, key=lambda cause: -weights[cause])
    return tuple(RankedCause(c, 100 * weights[c] / whole, check_for(c, machine)) for c in order)


def cause_priors(*, behind_inverter: bool, direct_leads: bool, cools: bool) -> dict[str, float]:
    """Belief before any time is seen: scatter first, the faults that are possible there alike.

    Parameters
    ----------
    behind_inverter : bool
        True rules supply and leads out.
    direct_leads : bool
        True where a 12 V battery feeds the heater through leads.
    cools : bool
        True for a type that cools between hives.

    Returns
    -------
    dict
        Cause to probability; sums to 1.
    """
    possible = [ELEMENT, SCALE, OVERFULL, DAMP, COLD]
    possible += [] if behind_inverter else [SUPPLY_LOW]
    possible += [LEADS] if direct_leads and not behind_inverter else []
    possible += [COOLING] if cools else []
    each = (1 - k.NOTHING_WRONG.value) / len(possible)
    return {SCATTER: k.NOTHING_WRONG.value, **dict.fromkeys(possible, each)}


def _within(constant: Constant) -> Callable[[Draws], Draws]:
    """Draws of a constant, even over its range."""
    return lambda u: np.asarray(constant.low + (constant.high - constant.low) * u)


_EFFECTS: dict[str, Callable[[Draws], Effect]] = {
    SCATTER: lambda u: Effect(slower=np.ones_like(u)),
    SUPPLY_LOW: lambda u: Effect(power=_within(k.POWER_LEFT)(u)),
    LEADS: lambda u: Effect(power=_within(k.LEADS_POWER_LEFT)(u)),
    ELEMENT: lambda u: Effect(power=_within(k.POWER_LEFT)(u)),
    SCALE: lambda u: Effect(contact=_within(k.CONTACT_LEFT)(u)),
    OVERFULL: lambda u: Effect(dose=_within(k.OVERFULL)(u)),
    DAMP: lambda u: Effect(slower=_within(k.DAMP)(u)),
    COLD: lambda u: Effect(hold_c=_within(k.COLD_HOLD_C)(u)),
    COOLING: lambda u: Effect(slower=_within(k.COOLED)(u)),
}


def _log_likelihood(
    timings: Sequence[Timing], machine: Sublimator, cause: str, effect: Effect, z: NDArray[np.float64]
) -> float:
    """Log of the mean over draws of the likelihood of all times together."""
    logs = np.zeros(z.shape[1])
    weight = min(1.0, k.INDEPENDENT_TIMINGS.value / max(len(timings), 1))
    for timing in timings:
        at_work = timing.here or cause in OF_MACHINE
        expected_s, expected_min = expected_times(timing, machine, effect if at_work else NO_FAULT, z)
        if timing.expel_s is not None:
            logs -= 0.5 * (np.log(timing.expel_s / expected_s) / heat.STOPWATCH_REL.value) ** 2
        if timing.warm_up_min is not None:
            spread = np.hypot(k.WARM_UP_SCATTER.value, heat.WARM_UP_READING_MIN.value / timing.warm_up_min)
            logs -= 0.5 * (np.log(timing.warm_up_min / expected_min) / spread) ** 2
    logs *= weight
    top = float(logs.max())
    return top + math.log(float(np.mean(np.exp(logs - top)))) if math.isfinite(top) else -1e300


def expected_times(timing: Timing, machine: Sublimator, effect: Effect, z: NDArray[np.float64]) -> tuple[Draws, Draws]:
    """Seconds of a dose and minutes of warm-up that a machine would show, over draws.

    Parameters
    ----------
    timing : Timing
        For its dose and air.
    machine : Sublimator
        In good order.
    effect : Effect
        The fault; `NO_FAULT` for none.
    z : array, shape (4, n)
        Standard normal: offset of seconds, offset of minutes, loss to the air, and how far a dose lives on the heater.

    Returns
    -------
    tuple of array, shape (n,)
        [s] and [min].
    """
    loss = np.minimum(machine.loss_w_per_k * np.exp(k.LOSS_SPREAD.value * z[2]), 0.9 * machine.watts / machine.rise_k)
    capacity = machine.warm_up_s / warm_up_times_s(machine.watts, 1.0, loss, machine.rise_k)
    hold = machine.hold_c if effect.hold_c is None else effect.hold_c
    contact = machine.contact_w_per_k * np.asarray(effect.contact)
    dose_g = timing.dose_g * np.asarray(effect.dose)
    weak = Chamber(machine.watts * np.asarray(effect.power), capacity, loss, contact, hold)
    working_c = working_temperature_c(dose_g, weak, seconds_between_doses=60 * DOSE_MIN.value, air_c=timing.air_c)
    seconds = expel_s(dose_g, weak, chamber_c=working_c, air_c=timing.air_c)
    seconds = seconds * effect.slower * np.asarray(effect.power) ** -ndtr(z[3])
    warm_s = warm_up_times_s(weak.power_w, capacity, loss, hold - timing.air_c)
    minutes = np.minimum(warm_s, 7200.0) / 60
    return (
        np.asarray(np.minimum(seconds, 3600.0) * np.exp(k.SECONDS_OFFSET.value * z[0])),
        np.asarray(minutes * np.exp(k.MINUTES_OFFSET.value * z[1])),
    )


def check_for(cause: str, machine: Sublimator) -> str:
    """The one thing to do that shows whether this cause is at work.

    Parameters
    ----------
    cause : str
        One of the causes of this module.
    machine : Sublimator
        For its element's resistance.

    Returns
    -------
    str
        A sentence.
    """
    ohm = machine.rated_v**2 / machine.watts
    return {
        SCATTER: "Nothing to do; note seconds and warm-up minutes at the next rounds.",
        SUPPLY_LOW: "Run the same machine on another supply and time one dose and the warm-up.",
        LEADS: "Feel the leads after five doses: warm ones are too thin or too long; try short, thick ones.",
        ELEMENT: f"Unplugged and cold, measure the element: {ohm:.0f} ohm when sound; more means worn.",
        SCALE: "When cold, look into the chamber and clean it; then time one dose.",
        OVERFULL: "Weigh ten spoons.",
        DAMP: "Time one dose of crystals from a fresh, dry tub.",
        COLD: "Let the thermostat switch off twice before the first dose, then time one.",
        COOLING: "Shield it from the wind, keep the wait between hives even, and time five doses.",
    }[cause]


EASIEST_FIRST = (COLD, OVERFULL, DAMP, SUPPLY_LOW, LEADS, COOLING, ELEMENT, SCALE, SCATTER)
"""Checks by how soon they are done: of two causes the easier one's check tells them apart as well."""


def telling_check(first: str, second: str, machine: Sublimator, *, warm_up_known: bool) -> str:
    """The check that tells two causes apart, as a sentence.

    Parameters
    ----------
    first, second : str
        Two causes.
    machine : Sublimator
        For the element's resistance.
    warm_up_known : bool
        Whether warm-up minutes were recorded; if not, and they would differ, that is the check.

    Returns
    -------
    str
        A sentence.
    """
    slow_to_warm = {SUPPLY_LOW, LEADS, ELEMENT}
    if not warm_up_known and (first in slow_to_warm) != (second in slow_to_warm):
        slow, same = (first, second) if first in slow_to_warm else (second, first)
        return f"Time the warm-up from cold: {slow} lengthens it, {same} does not."
    return check_for(min((first, second), key=EASIEST_FIRST.index), machine)
