"""Odds by date that a day can be worked: warm, calm and dry enough, on firm ground where a vehicle needs it.

The user's own weather table speaks with the days around each date in all its years; the climate by name speaks where
the table is thin or missing. Wind counts as it is at the hives, not on a mast, and one day is much like the day before.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd
from scipy.special import gammainc, ndtr

from kit.constants import Constant, weather
from kit.constants.wind import STRONGEST_KMH
from kit.plan.solver.problem import Bools, Floats
from kit.season.forecast import WET_MM

if TYPE_CHECKING:
    from kit.records.records import Records

YEAR = 366
MONTH_DAYS = 365.25 / 12
STAYS_WORTH_DAYS = 100
"""Days of own weather that weigh as much as the usual likeness of one day to the next."""


class Climate(NamedTuple):
    """A climate by month, January first: mean of the highs, wind at 10 m, wet days, rain."""

    max_c: Sequence[Constant]
    wind_kmh: Sequence[Constant]
    wet_days: Sequence[Constant]
    rain_mm: Sequence[Constant]


CLIMATES = {"maritime temperate": Climate(weather.MAX_C, weather.WIND_KMH, weather.WET_DAYS, weather.RAIN_MM)}
"""By the words of the setting `climate`."""


class Limits(NamedTuple):
    """The coldest air [°C] and the strongest wind at the hives [km/h] to treat in, with its word."""

    air_c: float
    wind_kmh: float
    wind: str


class Shares(NamedTuple):
    """Shares of days [1] by day of the year, shape (366,): too cold, too windy, too wet, and soft under wheels."""

    cold: Floats
    windy: Floats
    wet: Floats
    soft: Floats


@dataclass(frozen=True)
class Odds:
    """Odds by day of the year.

    Parameters
    ----------
    fit : array, shape (366,)
        A day is warm, calm and dry enough to treat [1].
    firm : array, shape (366,)
        Such a day has ground that carries a vehicle [1].
    shares : Shares
        What speaks against a day.
    limits : Limits
        What a day is held against.
    stays : float
        Correlation of one day with the next [1].
    days : int
        Days of the user's own weather that speak.
    basis : str
        What the odds rest on.
    """

    fit: Floats
    firm: Floats
    shares: Shares
    limits: Limits
    stays: float
    days: int
    basis: str

    def chance(self, day: date, *, firm: bool = False) -> float:
        """Chance that a day can be worked; with `firm` on ground that carries a vehicle too [1]."""
        at = place(day)
        return float(self.fit[at] * (self.firm[at] if firm else 1.0))

    def draw(self, days: Sequence[date], rng: np.random.Generator, draws: int) -> tuple[Bools, Bools]:
        """Weather of successive days: which are fit, and which of those have firm ground; each shape (draws, days)."""
        at = [place(day) for day in days]
        fit = _spells(self.fit[at], self.stays, rng, draws)
        return fit, fit & _spells(self.firm[at], weather.GROUND_STAYS.value, rng, draws)


def place(day: date) -> int:
    """Position of a date in the arrays of the year."""
    return day.timetuple().tm_yday - 1


def _spells(chance: Floats, stays: float, rng: np.random.Generator, draws: int) -> Bools:
    """Days drawn one after another, each with its own chance and like the day before."""
    drawn = np.zeros((draws, len(chance)), dtype=np.bool_)
    spread = np.sqrt(chance * (1 - chance))
    for k, likely in enumerate(chance):
        given = np.full(draws, likely)
        if k and spread[k - 1] > 0:
            given += stays * spread[k] / spread[k - 1] * (drawn[:, k - 1] - chance[k - 1])
        drawn[:, k] = rng.random(draws) < given
    return drawn


def odds_of(records: Records) -> Odds:
    """The odds at this operation, from its weather table and the climate of its settings."""
    settings = records.settings
    limits = Limits(settings.min_air_c, STRONGEST_KMH[settings.max_wind], settings.max_wind)
    usual = climate_shares(CLIMATES[settings.climate], limits)
    own = _own_days(records.tables["weather"], limits)
    if own.empty:
        fit = (1 - usual.cold) * (1 - usual.windy) * (1 - usual.wet)
        basis = f"the climate by name ({settings.climate}), assumed: no weather is recorded"
        return Odds(fit, 1 - usual.soft, usual, limits, weather.WEATHER_STAYS.value, 0, basis)
    basis = f"{len(own):,} days of your weather, and the climate by name ({settings.climate}) where they are few"
    return _with_own(own, usual, (limits, basis))


def climate_shares(climate: Climate, limits: Limits) -> Shares:
    """What a climate holds against the days of its year.

    Highs scatter normally about the month's mean, wind by Rayleigh's law, rain of a wet day exponentially; days are
    soft when the rain of `SOFT_DAYS` reaches `SOFT_MM`.
    """
    high, wind, wet, rain = (_through_the_year(months) for months in climate)
    cold = ndtr((limits.air_c - high) / weather.MAX_C_SPREAD.value)
    windy = np.exp(-math.pi / 4 * (limits.wind_kmh / (weather.WIND_AT_HIVES.value * wind)) ** 2)
    share = wet / MONTH_DAYS
    return Shares(np.asarray(cold), windy, share, _soft(share, rain / wet))


def _soft(share: Floats, each_mm: Floats) -> Floats:
    """Chance that the rain of `SOFT_DAYS` reaches `SOFT_MM`: so many wet days, each with its exponential amount."""
    n = int(weather.SOFT_DAYS.value)
    reached = [
        math.comb(n, k) * share**k * (1 - share) ** (n - k) * gammainc(k, weather.SOFT_MM.value / each_mm)
        for k in range(1, n + 1)
    ]
    return np.asarray(1 - (1 - share) ** n - np.sum(reached, axis=0))


def _through_the_year(months: Sequence[Constant]) -> Floats:
    middle = (np.arange(12) + 0.5) * MONTH_DAYS
    return np.asarray(np.interp(np.arange(YEAR) + 0.5, middle, [month.value for month in months], period=365.25))


def _own_days(table: pd.DataFrame, limits: Limits) -> pd.DataFrame:
    """By date what is recorded against a day: 1 yes, 0 no, NaN not recorded; sites' rows of one day are averaged."""
    days = table.groupby("date")[["max_c", "wind_kmh", "rain_mm"]].mean().dropna(how="all")
    if days.empty:
        return days
    days = days.asfreq("D")
    rain = days["rain_mm"].rolling(int(weather.SOFT_DAYS.value)).sum()
    seen = {
        "cold": (days["max_c"] < limits.air_c).where(days["max_c"].notna()),
        "windy": (days["wind_kmh"] * weather.WIND_AT_HIVES.value > limits.wind_kmh).where(days["wind_kmh"].notna()),
        "wet": (days["rain_mm"] >= WET_MM).where(days["rain_mm"].notna()),
        "soft": (rain >= weather.SOFT_MM.value).where(rain.notna()),
    }
    own = pd.DataFrame({name: column.astype("float64") for name, column in seen.items()})
    return own[own[["cold", "windy", "wet"]].notna().any(axis=1)]


def _with_own(own: pd.DataFrame, usual: Shares, of: tuple[Limits, str]) -> Odds:
    at = np.array([place(day.date()) for day in own.index])
    apart = np.abs(np.arange(YEAR)[:, None] - at)
    near = (np.minimum(apart, YEAR - apart) <= weather.SEASON_DAYS.value).astype(np.float64)
    filled = {name: own[name].fillna(pd.Series(climate[at], own.index)) for name, climate in usual._asdict().items()}
    fit = np.asarray((1 - filled["cold"]) * (1 - filled["windy"]) * (1 - filled["wet"]))
    usual_fit = (1 - usual.cold) * (1 - usual.windy) * (1 - usual.wet)
    shares = Shares(*(_weighed(near, np.asarray(filled[name]), climate) for name, climate in usual._asdict().items()))
    likely = _weighed(near, fit, usual_fit)
    firm = _weighed(near * fit, 1 - np.asarray(filled["soft"]), 1 - usual.soft)
    return Odds(likely, firm, shares, of[0], _stays(own, fit - likely[at], likely[at]), len(own), of[1])


def _weighed(near: Floats, seen: Floats, usual: Floats) -> Floats:
    """Means of what was seen near each day, with the climate as so many days more."""
    more = weather.CLIMATE_WORTH_DAYS.value
    return np.asarray((near @ seen + more * usual) / (near.sum(axis=1) + more))


def _stays(own: pd.DataFrame, beyond: Floats, likely: Floats) -> float:
    """Correlation of neighbouring days beyond what the season explains, drawn towards the usual one."""
    pairs = np.flatnonzero(np.diff(own.index.to_numpy()) == np.timedelta64(1, "D"))
    spread = likely * (1 - likely)
    whole = np.sqrt(spread[pairs] * spread[pairs + 1]).sum()
    found = (beyond[pairs] * beyond[pairs + 1]).sum() / whole if whole > 0 else 0.0
    usual = weather.WEATHER_STAYS.value
    return float(np.clip((len(pairs) * found + STAYS_WORTH_DAYS * usual) / (len(pairs) + STAYS_WORTH_DAYS), 0, 0.9))


def spare_days(days: Sequence[date], odds: Odds) -> frozenset[date]:
    """Of the working days given, those kept free for what weather pushes on: spread through each week by its odds."""
    weeks: dict[tuple[int, int], list[date]] = {}
    for day in days:
        weeks.setdefault(day.isocalendar()[:2], []).append(day)
    kept: set[date] = set()
    for week in weeks.values():
        lost = sum(1 - odds.chance(day) for day in week)
        spare = min(round(lost), len(week) - 1)
        kept |= {week[(k + 1) * len(week) // spare - 1] for k in range(spare)}
    return frozenset(kept)


HALF_MONTH_DAYS = 15
ODDS_COLUMNS = [
    *("from", "to", "access", "workable_pct", "cold_pct", "windy_pct", "wet_pct", "soft_pct"),
    *("working_days", "workable_days", "days_out", "basis"),
]


class Out(NamedTuple):
    """Working days of the season, those with visits on them, and whether some site is reached on dry ground only."""

    working: Sequence[date]
    planned: frozenset[date]
    dry_ground: bool


def odds_table(odds: Odds, out: Out) -> pd.DataFrame:
    """One row for each half month and kind of access from the first to the last working day; columns `ODDS_COLUMNS`."""
    halves: dict[date, list[date]] = {}
    for day in out.working:
        halves.setdefault(day.replace(day=1 if day.day <= HALF_MONTH_DAYS else HALF_MONTH_DAYS + 1), []).append(day)
    kinds = [False, True] if out.dry_ground else [False]
    rows = [_half(odds, out, start, (days, firm)) for start, days in halves.items() for firm in kinds]
    return pd.DataFrame(rows, columns=ODDS_COLUMNS).astype({"from": "datetime64[us]", "to": "datetime64[us]"})


def _half(odds: Odds, out: Out, start: date, of: tuple[list[date], bool]) -> dict[str, object]:
    days, firm = of
    last = (start.replace(day=1) + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    end = start.replace(day=HALF_MONTH_DAYS) if start.day == 1 else last
    at = [place(start + timedelta(days=k)) for k in range((end - start).days + 1)]
    against = {f"{name}_pct": _tenths(100 * share[at].mean()) for name, share in odds.shares._asdict().items()}
    likely = [odds.chance(day, firm=firm) for day in days]
    soft = {} if firm else {"soft_pct": math.nan}
    return {
        "from": start, "to": end, "access": "dry ground, driven in" if firm else "any other",
        "workable_pct": _tenths(100 * sum(likely) / len(likely)), **against, **soft,
        "working_days": len(days), "workable_days": _tenths(sum(likely)),
        "days_out": sum(day in out.planned for day in days), "basis": odds.basis,
    }  # fmt: skip


def _tenths(value: float) -> float:
    """No finer than odds are known."""
    return round(float(value), 1)
