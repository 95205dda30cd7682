"""Next season's mites at each apiary under a programme: the hives as the season read left them, by the same law.

Each draw is one hive of the review's posterior: its mites at the end of the records and its traits (a spring without
counts where the records end long before). What belongs to a year is drawn anew: months of growth, how early and how
long brood is raised, mites carried in, the luck of every round. The same draws serve every programme, like for like.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple
from zlib import crc32

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.calc.lanes import Lanes
from kit.calc.losses import loss_by_mites_pct, loss_expected_pct
from kit.calc.many_years import ManyYears, simulate_many
from kit.calc.ranges import Band, band_of
from kit.calc.treatments import Treatment
from kit.constants import plan
from kit.plan.ahead import Ahead, a_year_on
from kit.plan.programme.brood_seen import Seen, looks
from kit.plan.programme.calm import IN_PARTS, KINDS, SPLIT_FROM, SPLIT_OFF, Calm, Parting
from kit.plan.programme.curve import USUAL, Loss, loss_of
from kit.plan.solver.problem import Floats
from kit.season.findings import Findings
from kit.season.passed_on import DRAW_COLUMNS, KILL_COLUMNS, TRAITS
from kit.season.posterior import traits as t
from kit.season.posterior.given import Given as Round
from kit.season.posterior.given import meant
from kit.season.posterior.hives import Hives

if TYPE_CHECKING:
    from kit.records.records import Records

DRAWS = 200
"""Draws where the review passed none on."""
STEP_DAYS = 5
"""Days between two looks at the infestation."""
KNOWN_DAYS = 60
"""Records that end longer before the season planned say little of its start: treatments still lie between."""
JUDGED = (2, 15)
"""Month and day in the new year on which what the winter round left is judged: four weeks after the last."""
FORTNIGHT = timedelta(days=14)
SEASON_DAYS = 365


class Given(NamedTuple):
    """One treatment on dates: its rounds' days, the day it comes out, crystals a hive [g], its window of the year.

    `in_parts`: only the hives split off receive it.
    """

    word: str
    days: tuple[date, ...]
    until: date | None = None
    dose_g: float | None = None
    window: str = ""
    in_parts: bool = False


class Chances(NamedTuple):
    """Chance that a hive stays below each limit, and below all [%].

    Parameters
    ----------
    summer : float
        `treat_above_pct`, as the mean while winter bees are raised.
    october : float
        `winter_limit_pct`, on 1 October.
    spring : float
        The trouble drop after the winter treatment, in mid-February.
    all : float
        All three.
    still_open : float
        Those that are judged on days still to come: all three until the season is under way.
    """

    summer: float
    october: float
    spring: float
    all: float
    still_open: float


class Outlook(NamedTuple):
    """What a programme promises of a hive.

    Parameters
    ----------
    chances : Chances
        Of staying below the limits [%].
    exposure_pct, october_pct : Band
        Mites per 100 bees: mean while winter bees are raised, and on 1 October.
    spring_mites : Band
        Mites in mid-February.
    loss_pct : Band
        Expected winter loss by all causes [%].
    loss_mean_pct : float
        The mean of it [%].
    """

    chances: Chances
    exposure_pct: Band
    october_pct: Band
    spring_mites: Band
    loss_pct: Band
    loss_mean_pct: float


class Limits(NamedTuple):
    """Mites per 100 bees while winter bees are raised and on 1 October, and board drop a day in mid-February."""

    summer_pct: float
    october_pct: float
    spring_drop: float


@dataclass(frozen=True)
class Futures:
    """The draws of one apiary, ready to be treated.

    Parameters
    ----------
    apiary : str
        Its id; keys the luck of its rounds.
    traits : array, shape (draws, kit.season.posterior.traits.FIRST_KILL)
        Parameters of a hive each, `START` the logarithm of its mites on the first day.
    kills : mapping
        By treatment word, factors of kill, residue and cells as logarithms, shape (draws, 3).
    calm : Calm
        Their bees.
    winter_bees : tuple of date
        First and last day on which winter bees are raised.
    limits : Limits
        Of the settings and the trade.
    seed : int
        Of the luck.
    loss : Loss
        What mites and all else cost.
    parting : Parting or None
        Splits there.
    earliest : date
        The first day on which anything may still be done.
    """

    apiary: str
    traits: Floats
    kills: Mapping[str, Floats]
    calm: Calm
    winter_bees: tuple[date, date]
    limits: Limits
    seed: int
    loss: Loss = USUAL
    parting: Parting | None = None
    earliest: date = date.min

    def outlook(self, treatments: Sequence[Given]) -> Outlook:
        """What the treatments promise."""
        exposure, october, mites, drop, loss = self._run(treatments)
        below = [
            exposure <= self.limits.summer_pct,
            october <= self.limits.october_pct,
            drop <= self.limits.spring_drop,
        ]
        ahead = [each for each, judged in zip(below, self._judged, strict=True) if judged >= self.earliest]
        together = (np.all(below, axis=0), np.all(ahead, axis=0))
        chances = Chances(*(float(100 * each.mean()) for each in (*below, *together)))
        return Outlook(
            chances, band_of(exposure), band_of(october), band_of(mites), band_of(loss), float(loss.mean())
        )  # fmt: skip

    @property
    def _judged(self) -> tuple[date, date, date]:
        """Days until which what is done still moves what is judged by each limit."""
        autumn = self.winter_bees[0].year
        return self.winter_bees[1], date(autumn, 10, 1), date(autumn + 1, *JUDGED)

    def loss_pct(self, treatments: Sequence[Given]) -> float:
        """Expected loss by all causes, the mean over the draws [%]."""
        return float(self._run(treatments)[4].mean())

    def brood(self, days: Sequence[date]) -> tuple[Floats, Floats]:
        """Share of the mites in capped cells [1], and capped cells standing, left alone; both (draws, days)."""
        at = np.array([(day - self.calm.start).days for day in days], dtype=np.int64)
        hives = self.calm.hives([])
        parameters, kinds = self._parameters(hives, []), self._kinds(None)
        years = simulate_many(hives.lanes(parameters, kinds), at=at)
        return years.in_brood / years.total, hives.capped(parameters, kinds, at)

    def _run(self, treatments: Sequence[Given]) -> tuple[Floats, ...]:
        """Exposure, 1 October, mites and drop in mid-February, loss; each of shape (draws,)."""
        years = simulate_many(self._treated(treatments), at=np.arange(STEP_DAYS - 1, self.calm.days, STEP_DAYS))
        first, last = self.winter_bees
        exposure = self._mean(years, years.infestation_pct, first, last)
        autumn = date(first.year, 10, 1)
        october = self._mean(years, years.infestation_pct, autumn, autumn + timedelta(days=30))
        by_mites = np.clip(
            loss_by_mites_pct(exposure_pct=exposure, october_infestation_pct=october, curve=self.loss.curve), 0, 100
        )
        on_first = self._mean(years, years.infestation_pct, autumn - timedelta(days=2), autumn + timedelta(days=3))
        end = date(first.year + 1, *JUDGED)
        drop = self._mean(years, years.drop_per_day, end - FORTNIGHT, end)
        return exposure, on_first, years.total[:, -1], drop, self._expected(by_mites)

    def _expected(self, by_mites: Floats) -> Floats:
        return loss_expected_pct(by_mites, background_pct=self.loss.background_pct)

    def _mean(self, years: ManyYears, values: Floats, first: date, last: date) -> Floats:
        low, high = ((day - self.calm.start).days for day in (first, last))
        inside = (years.at >= low) & (years.at <= high)
        return np.asarray(values[:, inside].mean(axis=1))

    def _treated(self, treatments: Sequence[Given]) -> Lanes:
        parted = self._parted(treatments)
        rounds = [(key, one) for given in treatments for key, one in self._rounds(given, parted)]
        hives = self.calm.hives([one for _, one in rounds], parted)
        return hives.lanes(self._parameters(hives, [key for key, _ in rounds]), self._kinds(parted))

    def _parted(self, treatments: Sequence[Given]) -> date | None:
        """The day of the splits, where they are made anyway or a treatment asks for them."""
        if self.parting is None or not (self.parting.anyway or any(given.in_parts for given in treatments)):
            return None
        return self.parting.day if 0 <= (self.parting.day - self.calm.start).days < self.calm.days else None

    def _rounds(self, given: Given, parted: date | None) -> list[tuple[str, Round]]:
        """Its rounds within the days looked at, each with the key of its luck."""
        share = (1.0,) if parted is None else IN_PARTS if given.in_parts else (1.0,) * KINDS
        return [
            (f"{given.word}/{given.window}/{n}",
             meant(Treatment(given.word, day, dose_g=given.dose_g, until=given.until), share))
            for n, day in enumerate(given.days)
            if 0 <= (day - self.calm.start).days < self.calm.days
        ]  # fmt: skip

    def _kinds(self, parted: date | None) -> NDArray[np.int64]:
        """Each draw's kind of hive: as many split from as split off, by the luck of the draw."""
        count = len(self.traits)
        kinds = np.zeros(count, dtype=np.int64)
        if parted is not None and self.parting is not None:
            each = round(count * self.parting.share)
            order = np.random.default_rng([self.seed, crc32(self.apiary.encode()), 11]).permutation(count)
            kinds[order[:each]], kinds[order[each : 2 * each]] = SPLIT_FROM, SPLIT_OFF
        return kinds

    def _parameters(self, hives: Hives, keys: Sequence[str]) -> Floats:
        """The traits, then a kill for each round, then residue and cells of each word, shape (draws, size)."""
        luck = np.hypot(t.KILL.apiary, t.KILL.colony)
        kills = [
            self._word(one.treatment)[:, 0] + luck * self._normal(key)
            for one, key in zip(hives.given, keys, strict=True)
        ]
        by_word = [self._word(word)[:, place] for place in (1, 2) for word in hives.words]
        return np.column_stack([self.traits, *kills, *by_word])

    def _word(self, word: str) -> Floats:
        """How a word works for this keeper, as the season showed it, or as it may where it was not used."""
        known = self.kills.get(word)
        if known is not None:
            return known
        spread = np.array([each.operation for each in (t.KILL, t.RESIDUE, t.CELLS)])
        return np.column_stack([spread[n] * self._normal(f"{word}/{n}", everywhere=True) for n in range(3)])

    def _normal(self, key: str, *, everywhere: bool = False) -> Floats:
        place = "" if everywhere else self.apiary
        rng = np.random.default_rng([self.seed, crc32(place.encode()), crc32(key.encode()), 9])
        return rng.standard_normal(len(self.traits))


def futures_of(
    records: Records, review: Findings, ahead: Ahead, *, seed: int, partings: Mapping[str, Parting | None] | None = None
) -> dict[str, Futures]:
    """The draws of every apiary for the season planned.

    Parameters
    ----------
    records : Records
        For the settings.
    review : Findings
        Of the same records; without its tables `draws` and `kills` hives and treatments stray as far as they may.
    ahead : Ahead
        The season planned.
    seed : int
        Of what is drawn anew.
    partings : mapping, optional
        Splits by apiary.
    """
    settings = records.settings
    draws = review.tables.get("draws", pd.DataFrame(columns=list(DRAW_COLUMNS)))
    start = _start(draws, ahead)
    window = a_year_on(settings.winter_bees_from), a_year_on(settings.winter_bees_to)
    days = (date(window[0].year + 1, *JUDGED) - start).days + 1
    calm = Calm(start, days)
    seen = Seen(Calm(records.season.start, SEASON_DAYS), looks(records))
    loss = loss_of(review)
    limits = Limits(settings.treat_above_pct, settings.winter_limit_pct, plan.SPRING_DROP.value)
    kills = _kills(review.tables.get("kills", pd.DataFrame(columns=list(KILL_COLUMNS))))
    return {
        apiary: Futures(
            apiary,
            _traits(draws[draws["apiary"] == apiary], apiary, (calm, seen), seed),
            kills,
            calm,
            window,
            limits,
            seed,
            loss,
            (partings or {}).get(apiary),
            ahead.earliest,
        )
        for apiary in records.apiaries
    }


def _start(draws: pd.DataFrame, ahead: Ahead) -> date:
    """The day after the records end, where that is not long before the season planned."""
    if draws.empty:
        return ahead.start
    after = draws["on"].max().date() + timedelta(days=1)
    return after if (ahead.start - after).days <= KNOWN_DAYS else ahead.start


def _kills(table: pd.DataFrame) -> dict[str, Floats]:
    return {
        str(word): part.sort_values("draw")[["kill", "residue", "cells"]].to_numpy(float)
        for word, part in table.groupby("treatment", sort=True)
    }


def _traits(draws: pd.DataFrame, apiary: str, of: tuple[Calm, Seen], seed: int) -> Floats:
    """Parameters of a hive in each draw: what it kept from the season read, and what belongs to the year anew."""
    calm, seen = of
    rng = np.random.default_rng([seed, crc32(apiary.encode()), 7])
    count = len(draws) or DRAWS
    found = _usual(calm) + _SPREAD * rng.standard_normal((count, t.FIRST_KILL))
    ordered = draws.sort_values("draw")
    if count == len(draws):
        at = [t.NAMES.index(name.upper()) for name in TRAITS]
        found[:, at] = ordered[list(TRAITS)].to_numpy(float)
    found = seen.agreeing(found, apiary, rng)
    found[:, : t.WANDER.start] += _YEARS_OWN * rng.standard_normal((count, t.WANDER.start))
    if count == len(draws) and calm.start == ordered["on"].iloc[0].date() + timedelta(days=1):
        found[:, t.START] = np.log(np.maximum(ordered["mites"].to_numpy(float), plan.LEAST_MITES.value))
    return found


def _usual(calm: Calm) -> Floats:
    return np.asarray(calm.hives([]).centre[0, : t.FIRST_KILL])


_SPREAD = np.array([np.sqrt(np.sum(np.square(each))) for each in t.SPREADS])
"""Of each parameter of a hive between hives of different operations."""
_YEARS_OWN = np.zeros(t.WANDER.start)
_YEARS_OWN[[t.SHIFT, t.REINVASION, t.LATE_BROOD, t.WINTER_BROOD]] = [
    plan.YEAR_SHIFT.value, plan.YEAR_REINVASION.value, plan.YEAR_BROOD.value, plan.YEAR_BROOD.value,
]  # fmt: skip
"""How far one year strays from the last, beyond what is told of the hives [as the traits]."""
