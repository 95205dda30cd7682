"""Volts to be read after a day's doses, and the causes when a charge ends early, ranked."""

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.calc.battery import Battery
from kit.calc.causes import RankedCause
from kit.calc.charge import Inputs, charge_use, draw_inputs, input_spreads
from kit.calc.inverter import Inverter
from kit.calc.ranges import Band, band_of
from kit.calc.sublimator import Sublimator
from kit.calc.volts import charge_left_pct, rest_volts
from kit.checks import positive
from kit.constants import supply as k

Draws = NDArray[np.float64]

WORN, PART_CHARGED, SLOW_WORK, USUAL = "worn battery", "not full at the start", "slow work", "usual scatter"
CHECKS = {
    WORN: "Charge it, let it rest, and have its capacity tested; a worn one is replaced.",
    PART_CHARGED: "Charge it the day before and read the volts after some hours of rest: 12.6 V or more is full.",
    SLOW_WORK: "Note start and end: switch off while walking or waiting longer than a warm-up takes.",
    USUAL: "Nothing to do; note volts and doses at the next rounds.",
}
"""The one thing to do, by cause."""


class DayOnBattery(NamedTuple):
    """What a battery did in a day.

    Parameters
    ----------
    battery, inverter, machine : Battery, Inverter, Sublimator
        Its numbers in good order.
    air_c : float
        [°C].
    minutes_per_colony : float
        [min].
    volts_before : float or None
        Rested, when recorded [V].
    """

    battery: Battery
    inverter: Inverter
    machine: Sublimator
    air_c: float
    minutes_per_colony: float
    volts_before: float | None = None


def doses_before_empty(day: DayOnBattery, *, to_pct: float, draws: int = 2000, seed: int = 0) -> Draws:
    """Doses until `to_pct` of the full charge has gone, from the charge its volts stood for.

    Parameters
    ----------
    day : DayOnBattery
        A lithium battery, and one without volts, counts as full.
    to_pct : float
        Share of a full charge that may go [%].
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    array, shape (draws,)
        Not rounded.
    """
    inputs = _inputs(day, draws, seed)
    return _doses(day, inputs, np.full(draws, start_pct(day)), to_pct)


def start_pct(day: DayOnBattery) -> float:
    """Charge at the start by its resting volts.

    Parameters
    ----------
    day : DayOnBattery
        With or without volts.

    Returns
    -------
    float
        Full when volts are not recorded or, with lithium, mean nothing [%].
    """
    if day.volts_before is None or day.battery.kind.lithium:
        return 100.0
    return charge_left_pct(day.volts_before, volts=day.battery.volts)


def volts_after(day: DayOnBattery, *, doses: float, draws: int = 2000, seed: int = 0) -> Band:
    """Volts to be read after so many doses: rested at the upper end, straight after work at the lower.

    Parameters
    ----------
    day : DayOnBattery
        Lead-acid.
    doses : float
        Given that day [1].
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    Band
        [V].
    """
    positive("doses", doses)
    inputs = _inputs(day, draws, seed)
    use = charge_use(inputs, day.battery, day.inverter, day.machine, air_c=day.air_c)
    gone_pct = 100 * (use.warm_up_ah + doses * use.colony_ah) / use.full_ah
    left = np.clip(start_pct(day) - gone_pct, 0, 100)
    unrested = np.random.default_rng([seed, 1]).uniform(0, k.UNRESTED_V.high, draws) * day.battery.volts / 12
    reading = np.random.default_rng([seed, 2]).normal(0, k.VOLTMETER_V.value, draws)
    return band_of(rest_volts(left, volts=day.battery.volts) - unrested + reading)


def rank_short_charge(
    day: DayOnBattery, *, doses: float, pace_known: bool, draws: int = 2000, seed: int = 0
) -> tuple[RankedCause, ...]:
    """Why a charge ended after so many doses, likeliest first.

    Parameters
    ----------
    day : DayOnBattery
        As it would be in good order.
    doses : float
        Given when it ended [1].
    pace_known : bool
        True when the minutes a colony are recorded, which rules slow work out as a hidden cause.
    draws : int
        For each cause.
    seed : int
        Of the random stream.

    Returns
    -------
    tuple of RankedCause
        Shares sum to 100.

    Notes
    -----
    The charge is taken to have ended with 60 to 100 % of it gone. Recorded volts settle whether it was full at the
    start; without them a part charge is one of the causes.

    Examples
    --------
    >>> day = DayOnBattery(Battery(), Inverter(), Sublimator(), air_c=9, minutes_per_colony=3, volts_before=12.6)
    >>> rank_short_charge(day, doses=9, pace_known=True)[0].cause
    'worn battery'
    """
    positive("doses", doses)
    rng = np.random.default_rng(seed)
    weights = {}
    for cause in _possible(day, pace_known):
        inputs, start = _FAULTS[cause](_inputs(day, draws, seed), np.full(draws, start_pct(day)), rng.random(draws))
        expected = np.maximum(_doses(day, inputs, start, rng.uniform(60, 100, draws)), 0.3)
        fit = np.exp(-0.5 * (np.log(doses / expected) / k.DOSES_SCATTER.value) ** 2)
        weights[cause] = float(fit.mean()) + 1e-12
    whole = math.fsum(weights.values())
    order = sorted(weights, key=lambda cause: -weights[cause])
    return tuple(RankedCause(cause, 100 * weights[cause] / whole, CHECKS[cause]) for cause in order)


def health_pct(day: DayOnBattery, *, doses: float, draws: int = 8000, seed: int = 0) -> Band:
    """Capacity left in a battery, by the doses after which it gave out.

    Parameters
    ----------
    day : DayOnBattery
        As it would be in good order; its pace and volts are taken as recorded.
    doses : float
        Given when the power ended [1].
    draws : int
        Number of draws.
    seed : int
        Of the random stream.

    Returns
    -------
    Band
        Of the printed capacity, between 5 and 100 [%].

    Examples
    --------
    >>> day = DayOnBattery(Battery(), Inverter(), Sublimator(), air_c=9, minutes_per_colony=3, volts_before=12.6)
    >>> health_pct(day, doses=9).p95 < 60
    True
    """
    positive("doses", doses)
    rng = np.random.default_rng([seed, 3])
    health = np.asarray(5 * 20 ** rng.random(draws))
    inputs = _inputs(day, draws, seed)._replace(health_pct=health)
    expected = np.maximum(_doses(day, inputs, np.full(draws, start_pct(day)), rng.uniform(60, 100, draws)), 0.1)
    weight = np.exp(-0.5 * (np.log(doses / expected) / k.DOSES_SCATTER.value) ** 2) + 1e-300
    return band_of(rng.choice(health, size=draws, p=weight / weight.sum()))


def _possible(day: DayOnBattery, pace_known: bool) -> list[str]:
    """Alike before the doses are seen; a start that was read as low is a cause of its own and no scatter."""
    part_charged = day.volts_before is not None and start_pct(day) < k.FULL_FROM_PCT.value
    causes = [WORN, PART_CHARGED if part_charged else USUAL]
    causes += [PART_CHARGED] if day.volts_before is None else []
    return causes if pace_known else [*causes, SLOW_WORK]


def _slower(inputs: Inputs, by: Draws) -> Inputs:
    return inputs._replace(minutes_per_colony=inputs.minutes_per_colony * by)


Change = Callable[[Inputs, Draws, Draws], tuple[Inputs, Draws]]

_FAULTS: dict[str, Change] = {
    USUAL: lambda inputs, start, u: (inputs, start),
    WORN: lambda inputs, start, u: (inputs._replace(health_pct=10 + 65 * u), start),
    PART_CHARGED: lambda inputs, start, u: (inputs, np.where(start < 100, start, 25 + 65 * u)),
    SLOW_WORK: lambda inputs, start, u: (_slower(inputs, 1.2 + 1.3 * u), start),
}
"""What a fault does to the inputs and to the charge at the start [%]."""


def _inputs(day: DayOnBattery, draws: int, seed: int) -> Inputs:
    spreads = input_spreads(day.battery, day.inverter, day.machine, day.air_c, day.minutes_per_colony)
    return draw_inputs(spreads, draws=draws, seed=seed)


def _doses(day: DayOnBattery, inputs: Inputs, start: Draws, to_pct: Draws | float) -> Draws:
    """Doses until `to_pct` of a full charge has gone, or what there was at the start."""
    use = charge_use(inputs, day.battery, day.inverter, day.machine, air_c=day.air_c)
    usable_pct = np.maximum(start - (100 - np.asarray(to_pct)), 0.0)
    return np.asarray(np.maximum((usable_pct / 100 * use.full_ah - use.warm_up_ah) / use.colony_ah, 0.0))
