"""Next season's mites at each apiary under a programme: many draws of the mite year, and what they mean for losses.

Drawn for each apiary: mites at the end of the records (the review's band, else a spring without counts), mites carried
in, growth, and the strength of every kill. The same draws serve every programme, like for like.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple
from zlib import crc32

import numpy as np

from kit.calc.lanes import Lanes, ManyYears, simulate_many
from kit.calc.losses import loss_by_mites_pct, loss_expected_pct
from kit.calc.ranges import Band, band_of
from kit.calc.treatments import LAYING_STOPS, Treatment
from kit.constants import Constant, mites, plan, reading
from kit.plan.ahead import Ahead, a_year_on
from kit.plan.problem import Floats
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records

DRAWS = 120
STEP_DAYS = 5
"""Days between two looks at the infestation."""
KNOWN_DAYS = 60
"""Records that end longer before the season planned say little of its start: treatments still lie between."""
P95 = 1.6449
"""Standard deviations from the middle to the 95 % point of a normal variable."""


class Given(NamedTuple):
    """One treatment on dates: its rounds' days, the day it comes out, and crystals a hive [g]."""

    word: str
    days: tuple[date, ...]
    until: date | None = None
    dose_g: float | None = None


class Outlook(NamedTuple):
    """What a programme promises.

    Parameters
    ----------
    chance_pct : float
        Draws below both limits: the mean while winter bees are raised, and at the end of December [%].
    loss_pct : Band
        Expected winter loss by all causes over the draws [%].
    """

    chance_pct: float
    loss_pct: Band


@dataclass(frozen=True)
class Futures:
    """The draws of one apiary, ready to be treated.

    Parameters
    ----------
    lanes : Lanes
        Untreated, a lane for each draw.
    kill : array, shape (draws,)
        Hazard of every kill times this [1].
    winter_bees : tuple of date
        First and last day on which winter bees are raised.
    limits : tuple of float
        Mites per 100 bees: while winter bees are raised, and at the end of December.
    """

    lanes: Lanes
    kill: Floats
    winter_bees: tuple[date, date]
    limits: tuple[float, float]

    def outlook(self, treatments: Sequence[Given]) -> Outlook | None:
        """What the treatments promise; None where one acts through the queen's laying, which is not reckoned here."""
        if any(t.word in LAYING_STOPS for t in treatments):
            return None
        exposure, winter, loss = self._run(treatments)
        held = (exposure <= self.limits[0]) & (winter <= self.limits[1])
        return Outlook(float(100 * held.mean()), band_of(loss))

    def loss_pct(self, treatments: Sequence[Given]) -> float:
        """Expected loss by all causes, the mean over the draws [%]."""
        return float(self._run([t for t in treatments if t.word not in LAYING_STOPS])[2].mean())

    def _run(self, treatments: Sequence[Given]) -> tuple[Floats, Floats, Floats]:
        at = np.arange(STEP_DAYS - 1, self.lanes.days, STEP_DAYS)
        years = simulate_many(self._treated(treatments), at=at)
        first, last = self.winter_bees
        exposure = self._mean(years, first, last)
        october = self._mean(years, date(first.year, 10, 1), date(first.year, 10, 31))
        winter = self._mean(years, date(first.year, 12, 25), date(first.year, 12, 31))
        by_mites = loss_by_mites_pct(exposure_pct=exposure, october_infestation_pct=october)
        return exposure, winter, loss_expected_pct(np.clip(by_mites, 0, 100))

    def _mean(self, years: ManyYears, first: date, last: date) -> Floats:
        low, high = ((day - self.lanes.start).days for day in (first, last))
        inside = (years.at >= low) & (years.at <= high)
        return np.asarray(years.infestation_pct[:, inside].mean(axis=1))

    def _treated(self, treatments: Sequence[Given]) -> Lanes:
        acts = [
            Treatment(t.word, day, dose_g=t.dose_g, until=t.until)
            for t in treatments
            for day in t.days
            if self.lanes.start <= day < self.lanes.start + timedelta(days=self.lanes.days)
        ]
        if not acts:
            return self.lanes
        central = self.lanes.treated(acts)
        n = len(self.kill)
        effects = np.broadcast_to(np.asarray(central.effects), (n, len(acts), 6)).copy()
        for column in (0, 3, 4, 5):
            effects[:, :, column] = 1 - (1 - np.clip(effects[:, :, column], 0, 1 - 1e-9)) ** self.kill[:, None]
        when = np.broadcast_to(np.asarray(central.when), (n, len(acts), 2)).copy()
        return replace(central, effects=effects, when=when)


def futures_of(records: Records, review: Findings, ahead: Ahead, *, seed: int) -> dict[str, Futures]:
    """The draws of every apiary for the season planned."""
    return {a: _of(records, review.apiary_facts.get(a, {}), a, ahead, seed) for a in records.apiaries}


def _of(records: Records, facts: Mapping[str, Any], apiary: str, ahead: Ahead, seed: int) -> Futures:
    rng = np.random.default_rng([seed, crc32(apiary.encode())])
    settings = records.settings
    known = (ahead.start - records.as_of).days <= KNOWN_DAYS
    start = records.as_of + timedelta(days=1) if known else ahead.start
    days = max((date(ahead.start.year, 12, 31) - start).days + 1, STEP_DAYS)
    lanes = Lanes(
        start=start,
        days=days,
        mites=_lognormal(rng, *(_start(facts) if known else _points(mites.START_MITES))),
        reinvasion_per_day=_lognormal(rng, *_points(reading.REINVASION)),
        growth=_lognormal(rng, *_points(plan.GROWTH_FACTOR)),
    )
    window = a_year_on(settings.winter_bees_from), a_year_on(settings.winter_bees_to)
    kill = _lognormal(rng, *_points(plan.KILL_FACTOR))
    return Futures(lanes, kill, window, (settings.treat_above_pct, settings.winter_limit_pct))


def _start(facts: Mapping[str, Any]) -> tuple[float, float, float]:
    band = [facts.get(f"load_{point}") for point in ("p05", "p50", "p95")]
    if any(value is None or value <= 0 for value in band):
        return _points(mites.START_MITES)
    low, middle, high = (float(value) for value in band if value is not None)
    return low, middle, high


def _points(constant: Constant) -> tuple[float, float, float]:
    return constant.low, constant.value, constant.high


def _lognormal(rng: np.random.Generator, low: float, middle: float, high: float) -> Floats:
    """Draws about the middle whose 5 and 95 % points lie as far apart as `low` and `high`."""
    spread = np.log(high / low) / (2 * P95)
    return np.asarray(middle * np.exp(spread * rng.standard_normal(DRAWS)))
