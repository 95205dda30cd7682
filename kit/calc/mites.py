r"""The mite year: mites of one colony, day by day.

.. math::
    \text{out} &= w_{t-12} + d_{t-14}, \qquad \text{young} = w'_{t-12} + d'_{t-14} \\
    b^- &= \bigl(b + (\text{out}+\text{young})(1-\phi) + \iota\bigr)\cdot(\text{what the treatments leave}) \\
    b^\circ &= b^-\,(1-\mu(\sigma)), \qquad \sigma = \min(1, W/W_{full}) \\
    h &= (c_W W + c_D D)/B \\
    b &\leftarrow b^\circ e^{-h}, \qquad \lambda_W = \frac{b^\circ}{B}\frac{1-e^{-h}}{h}\,c_W, \quad w_t = \lambda_W W \\
    w'_t &= g\,w_t\,\rho(\sigma)\,e^{-\kappa_W \lambda_W}

:math:`b` mites on bees; :math:`w_t, d_t` mother mites in the worker and drone cells capped on day :math:`t`, and
:math:`w', d'` the daughters they will bring out; :math:`\phi` the share that falls when cells open; :math:`\iota` mites
brought in; :math:`\mu` daily death on bees; :math:`W, D` cells capped that day; :math:`B` grams of bees;
:math:`\lambda` mites per cell; :math:`\rho` daughters per foundress between winter and summer by :math:`\sigma`, the
fullness of the season; :math:`\kappa` crowding; :math:`g` a growth factor, 1. Drone cells likewise. Every day in this
order: bees leave (split, swarm), cells open and mites arrive, treatments kill, mites die, cells are capped.

Mites in the colony are :math:`b + \sum w + \sum d`: daughters count from the day their cell opens. The board holds what
falls as cells open, what dies on bees, and a treatment's dead, which take days to come down. On the morning of the
first day the mites are taken as having sorted themselves into the cells of the weeks before.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, dataclass, field, fields, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit import checks
from kit.calc import _kernel
from kit.calc.brood import BroodYear, broodless, default_year
from kit.calc.treatments import LAYING_STOPS, Treatment, effect_rows
from kit.constants import mites as c
from kit.errors import ValidityError

__all__ = [
    "Lanes",
    "ManyYears",
    "MiteYear",
    "Rates",
    "Treatment",
    "broodless",
    "invasion_per_day",
    "simulate",
    "simulate_many",
]

FloatArray = NDArray[np.float64]
MAX_DAYS = 3 * 366
_BLOCK = 256


@dataclass(frozen=True, slots=True)
class Rates:
    """The numbers of the law. Each has its range and source in `kit.constants.mites`.

    Raises
    ------
    ValidityError
        For a negative or NaN rate, or a share above 1.

    References
    ----------
    boot1995, martin2001, martin1998, lobb1997, korpela1992, fries1994

    Examples
    --------
    >>> Rates(death_winter=-0.1)
    Traceback (most recent call last):
    kit.errors.ValidityError: death_winter must be >= 0: got -0.1
    """

    invade_worker_g: float = c.INVADE_WORKER_G.value
    """c_W, mites' hazard per worker cell and gram of bees [g/cell]."""
    invade_drone_g: float = c.INVADE_DRONE_G.value
    """c_D, the same per drone cell [g/cell]."""
    daughters_worker_summer: float = c.DAUGHTERS_WORKER_SUMMER.value
    daughters_worker_winter: float = c.DAUGHTERS_WORKER_WINTER.value
    daughters_drone: float = c.DAUGHTERS_DRONE.value
    """ρ, viable daughters per foundress and cycle [1]."""
    crowding_worker: float = c.CROWDING_WORKER.value
    crowding_drone: float = c.CROWDING_DRONE.value
    """κ, loss of daughters per mite in a cell [1]."""
    fall_worker: float = c.FALL_WORKER.value
    fall_drone: float = c.FALL_DRONE.value
    """φ, share of the mites leaving a cell that falls [1]."""
    death_summer: float = c.DEATH_SUMMER.value
    death_winter: float = c.DEATH_WINTER.value
    """μ, daily death of mites on bees [1/d]."""
    full_season_cells: float = c.FULL_SEASON_CELLS.value
    """W_full, worker cells capped a day from which summer rates hold [1/d]."""
    dead_fall_per_day: float = c.DEAD_FALL_PER_DAY.value
    """Share of a treatment's dead that moves on each day in each of two steps to the board [1/d]."""

    def __post_init__(self) -> None:
        for each in fields(self):
            checks.not_negative(each.name, getattr(self, each.name))
        for name in ("fall_worker", "fall_drone", "death_summer", "death_winter", "dead_fall_per_day"):
            checks.within(name, getattr(self, name), 0, 1)
        checks.positive("full_season_cells", self.full_season_cells)


RATE_NAMES = tuple(each.name for each in fields(Rates))
"""Names of the rates, in the order of the columns of `Lanes.rates`."""


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
    infested_cells_pct: FloatArray
    """Worker cells capped that day that hold a mite [%]."""
    flows: FloatArray
    """Shape (days, 5): mites born, arrived, lost, killed, left with bees or combs, since the start [1]."""
    winter_bees_spoiled_pct: float
    """Bees raised beside a mite among those emerging in the winter-bee window [%]; NaN when none was raised in it."""

    @property
    def total(self) -> FloatArray:
        """Mites in the colony, shape (days,) [1]."""
        return self.on_bees + self.in_brood

    @property
    def infestation_pct(self) -> FloatArray:
        """Mites on bees per 100 adult bees, shape (days,) [%]."""
        return 100 * self.on_bees / self.adults

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
    return cells / (checks.positive("adults", adults) / 8)


def simulate(
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
    bees = _after_stops(year or default_year(), treatments)
    lanes = Lanes(
        start=start, days=days, mites=[mites], years=[bees], reinvasion_per_day=reinvasion_per_day,
        rates=np.array([astuple(rates or Rates())]),
    ).treated(treatments)  # fmt: skip
    out, spoiled = _run(lanes, np.arange(days), _kernel.FULL, threads=1)
    curves = bees.curves(start - timedelta(days=_kernel.LEAD), _kernel.LEAD + days)
    on_bees, in_brood, adults, fallen = out[0, :, :4].T
    return MiteYear(
        start, on_bees, in_brood, adults, np.diff(fallen, prepend=0.0),
        curves.capped_worker[_kernel.LEAD :], curves.capped_drone[_kernel.LEAD :], 100 * out[0, :, 9],
        out[0, :, 4:9], 100 * float(spoiled[0]),
    )  # fmt: skip


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
    rates : array_like, shape (n, 13) or (1, 13), optional
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

    Raises
    ------
    ValidityError
        For shapes that do not fit, negative or NaN numbers, days out of range.

    Examples
    --------
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

    def treated(self, treatments: Sequence[Treatment]) -> "Lanes":
        """The same lanes with these treatments at their central numbers, scaled to the bees of the first year.

        Queen caging and brood break are not for here: give `years` in which the laying stops.
        """
        adults = self.years[0].curves(self.start, self.days).adults
        when, effects = effect_rows(treatments, self.start, adults)
        return replace(self, when=when, effects=effects)


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
    """Mites fallen on a board since the start; a board read on day t after n days holds fallen[t-1] − fallen[t-n-1] [1]."""
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
    out, spoiled = _run(lanes, days, _kernel.BRIEF, threads)
    return ManyYears(days, out[..., 0], out[..., 1], out[..., 2], out[..., 3], 100 * spoiled)


def _after_stops(year: BroodYear, treatments: Sequence[Treatment]) -> BroodYear:
    for treatment in treatments:
        if treatment.word in LAYING_STOPS:
            year = year.without_laying(treatment.day, treatment.end)
    return year


def _run(lanes: Lanes, at: NDArray[np.int64], columns: int, threads: int) -> tuple[FloatArray, FloatArray]:
    packed = _packed(lanes, at)
    n = len(packed.mites)
    out, spoiled = np.empty((n, len(at), columns)), np.empty(n)
    starts = range(0, n, _BLOCK)
    if threads <= 1 or len(starts) == 1:
        _kernel.run(packed, out, spoiled, 0, n)
        return out, spoiled
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(lambda first: _kernel.run(packed, out, spoiled, first, min(first + _BLOCK, n)), starts))
    return out, spoiled


def _packed(lanes: Lanes, at: NDArray[np.int64]) -> _kernel.Lanes:
    checks.within("days", lanes.days, 1, MAX_DAYS)
    mites = _amounts("mites", np.atleast_1d(np.asarray(lanes.mites, dtype=float)))
    n = len(mites)
    rates = np.array([astuple(Rates())]) if lanes.rates is None else np.asarray(lanes.rates, dtype=float)
    return _kernel.Lanes(
        mites,
        _amounts("rates", _rows("rates", rates, (n, len(RATE_NAMES)))),
        _curves(lanes),
        _year_rows(lanes, n),
        _factors(lanes, n),
        *_treatment_rows(lanes, n),
        np.ascontiguousarray(at, dtype=np.int64),
        _window(lanes),
    )


def _amounts(name: str, values: FloatArray) -> FloatArray:
    if not (np.isfinite(values).all() and (values >= 0).all()):
        bad = values[~(np.isfinite(values) & (values >= 0))][0]
        raise ValidityError(f"{name} must be finite and >= 0: got {float(bad)!r}")
    return np.ascontiguousarray(values, dtype=float)


def _rows(name: str, values: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    try:
        return np.ascontiguousarray(np.broadcast_to(values, shape))
    except ValueError:
        raise ValidityError(f"{name} must have shape {shape}: got {np.shape(values)}") from None


def _curves(lanes: Lanes) -> FloatArray:
    first, days = lanes.start - timedelta(days=_kernel.LEAD), _kernel.LEAD + lanes.days
    return np.ascontiguousarray([np.stack(year.curves(first, days), axis=-1) for year in lanes.years])


def _year_rows(lanes: Lanes, n: int) -> FloatArray:
    rows = _amounts("year_at", _rows("year_at", np.asarray(lanes.year_at, dtype=float), (n,)))
    if (rows > len(lanes.years) - 1).any():
        raise ValidityError(f"year_at must be at most {len(lanes.years) - 1}: got {float(rows.max())}")
    return rows


def _factors(lanes: Lanes, n: int) -> FloatArray:
    named = {
        "adults_factor": lanes.adults_factor,
        "brood_factor": lanes.brood_factor,
        "growth": lanes.growth,
        "reinvasion_per_day": lanes.reinvasion_per_day,
    }
    columns = {name: _amounts(name, np.asarray(values, dtype=float)) for name, values in named.items()}
    columns = {name: v[:, None] if v.ndim == 1 else v for name, v in columns.items()}
    knots = max((v.shape[1] for v in columns.values() if v.ndim == 2), default=1)
    spread = [_rows(name, _knots(v, knots), (n, knots)) for name, v in columns.items()]
    return np.ascontiguousarray(np.stack(spread, axis=-1))


def _knots(values: FloatArray, knots: int) -> FloatArray:
    """The same straight lines on `knots` evenly spaced days."""
    if values.ndim < 2 or values.shape[1] in (1, knots):
        return values
    old, new = np.linspace(0, 1, values.shape[1]), np.linspace(0, 1, knots)
    return np.array([np.interp(new, old, row) for row in values])


def _treatment_rows(lanes: Lanes, n: int) -> tuple[NDArray[np.int64], FloatArray]:
    if lanes.when is None or lanes.effects is None:
        return np.zeros((n, 0, 2), dtype=np.int64), np.zeros((n, 0, 6))
    when, effects = np.asarray(lanes.when, dtype=np.int64), np.asarray(lanes.effects, dtype=float)
    k = when.shape[-2]
    effects = _amounts("effects", _rows("effects", effects, (n, k, 6)))
    if (effects[..., [0, 3, 4, 5]] > 1).any():
        raise ValidityError("effects: a kill must be a share of at most 1")
    if (when[..., 0] < 0).any():
        raise ValidityError("when: a treatment must not be before the start")
    return np.ascontiguousarray(np.broadcast_to(when, (n, k, 2))), effects


def _window(lanes: Lanes) -> NDArray[np.int64]:
    if lanes.winter_bees is None:
        return np.zeros(2, dtype=np.int64)
    return np.array([(day - lanes.start).days for day in lanes.winter_bees], dtype=np.int64)
