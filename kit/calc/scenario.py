"""One colony's year as it might go: mites, winter bees and winter loss as ranges, under treatments on given days.

Every scenario runs over the same draws of the law and of the treatments, so that two of them differ by what was
changed and not by luck; the same question has the same answer each time.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit import checks
from kit.calc import draws
from kit.calc.brood import BroodYear, default_year
from kit.calc.lanes import Lanes
from kit.calc.losses import loss_by_mites_pct, loss_expected_pct
from kit.calc.many_years import ManyYears, simulate_many
from kit.calc.ranges import Band, band_of
from kit.calc.treatments import Treatment, effect_rows, year_with
from kit.constants import reading
from kit.constants.treatment_words import LAYING_STOPS
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]

DRAWS = 200
STEP_DAYS = 2
"""Days between two points of a course [d]."""
_SEED = 21
_ROBBING = (7, 8, 9, 10)  # the months in which reinvasion was measured
_P95 = 1.6449  # standard deviations from the middle of a normal variable to its 95 % point


class Bands(NamedTuple):
    """A quantity by day with its spread; arrays of shape (j,) in the unit of the quantity."""

    p05: FloatArray
    p50: FloatArray
    p95: FloatArray

    @classmethod
    def of(cls, values: FloatArray) -> "Bands":
        """The points of draws, shape (n, j), day by day."""
        low, middle, high = np.quantile(values, [0.05, 0.5, 0.95], axis=0)
        return cls(low, middle, high)


@dataclass(frozen=True, slots=True)
class Scenario:
    """What is supposed of one colony.

    Parameters
    ----------
    start : date
        The first day.
    days : int
        Number of days, 2 to 1098 [d].
    mites : Band
        Mites in the colony that morning; three equal points for a number that is known [1].
    reinvasion_per_day : float
        Mites brought in by drifting and robbing bees from July to October, a tenth of it in other months [1/d].
    year : BroodYear
        The bees.
    treatments : tuple of Treatment
        None before `start`.

    Raises
    ------
    ValidityError
        For mites not above zero or out of order, days out of range, a treatment outside the days.
    """

    start: date
    days: int
    mites: Band
    reinvasion_per_day: float = 0.0
    year: BroodYear = field(default_factory=default_year)
    treatments: tuple[Treatment, ...] = ()

    def __post_init__(self) -> None:
        checks.within("days", self.days, STEP_DAYS, 1098)
        checks.not_negative("reinvasion_per_day", self.reinvasion_per_day)
        if not 0 < self.mites.p05 <= self.mites.p50 <= self.mites.p95:
            raise ValidityError(f"mites must be above 0 and its three points in order: got {tuple(self.mites)}")
        for treatment in self.treatments:
            if not self.start <= treatment.day <= self.last:
                raise ValidityError(f"treatment day must lie from {self.start} to {self.last}: got {treatment.day}")

    @property
    def last(self) -> date:
        """The last day."""
        return self.start + timedelta(days=self.days - 1)

    def untreated(self) -> "Scenario":
        """The same colony left alone."""
        return replace(self, treatments=())


@dataclass(frozen=True, slots=True)
class Course:
    """How a scenario may go: draws of shape (n, j), a column for each day of `at`."""

    start: date
    at: NDArray[np.int64]
    """Day indices from the start, ascending, shape (j,)."""
    mites: FloatArray
    """Mites in the colony [1]."""
    infestation_pct: FloatArray
    """Mites on bees per 100 adult bees [%]."""
    spoiled_pct: FloatArray
    """Shape (n,): winter bees raised beside a mite [%]; NaN without a window."""

    def dates(self) -> list[date]:
        """The day of each column."""
        return [self.start + timedelta(days=int(index)) for index in self.at]

    def mites_on(self, day: date) -> Band:
        """Mites in the colony on the last column up to a day [1].

        Raises
        ------
        ValidityError
            When the day lies outside the scenario.
        """
        return band_of(self.mites[:, self._column(day)])

    def infestation_on_pct(self, day: date) -> Band:
        """Mites per 100 bees on the last column up to a day [%].

        Raises
        ------
        ValidityError
            When the day lies outside the scenario.
        """
        return band_of(self.infestation_pct[:, self._column(day)])

    def infestation_between_pct(self, first: date, last: date) -> FloatArray:
        """Mean mites per 100 bees from one day to another, shape (n,) [%].

        Raises
        ------
        ValidityError
            When the days lie outside the scenario.
        """
        low, high = self._column(first), self._column(last)
        return np.asarray(self.infestation_pct[:, low : high + 1].mean(axis=1))

    def _column(self, day: date) -> int:
        index = (day - self.start).days
        if not 0 <= index <= int(self.at[-1]) + STEP_DAYS - 1:
            raise ValidityError(f"day must lie in the scenario from {self.start}: got {day}")
        return max(int(np.searchsorted(self.at, index, side="right")) - 1, 0)


class Winter(NamedTuple):
    """What a year leaves for the winter.

    Parameters
    ----------
    exposure_pct : Band
        Mean mites per 100 bees while winter bees are raised [%].
    spoiled_pct : Band
        Winter bees raised beside a mite [%].
    october_pct : Band
        Mean mites per 100 bees in October [%].
    loss_pct : Band
        Expected loss by all causes; the spread is that of mites, not of the loss curve [%].
    """

    exposure_pct: Band
    spoiled_pct: Band
    october_pct: Band
    loss_pct: Band


def course(scenario: Scenario, *, winter_bees: tuple[date, date] | None = None) -> Course:
    """Run a scenario over the draws.

    Parameters
    ----------
    scenario : Scenario
        The colony and what befalls it.
    winter_bees : tuple of two dates, optional
        First and last day on which winter bees emerge.

    Returns
    -------
    Course
        Every `STEP_DAYS` days.

    Examples
    --------
    >>> from kit.calc.brood import broodless
    >>> winter = Scenario(date(2025, 12, 1), 40, Band(100, 100, 100), year=broodless())
    >>> one = replace(winter, treatments=(Treatment("oxalic sublimation", date(2025, 12, 10), kill_pct=90),))
    >>> [round(course(s).mites_on(date(2025, 12, 12)).p50) for s in (winter, one)]
    [97, 10]
    """
    at = np.arange(0, scenario.days, STEP_DAYS)
    run: ManyYears = simulate_many(_lanes(scenario, winter_bees), at=at)
    return Course(scenario.start, at, run.total, run.infestation_pct, run.winter_bees_spoiled_pct)


def winter_of(run: Course, winter_bees: tuple[date, date]) -> Winter:
    """What a course leaves for the winter.

    Parameters
    ----------
    run : Course
        Run with the same window.
    winter_bees : tuple of two dates
        First and last day on which winter bees emerge.

    Returns
    -------
    Winter
        Bands over the draws.

    Raises
    ------
    ValidityError
        When the window or October lies outside the course.

    References
    ----------
    assumed
    """
    first, last = winter_bees
    exposure = run.infestation_between_pct(first, last)
    october = run.infestation_between_pct(date(first.year, 10, 1), date(first.year, 10, 31))
    by_mites = np.clip(loss_by_mites_pct(exposure_pct=exposure, october_infestation_pct=october), 0, 100)
    return Winter(band_of(exposure), band_of(run.spoiled_pct), band_of(october), band_of(loss_expected_pct(by_mites)))


def around(middle: float, like: Band) -> Band:
    """A band about another middle, as wide as `like` is about its own.

    Parameters
    ----------
    middle : float
        Above zero, in the unit of what is banded [1].
    like : Band
        Its points above zero, in any one unit [1].

    Returns
    -------
    Band
        In the unit of `middle` [1].

    Raises
    ------
    ValidityError
        When one of them is not above zero.

    Examples
    --------
    >>> around(10.0, Band(50, 100, 300))
    Band(p05=5.0, p50=10.0, p95=30.0)
    """
    checks.positive("middle", middle)
    for point in like:
        checks.positive("like", point)
    return Band(*(middle * point / like.p50 for point in like))


def _lanes(scenario: Scenario, winter_bees: tuple[date, date] | None) -> Lanes:
    rng = draws.stream(_SEED)
    rates = draws.rates(DRAWS, rng)
    year = year_with(scenario.year, scenario.treatments)
    when, effects = _acting(scenario.treatments, scenario, year)
    window = None if winter_bees is None else (winter_bees[0], winter_bees[1] + timedelta(days=1))
    return Lanes(
        start=scenario.start,
        days=scenario.days,
        mites=_spread(scenario.mites),
        years=[year],
        rates=rates,
        reinvasion_per_day=np.broadcast_to(_brought_in(scenario), (DRAWS, scenario.days)),
        when=when,
        effects=effects,
        winter_bees=window,
    )


def _brought_in(scenario: Scenario) -> FloatArray:
    """Mites brought in by day, shape (days,) [1/d]."""
    days = (scenario.start + timedelta(days=n) for n in range(scenario.days))
    rest = reading.REINVASION_REST.value / 100
    share = np.array([1.0 if day.month in _ROBBING else rest for day in days])
    return np.asarray(scenario.reinvasion_per_day * share)


def _acting(
    treatments: Sequence[Treatment], scenario: Scenario, year: BroodYear
) -> tuple[NDArray[np.int64] | None, FloatArray | None]:
    acting = [treatment for treatment in treatments if treatment.word not in LAYING_STOPS]
    if not acting:
        return None, None
    # A stream for each word: adding one kind of treatment leaves the luck of the others as it was.
    actions = {word: draws.action(word, DRAWS, draws.stream(_SEED, word)) for word in {t.word for t in acting}}
    when, effects = effect_rows(acting, scenario.start, year.curves(scenario.start, scenario.days).adults, actions)
    return np.broadcast_to(when, (DRAWS, *when.shape[1:])).copy(), np.broadcast_to(
        effects, (DRAWS, *effects.shape[1:])
    ).copy()


def _spread(mites: Band) -> FloatArray:
    """Draws through the three points: straight lines on a log scale against a normal variable."""
    z = draws.stream(_SEED, "mites").standard_normal(DRAWS)
    low, middle, high = np.log(mites)
    return np.asarray(np.exp(middle + np.where(z < 0, middle - low, high - middle) * z / _P95))
