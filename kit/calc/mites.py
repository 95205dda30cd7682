r"""The mite year: mites of one colony, day by day.

.. math::
    \text{out} &= w_{t-12} + d_{t-14}, \qquad \text{young} = w'_{t-12} + d'_{t-14} \\
    b^- &= \bigl(b + (\text{out}+\text{young})(1-\phi) + \iota\bigr)\cdot(\text{what the treatments leave}) \\
    b^\circ &= b^-\,(1-\mu(\sigma)), \qquad \sigma = \min(1, W/W_{full}) \\
    h &= (c_W W + c_D D)/B \\
    b &\leftarrow b^\circ e^{-h} \\
    w_t &= \lambda_W W, \qquad \lambda_W = \frac{b^\circ}{B}\frac{1-e^{-h}}{h}\,c_W \\
    w'_t &= g\,w_t\,\rho(\sigma)\,e^{-\kappa_W \lambda_W}

:math:`b` mites on bees; :math:`w_t, d_t` mother mites in the worker and drone cells capped on day :math:`t`, and
:math:`w', d'` the daughters they will bring out; :math:`\phi` the share that falls when cells open; :math:`\iota` mites
brought in; :math:`\mu` daily death on bees; :math:`W, D` cells capped that day; :math:`B` grams of bees;
:math:`\lambda` mites per cell; :math:`\rho` daughters per foundress between winter and summer by :math:`\sigma`, the
fullness of the season; :math:`\kappa` crowding; :math:`g` a growth factor, 1. Drone cells likewise. Every day in this
order: bees leave (split, swarm), cells open and mites arrive, treatments kill, mites die, cells are capped.

Mites in the colony are :math:`b + \sum w + \sum d`: daughters count from the day their cell opens. The board holds what
falls as cells open, what dies on bees, and a treatment's dead: those killed by acid, or in cells, come down over weeks,
those struck by what lies in the hive within days. On the morning of the first day the mites are taken as having sorted
themselves into the cells of the weeks before.
"""

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit import checks
from kit.calc import _kernel
from kit.calc._pack import run
from kit.calc.brood import WORKER_CAPPED, BroodYear, broodless, default_year
from kit.calc.lanes import Lanes
from kit.calc.many_years import ManyYears, simulate_many
from kit.calc.rates import RATE_NAMES, Rates
from kit.calc.treatments import Treatment
from kit.constants import bees as bee_numbers
from kit.errors import ValidityError

__all__ = [
    "RATE_NAMES",
    "BroodYear",
    "Lanes",
    "ManyYears",
    "MiteYear",
    "Raised",
    "Rates",
    "Treatment",
    "broodless",
    "default_year",
    "invasion_per_day",
    "simulate",
    "simulate_many",
]

FloatArray = NDArray[np.float64]
_CAPPED = timedelta(days=WORKER_CAPPED)


class Raised(NamedTuple):
    """A cohort of worker bees."""

    bees: float
    """How many emerged [1]."""
    spoiled_pct: float
    """Raised beside a mite [%]; NaN when none was raised."""


@dataclass(frozen=True, slots=True)
class MiteYear:
    """What the law says, by day: arrays of shape (days,), index i = the end of day `start` + i."""

    start: date
    on_bees: FloatArray
    """Mites on bees [1]."""
    in_brood: FloatArray
    """Mother mites in capped cells [1]."""
    adults: FloatArray
    """Adult bees [1]."""
    board_drop_per_day: FloatArray
    """Mites falling on a board during the day: natural fall and a treatment's dead [1/d]."""
    capped_worker: FloatArray
    """Capped worker cells standing [1]."""
    capped_drone: FloatArray
    """Capped drone cells standing [1]."""
    worker_cells: FloatArray
    """Worker cells capped that day [1/d]."""
    infested_cells_pct: FloatArray
    """Of the worker cells capped that day, those that hold a mite [%]."""
    flows: FloatArray
    """Shape (days, 5): mites born, arrived, lost, killed, left with bees or combs, since the start [1]."""

    @property
    def total(self) -> FloatArray:
        """Mites in the colony, shape (days,) [1]."""
        return self.on_bees + self.in_brood

    @property
    def infestation_pct(self) -> FloatArray:
        """Mites on bees per 100 adult bees, shape (days,) [%]."""
        return 100 * self.on_bees / self.adults

    def raised(self, begin: date, end: date) -> "Raised":
        """The worker bees that emerge from `begin` until before `end`: with the winter-bee window, the winter bees.

        Raises
        ------
        ValidityError
            When their cells were capped outside the simulated days.
        """
        capped = slice(self.at(begin - _CAPPED), self.at(end - _CAPPED))
        bees = float(self.worker_cells[capped].sum())
        beside_mites = float((self.worker_cells[capped] * self.infested_cells_pct[capped]).sum())
        return Raised(bees, beside_mites / bees if bees > 0 else float("nan"))

    def at(self, day: date) -> int:
        """The index of a day.

        Raises
        ------
        ValidityError
            When it lies outside the simulated days.
        """
        index = (day - self.start).days
        if not 0 <= index < len(self.on_bees):
            raise ValidityError(f"day must lie in the {len(self.on_bees)} days from {self.start}: got {day}")
        return index


def invasion_per_day(*, worker_cells: float, drone_cells: float, adults: float, rates: Rates | None = None) -> float:
    r"""Daily hazard with which a mite on a bee enters a cell.

    .. math:: h = (c_W W + c_D D)/B

    Parameters
    ----------
    worker_cells, drone_cells : float
        Cells capped that day [1/d].
    adults : float
        Adult bees, 8 to the gram [1].
    rates : Rates, optional
        Other than the default.

    Returns
    -------
    float
        Hazard [1/d]; its inverse is the mean stay on bees [d].

    References
    ----------
    boot1995

    Examples
    --------
    >>> round(invasion_per_day(worker_cells=1200, drone_cells=0, adults=20_000), 3)
    0.268
    """
    r = rates or Rates()
    cells = r.invade_worker_g * checks.not_negative("worker_cells", worker_cells)
    cells += r.invade_drone_g * checks.not_negative("drone_cells", drone_cells)
    return cells / (checks.positive("adults", adults) / bee_numbers.BEES_PER_GRAM.value)


def simulate(  # noqa: PLR0913 - the question has seven parts, all named
    *,
    start: date,
    days: int,
    mites: float,
    treatments: Sequence[Treatment] = (),
    year: BroodYear | None = None,
    reinvasion_per_day: float = 0.0,
    rates: Rates | None = None,
) -> MiteYear:
    """The mites of one colony through so many days.

    Parameters
    ----------
    start : date
        The first day.
    days : int
        Number of days, 1 to 1098 [d].
    mites : float
        Mites in the colony on the morning of `start` [1].
    treatments : sequence of Treatment
        None before `start`; queen caging and brood break stop the laying of `year`.
    year : BroodYear, optional
        The bees; the default maritime-temperate year when left out.
    reinvasion_per_day : float
        Mites brought in by drifting and robbing bees [1/d].
    rates : Rates, optional
        Other than the default.

    Returns
    -------
    MiteYear
        Arrays of shape (days,).

    Raises
    ------
    ValidityError
        For negative or NaN numbers, days out of range, a treatment before the start.

    Examples
    --------
    >>> winter = simulate(start=date(2025, 12, 1), days=10, mites=1000, year=broodless())
    >>> [round(float(winter.total[0])), round(float(winter.board_drop_per_day[0]), 1)]
    [997, 3.0]
    """
    lanes = Lanes(
        start=start, days=days, mites=[mites], years=[year or default_year()], reinvasion_per_day=reinvasion_per_day,
        rates=np.array([astuple(rates or Rates())]),
    ).treated(treatments)  # fmt: skip
    out = run(lanes, np.arange(days), _kernel.FULL, threads=1)[0][0]
    curves = lanes.years[0].curves(start - timedelta(days=_kernel.LEAD), _kernel.LEAD + days)
    return MiteYear(
        start=start,
        on_bees=out[:, _kernel.ON_BEES],
        in_brood=out[:, _kernel.IN_BROOD],
        adults=out[:, _kernel.ADULTS],
        board_drop_per_day=np.diff(out[:, _kernel.FALLEN], prepend=0.0),
        capped_worker=curves.capped_worker[_kernel.LEAD :],
        capped_drone=curves.capped_drone[_kernel.LEAD :],
        worker_cells=out[:, _kernel.CAPPED],
        infested_cells_pct=-100 * np.expm1(-out[:, _kernel.PER_CELL]),
        flows=out[:, _kernel.BORN : _kernel.LEFT + 1],
    )
