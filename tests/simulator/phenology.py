"""The bee year of a maritime temperate climate, as the simulator takes it.

Eggs a day by month: the default year of the science page (20 200 500 1000 1500 1600 1300 900 500 150 20 5,
assumed there), laid through the middles of the months. Winter bees are raised from mid-August to October.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EGGS_BY_MONTH = (20, 200, 500, 1000, 1500, 1600, 1300, 900, 500, 150, 20, 5)
MONTH_MIDDLES = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349], dtype=float)
DRONE_SHARE_PEAK = 0.045  # of cells laid, May to July in a managed colony; common practice, no source
WORKER_CAPPED_DAYS, DRONE_CAPPED_DAYS = 12, 15
BROOD_SURVIVAL = 0.88


def eggs_per_day(day_of_year: Floats) -> Floats:
    """Eggs laid per day by an ordinary colony, for days of the year 1 to 366 (any real number wraps)."""
    x = np.mod(day_of_year - 1, 365.25) + 1
    middles = np.concatenate([MONTH_MIDDLES[-1:] - 365.25, MONTH_MIDDLES, MONTH_MIDDLES[:1] + 365.25])
    eggs = np.array([EGGS_BY_MONTH[-1], *EGGS_BY_MONTH, EGGS_BY_MONTH[0]], dtype=float)
    return np.interp(x, middles, eggs)


def drone_share(day_of_year: Floats) -> Floats:
    """Share of the cells laid that are drone cells: none before late March or after early September."""
    rise = 1 / (1 + np.exp(-(day_of_year - 110) / 8))
    fall = 1 / (1 + np.exp((day_of_year - 205) / 10))
    return np.where((day_of_year > 80) & (day_of_year < 250), DRONE_SHARE_PEAK * rise * fall, 0.0)


def winter_bee_share(day_of_year: Floats) -> Floats:
    """Share of the bees that emerge on a day which live through the winter."""
    late = 1 / (1 + np.exp(-(day_of_year - 255) / 9))
    return np.where(day_of_year < 40, 1.0, late)


def summer_bee_loss(day_of_year: Floats) -> Floats:
    """Daily share of short-lived bees that die: four to five weeks of life."""
    return np.where((day_of_year > 90) & (day_of_year < 280), 1 / 31, 1 / 45)


def winter_bee_loss(day_of_year: Floats) -> Floats:
    """Daily share of long-lived bees that die: slow until February, then worn out by May."""
    spring = 0.0042 + 0.03 / (1 + np.exp(-(day_of_year - 85) / 12))
    return np.where(day_of_year < 200, spring, 0.0042)


def fertility(day_of_year: Floats) -> Floats:
    """Viable daughters of a lone foundress in a worker cell: 1.0 in summer, 0.5 in winter (Martin 2001)."""
    return 0.75 + 0.25 * np.cos(2 * np.pi * (day_of_year - 185) / 365.25)


def reinvasion_shape(day_of_year: Floats) -> Floats:
    """Shape of drift and robbing over the year; its mean over 1 August to mid-November is 1."""
    peak = np.exp(-0.5 * ((day_of_year - 258) / 32) ** 2)
    return 0.12 + 1.25 * peak
