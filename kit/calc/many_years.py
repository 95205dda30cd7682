"""Many mite years side by side: colonies × draws × days, the same law as `kit.calc.mites.simulate`."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.calc import _kernel
from kit.calc._pack import run
from kit.calc.lanes import Lanes
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ManyYears:
    """The days asked for of many lanes: arrays of shape (n, j), a column for each day of `at`."""

    at: NDArray[np.int64]
    """Day indices from the start, ascending, shape (j,)."""
    on_bees: FloatArray
    """Mites on bees at the end of the day [1]."""
    in_brood: FloatArray
    """Mother mites in capped cells at the end of the day [1]."""
    adults: FloatArray
    """Adult bees [1]."""
    fallen: FloatArray
    """Mites fallen on a board since the start [1]; a board read on day t after n days holds the difference of days t−1
    and t−n−1."""
    winter_bees_spoiled_pct: FloatArray
    """Shape (n,): bees raised beside a mite among those emerging in the window [%]; NaN without a window."""

    @property
    def total(self) -> FloatArray:
        """Mites in the colony, shape (n, j) [1]."""
        return self.on_bees + self.in_brood

    @property
    def infestation_pct(self) -> FloatArray:
        """Mites on bees per 100 adult bees, shape (n, j) [%]."""
        return 100 * self.on_bees / self.adults

    @property
    def drop_per_day(self) -> FloatArray:
        """Mean board drop a day since the day before in `at`, or since the start, shape (n, j) [1/d]."""
        gap = np.diff(self.at, prepend=-1)
        return np.diff(self.fallen, axis=1, prepend=0.0) / gap


def simulate_many(lanes: Lanes, *, at: ArrayLike | None = None, threads: int = 1) -> ManyYears:
    """Run all lanes.

    Parameters
    ----------
    lanes : Lanes
        The colonies and draws.
    at : array_like of int, shape (j,), optional
        Day indices wanted, ascending, each once; all days when left out. Memory grows with n × j only.
    threads : int
        Blocks of lanes run at once; the result is the same whatever it is.

    Returns
    -------
    ManyYears
        Arrays of shape (n, j).

    Raises
    ------
    ValidityError
        For lanes that do not fit together, or days not in order or out of range.
    """
    days = np.arange(lanes.days) if at is None else np.asarray(at, dtype=np.int64).reshape(-1)
    if len(days) == 0 or days[0] < 0 or days[-1] >= lanes.days or (np.diff(days) <= 0).any():
        raise ValidityError(f"at must hold days 0 to {lanes.days - 1} in order, each once")
    out, spoiled = run(lanes, days, _kernel.BRIEF, threads)
    return ManyYears(days, out[..., 0], out[..., 1], out[..., 2], out[..., 3], 100 * spoiled)
