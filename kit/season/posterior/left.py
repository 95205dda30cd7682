"""Mites that the season before left in the hives of one apiary: what takes the place of the usual spring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.season.usual import Array


@dataclass(frozen=True)
class Left:
    """Mites on the morning of the season's first day, as logarithms.

    Parameters
    ----------
    log_mites, apart : ndarray, shape (units,)
        Middle of each hive, and the standard deviation of its own; NaN where nothing is known of it.
    together : float
        Standard deviation of what all hives have in common.
    """

    log_mites: Array
    apart: Array
    together: float

    @property
    def known(self) -> NDArray[np.bool_]:
        """Hives of which it knows something, shape (units,)."""
        return ~np.isnan(self.log_mites)
