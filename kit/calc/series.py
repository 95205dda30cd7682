"""One series of sublimations as it was, or might have been, given: what it leaves, and what it takes."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from kit import checks
from kit.calc import effort, rounds, scenario
from kit.calc.brood import MEMORY_DAYS, BroodYear
from kit.calc.ranges import Band
from kit.calc.treatments import Treatment
from kit.errors import ValidityError


@dataclass(frozen=True, slots=True)
class Series:
    """A series of rounds in one colony.

    Parameters
    ----------
    start : date
        Day of the first round.
    rounds : int
        1 to 12 [1].
    interval_days : int
        Days between rounds, 1 to 60; not looked at with one round [d].
    dose_g : float
        Crystals of oxalic acid dihydrate a hive and round [g].
    seal : str
        good, fair or poor.
    """

    start: date
    rounds: int
    interval_days: int
    dose_g: float
    seal: str = "good"

    @property
    def gap_days(self) -> int:
        """Days between rounds; 0 with one round [d]."""
        return self.interval_days if self.rounds > 1 else 0

    @property
    def last(self) -> date:
        """Day of the last round."""
        return self.start + timedelta(days=(self.rounds - 1) * self.gap_days)

    @property
    def judged(self) -> date:
        """The day on which its kill is read."""
        return self.last + timedelta(days=rounds.AFTER_DAYS)

    def treatments(self) -> tuple[Treatment, ...]:
        """Its rounds."""
        days = [self.start + timedelta(days=k * self.gap_days) for k in range(self.rounds)]
        return tuple(Treatment(rounds.WORD, day, dose_g=self.dose_g, seal=self.seal) for day in days)


class Left(NamedTuple):
    """What a series leaves.

    Parameters
    ----------
    kill_pct : Band
        Efficacy 14 days after the last round [%].
    mites : Band
        Mites then [1].
    next_start : Band
        Mites on the day next season starts [1].
    treated, untreated : Course
        The way there, with the series and without it.
    """

    kill_pct: Band
    mites: Band
    next_start: Band
    treated: scenario.Course
    untreated: scenario.Course


class Taken(NamedTuple):
    """What a series takes: hours of work and driving [h], crystals [g]."""

    work_h: float
    drive_h: float
    crystals_g: float


def left_by(
    series: Series, *, mites: Band, brood: BroodYear, next_season: date, reinvasion_per_day: float = 0.0
) -> Left:
    """What a series leaves of the mites of one colony.

    Parameters
    ----------
    series : Series
        The rounds.
    mites : Band
        Mites on the morning of the first round [1].
    brood : BroodYear
        The bees.
    next_season : date
        The day next season starts; after the day the kill is read.
    reinvasion_per_day : float
        Mites brought in [1/d].

    Returns
    -------
    Left
        Kill as `kit.calc.rounds.efficacy_range_pct` gives it; mites as `kit.calc.scenario.course` does.

    Raises
    ------
    ValidityError
        When the series is not over before next season.

    References
    ----------
    toufailia2015, martin1998
    """
    if series.judged >= next_season:
        raise ValidityError(f"the series must be over two weeks before {next_season}: its last round is {series.last}")
    given = scenario.Scenario(
        series.start, (next_season - series.start).days + 1, mites, reinvasion_per_day, brood, series.treatments()
    )
    kill = rounds.efficacy_range_pct(
        start=series.start, rounds=series.rounds, interval_days=series.gap_days, dose_g=series.dose_g,
        brood=brood, seal=series.seal,
    )  # fmt: skip
    treated, untreated = scenario.course(given), scenario.course(given.untreated())
    return Left(kill, treated.mites_on(series.judged), treated.mites_on(next_season), treated, untreated)


def taken_by(series: Series, *, hives: int, drive_min: float = 0.0, carry_min: float = 0.0) -> Taken:
    """What a series takes at an apiary driven to for nothing else.

    Parameters
    ----------
    series : Series
        The rounds.
    hives : int
        Treated each round [1].
    drive_min : float
        One way [min].
    carry_min : float
        Vehicle to hives, one way [min].

    Returns
    -------
    Taken
        For one person with one machine.

    Raises
    ------
    ValidityError
        A negative number.

    Examples
    --------
    >>> taken = taken_by(Series(date(2026, 8, 15), 3, 5, 2.0), hives=20, drive_min=30)
    >>> round(taken.work_h, 1), taken.drive_h, taken.crystals_g
    (4.2, 3.0, 120.0)
    """
    checks.not_negative("drive_min", drive_min)
    visit = effort.visit_minutes(hives, carry_min=carry_min).total
    n = series.rounds
    return Taken(n * visit / 60, n * 2 * drive_min / 60, n * hives * series.dose_g)


def without_brood(year: BroodYear, start: date, *, days: int = 60) -> BroodYear:
    """The same bees with no brood from a day on: laying stopped early enough for the last of it to have emerged.

    Parameters
    ----------
    year : BroodYear
        The bees.
    start : date
        First day without brood.
    days : int
        Days until eggs are laid again, at least 1 [d].

    Returns
    -------
    BroodYear
        With one more laying stop.

    Examples
    --------
    >>> quiet = without_brood(BroodYear(), date(2026, 8, 15))
    >>> float(quiet.curves(date(2026, 8, 15), 1).capped_worker[0])
    0.0
    """
    return year.without_laying(start - timedelta(days=MEMORY_DAYS + 1), start + timedelta(days=days))
