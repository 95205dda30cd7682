r"""The course of the mites in many hives at once, day by day, and how it bends when a parameter does.

.. math::
    N'_t = N_{t-1} \, e^{g_t (1 - N_{t-1}/K)} + \rho_t, \qquad
    d_t = N'_t (1 - e^{-\kappa_t}), \qquad N_t = N'_t - d_t

N are mites in a colony at the end of day t, g its rate of growth (crowding only slows growth, not decline), K the crowded
number, :math:`\rho` mites carried in, :math:`\kappa` the day's kill and d the mites killed.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kit.constants import reading
from kit.season.usual import Array


class Lanes(NamedTuple):
    """What drives each hive.

    Parameters
    ----------
    start : ndarray, shape (lanes,)
        Mites on the morning of the first day [count].
    growth, reinvasion, hazard : ndarray, shape (lanes, days)
        Growth [1/day], mites carried in [count/day], -log(share left) [1].
    """

    start: Array
    growth: Array
    reinvasion: Array
    hazard: Array


class Course(NamedTuple):
    """Mites at the end of each day and mites killed on it, both of shape (lanes, days) [count]."""

    mites: Array
    killed: Array


class Slopes(NamedTuple):
    """Derivatives of a `Course` by each parameter, both of shape (lanes, days, parameters)."""

    mites: Array
    killed: Array


def course(lanes: Lanes) -> Course:
    """The course of every lane."""
    left = np.exp(-lanes.hazard)
    mites = np.empty_like(lanes.growth)
    before = np.empty_like(lanes.growth)
    now = lanes.start
    for day in range(lanes.growth.shape[1]):
        before[:, day] = now * np.exp(_slowed(lanes.growth[:, day], now)) + lanes.reinvasion[:, day]
        now = before[:, day] * left[:, day]
        mites[:, day] = now
    return Course(mites, before - mites)


def slopes(lanes: Lanes, by: Lanes) -> tuple[Course, Slopes]:
    """The course and its derivatives.

    `by` holds the derivatives of each driver: `start` of shape (lanes, parameters), the others (lanes, days, parameters).
    """
    found = course(lanes)
    bent = Slopes(np.empty_like(by.growth), np.empty_like(by.growth))
    now, bend = lanes.start, by.start
    for day in range(lanes.growth.shape[1]):
        growth, left = lanes.growth[:, day], np.exp(-lanes.hazard[:, day])
        factor = np.exp(_slowed(growth, now))
        room = np.where(growth > 0, 1 - _full(now), 1.0)
        pull = np.where((growth > 0) & (now < reading.CROWDED_MITES.value), -growth / reading.CROWDED_MITES.value, 0.0)
        raised = (factor * (1 + now * pull))[:, None] * bend + (factor * now * room)[:, None] * by.growth[:, day]
        raised = raised + by.reinvasion[:, day]
        before = found.mites[:, day] + found.killed[:, day]
        gone = (before * left)[:, None] * by.hazard[:, day]
        bent.mites[:, day] = left[:, None] * raised - gone
        bent.killed[:, day] = raised - bent.mites[:, day]
        now, bend = found.mites[:, day], bent.mites[:, day]
    return found, bent


def _slowed(growth: Array, mites: Array) -> Array:
    return np.where(growth > 0, growth * (1 - _full(mites)), growth)


def _full(mites: Array) -> Array:
    return np.minimum(mites / reading.CROWDED_MITES.value, 1.0)
