"""What many colonies, or many draws of one, are run with side by side."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit import checks
from kit.calc import _kernel
from kit.calc.brood import BroodYear, default_year
from kit.calc.treatments import Treatment, effect_rows, year_with

FloatArray = NDArray[np.float64]
MAX_DAYS = 3 * 366
"""Longest run [d]."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """Many colonies, or many draws of one, run side by side over the same days. n lanes, k treatments, m knots.

    Every number may be a scalar or an array; what is given as one value holds for all lanes. A factor may wander
    through the season: m values stand at evenly spaced days from the first to the last, straight lines between.

    Parameters
    ----------
    start : date
        The first day.
    days : int
        Number of days [d].
    mites : array_like, shape (n,)
        Mites on the morning of `start` [1].
    years : sequence of BroodYear
        One, or rows of them (colonies, or one colony ever later), that `year_at` points into.
    year_at : array_like, shape (n,)
        Row in `years`; a fraction lies between two rows, so that timing may be a continuous parameter [1].
    rates : array_like, shape (n, 16) or (1, 16), optional
        Columns named by `RATE_NAMES`; the default rates when left out. `kit.calc.draws.rates` draws them.
    adults_factor, brood_factor : array_like, shape (), (n,) or (n, m)
        Adult bees, and cells capped, times this [1].
    growth : array_like, shape (), (n,) or (n, m)
        Daughters times this [1].
    reinvasion_per_day : array_like, shape (), (n,) or (n, m)
        Mites brought in [1/d].
    when : ndarray of int, shape (n, k, 2)
        First day and first day after of each treatment, as indices from `start`; a first day >= days never comes.
    effects : ndarray, shape (n, k, 6)
        For each treatment: kill on bees on the day, active_days and fade_days of its residue, kill on bees a day, kill
        in worker cells a day, in drone cells a day while in place (the fields of `kit.calc.treatments.Effect`).
    winter_bees : tuple of two dates, optional
        Window in which winter bees emerge, the second not in it, for `ManyYears.winter_bees_spoiled_pct`.
    curves : ndarray, optional
        What `brood_curves` made of `years` for this start and these days, where many runs share them.

    Raises
    ------
    ValidityError
        For shapes that do not fit, negative or NaN numbers, days out of range.

    Examples
    --------
    >>> from kit.calc.brood import broodless
    >>> from kit.calc.many_years import simulate_many
    >>> two = Lanes(start=date(2025, 12, 1), days=30, mites=[100.0, 200.0], years=[broodless()])
    >>> round_one = two.treated([Treatment("oxalic sublimation", date(2025, 12, 10), kill_pct=90)])
    >>> [round(float(x), 2) for x in simulate_many(round_one).total[:, -1]]
    [9.14, 18.28]
    """

    start: date
    days: int
    mites: ArrayLike
    years: Sequence[BroodYear] = field(default_factory=lambda: [default_year()])
    year_at: ArrayLike = 0.0
    rates: ArrayLike | None = None
    adults_factor: ArrayLike = 1.0
    brood_factor: ArrayLike = 1.0
    growth: ArrayLike = 1.0
    reinvasion_per_day: ArrayLike = 0.0
    when: ArrayLike | None = None
    effects: ArrayLike | None = None
    winter_bees: tuple[date, date] | None = None
    curves: FloatArray | None = None

    def __post_init__(self) -> None:
        checks.within("days", self.days, 1, MAX_DAYS)

    def treated(self, treatments: Sequence[Treatment]) -> "Lanes":
        """The same lanes with these treatments and no others, at their central numbers, for bees as in the first year.

        Queen caging and brood break stop the laying of every year.
        """
        years = [year_with(year, treatments) for year in self.years]
        when, effects = effect_rows(treatments, self.start, years[0].curves(self.start, self.days).adults)
        return replace(self, years=years, when=when, effects=effects, curves=None)


def brood_curves(years: Sequence[BroodYear], start: date, days: int) -> FloatArray:
    """The bees of some years by day, from the days before `start` on which mites settle into cells.

    Parameters
    ----------
    years : sequence of BroodYear
        Rows.
    start : date
        The first day of the run.
    days : int
        Number of days of the run [d].

    Returns
    -------
    ndarray, shape (rows, lead + days, 5)
        The fields of `kit.calc.brood.BroodCurves`, as `Lanes.curves` takes them.
    """
    first, whole = start - timedelta(days=_kernel.LEAD), _kernel.LEAD + days
    return np.ascontiguousarray([np.stack(year.curves(first, whole), axis=-1) for year in years])
