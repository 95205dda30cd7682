r"""The course of the mites in many hives at once, day by day, and how it bends when a parameter does.

.. math::
    N'_t = N_{t-1} \, e^{g_t (1 - N_{t-1}/K)} + \rho_t, \qquad
    d_t = N'_t (1 - e^{-\kappa_t}), \qquad N_t = N'_t - d_t

N are mites in a colony at the end of day t, g its rate of growth (crowding only slows growth, not decline), K the
crowded number, :math:`\rho` mites carried in, :math:`\kappa` the day's kill and d the mites killed.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kit.constants import reading
from kit.season.usual import Array


class Lanes(NamedTuple):
    """What drives each hive; days come first, so that a day's lanes lie side by side in memory.

    Parameters
    ----------
    start : ndarray, shape (lanes,)
        Mites on the morning of the first day [count].
    growth, reinvasion, hazard : ndarray, shape (days, lanes)
        Growth [1/day], mites carried in [count/day], -log(share left) [1].
    """

    start: Array
    growth: Array
    reinvasion: Array
    hazard: Array


class Course(NamedTuple):
    """Mites at the end of each day and mites killed on it, both of shape (days, lanes) [count]."""

    mites: Array
    killed: Array


class Slopes(NamedTuple):
    """Derivatives of a `Course` by each parameter, both of shape (days, lanes, parameters)."""

    mites: Array
    killed: Array


def course(lanes: Lanes) -> Course:
    """The course of every lane."""
    left = np.exp(-lanes.hazard)
    slowing = np.maximum(lanes.growth, 0.0)
    mites = np.empty_like(lanes.growth)
    before = np.empty_like(lanes.growth)
    now = lanes.start
    for day in range(len(lanes.growth)):
        before[day] = now * np.exp(lanes.growth[day] - slowing[day] * _full(now)) + lanes.reinvasion[day]
        now = before[day] * left[day]
        mites[day] = now
    return Course(mites, before - mites)


def slopes(lanes: Lanes, by: Lanes) -> tuple[Course, Slopes]:
    """The course and its derivatives.

    `by` holds the derivatives of each driver: `start` of shape (lanes, parameters), the others (days, lanes,
    parameters).
    """
    found = course(lanes)
    before = found.mites + found.killed
    left = np.exp(-lanes.hazard)
    bent = Slopes(np.empty_like(by.growth), np.empty_like(by.growth))
    now, bend = lanes.start, by.start
    for day, growth in enumerate(lanes.growth):
        grown = before[day] - lanes.reinvasion[day]
        room = np.where(growth > 0, 1 - _full(now), 1.0)
        pull = np.where((growth > 0) & (now < CROWDED), -growth * now / CROWDED, 0.0)
        raised = (grown / now * (1 + pull))[:, None] * bend + (grown * room)[:, None] * by.growth[day]
        raised += by.reinvasion[day]
        bent.mites[day] = left[day][:, None] * (raised - before[day][:, None] * by.hazard[day])
        bent.killed[day] = raised - bent.mites[day]
        now, bend = found.mites[day], bent.mites[day]
    return found, bent


CROWDED = reading.CROWDED_MITES.value


def _full(mites: Array) -> Array:
    return np.minimum(mites / CROWDED, 1.0)
