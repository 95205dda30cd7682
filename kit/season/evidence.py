r"""What each count says about a hive's course: its expected value and how likely what was counted is.

A board holds what falls by itself and the dead of treatments that have fallen since; a sample of bees holds its share
of the mites on the bees. Counts scatter as a negative binomial; a word is the interval it stands for. `few` of 20 is
1 to 20.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from scipy import stats

from kit.constants import counts as known
from kit.constants import reading
from kit.season.course import Course, Slopes
from kit.season.latent import ADULTS, DEAD, FALL, FRAME, ON_BEES, WINTER_ADULTS, WINTER_FALL, Latent
from kit.season.units import ANY, COLONY, UNNUMBERED, Unit
from kit.season.usual import Array, Usual

if TYPE_CHECKING:
    from kit.records.records import Records

RECOVERY = {
    "alcohol wash": known.RECOVERY_ALCOHOL_WASH,
    "sugar roll": known.RECOVERY_SUGAR_ROLL,
    "co2": known.RECOVERY_CO2,
}


@dataclass(frozen=True)
class Look:
    """One count, as the reading uses it.

    Parameters
    ----------
    unit : int
        Index of the hive.
    alive, dead : ndarray, shape (days,)
        Expected count for each mite standing, and for each mite killed, on each day [1].
    scale, dead_scale : ndarray, shape (size,)
        Power of each parameter in the part of the standing and in the part of the killed: bees for a sample, fall and
        dead found for a board [1].
    low, high : float
        Fewest and most mites that the record allows [count]; `high` may be infinite.
    spread : float
        Variance beyond chance, as a share of the square of the expected count [1].
    """

    unit: int
    alive: Array
    dead: Array
    scale: Array
    dead_scale: Array
    low: float
    high: float
    spread: float


class Frames(NamedTuple):
    """Frames covered with bees at one look.

    `by` of shape (size,) holds each parameter's power; `off` is log bees by the frames minus log usual bees.
    """

    unit: int
    by: Array
    off: float

    def stray(self, parameters: Array) -> float:
        """How far the look lies from what the parameters say, in spreads."""
        return (self.off - float(self.by @ parameters[self.unit])) / reading.FRAME_SPREAD.value


class Weight(NamedTuple):
    """How a log likelihood stands, leans and bends by the log of the expected count."""

    value: float
    score: float
    information: float


def looks(records: Records, latent: Latent) -> list[Look]:
    """The counts of one apiary's hives that can be read, in a fixed order."""
    counts = records.in_season("counts")
    counts = counts[counts["apiary"] == latent.units[0].apiary]
    counts = counts.sort_values(["date", "colony", "method", "mites", "level", "from_file", "from_row"], kind="stable")
    found = [_look(row, latent, records.settings.few_max) for row in counts.to_dict("records")]
    return [one for one in found if one is not None]


def frames(records: Records, latent: Latent) -> list[Frames]:
    """The looks at one apiary's numbered hives with frames of bees written down, in a fixed order."""
    seen = records.in_season("inspections")
    seen = seen[(seen["apiary"] == latent.units[0].apiary) & (seen["bee_frames"] > 0) & (seen["colony"] != "")]
    found = []
    for row in seen.sort_values(["date", "colony", "bee_frames"], kind="stable").to_dict("records"):
        unit, day = _unit_of(str(row["colony"]), latent.units), latent.usual.index(day_of(row))
        if unit is not None:
            by = np.zeros(latent.size)
            by[[ADULTS, WINTER_ADULTS, FRAME]] = 1.0, latent.wintering[day], 1.0
            off = np.log(row["bee_frames"] * reading.FRAME_BEES.value / latent.usual.adults[day])
            found.append(Frames(unit, by, float(off)))
    return found


def readable(row: Any) -> bool:
    """Whether a count has what it takes: a known method, a number or word, and days for a board."""
    if row["method"] == "board":
        return bool(row["days"] > 0) and (not pd.isna(row["mites"]) or row["level"] in ("none", "few", "many"))
    return row["method"] in RECOVERY and not pd.isna(row["mites"])


def expected(look: Look, course: Course, parameters: Array) -> float:
    """Expected count of one look on the course of its hive."""
    return max(sum(_parts(look, course, parameters)), 1e-9)


def slope(look: Look, course: Course, bent: Slopes, parameters: Array) -> Array:
    """Derivative of the log of the expected count by the hive's parameters, shape (size,)."""
    standing, dead = _parts(look, course, parameters)
    by_standing = _factor(look.scale, look, parameters) * (look.alive @ bent.mites[:, look.unit])
    by_dead = _factor(look.dead_scale, look, parameters) * (look.dead @ bent.killed[:, look.unit])
    by = by_standing + by_dead + standing * look.scale + dead * look.dead_scale
    return np.asarray(by / max(standing + dead, 1e-9), dtype=float)


def _parts(look: Look, course: Course, parameters: Array) -> tuple[float, float]:
    """Expected count from the mites standing and from the mites killed."""
    standing = _factor(look.scale, look, parameters) * float(look.alive @ course.mites[:, look.unit])
    return standing, _factor(look.dead_scale, look, parameters) * float(look.dead @ course.killed[:, look.unit])


def _factor(scale: Array, look: Look, parameters: Array) -> float:
    return float(np.exp(scale @ parameters[look.unit]))


def weigh(look: Look, mean: float) -> Weight:
    """Log likelihood of one look at an expected count, with its slope and Fisher's information by log mean."""
    size = 1 / look.spread
    if look.low == look.high:
        value = float(stats.nbinom.logpmf(look.low, size, size / (size + mean)))
        return Weight(value, (look.low - mean) / (1 + mean / size), mean / (1 + mean / size))
    step = 1e-3
    at = [_log_interval(look, mean * float(np.exp(move)), size) for move in (-step, 0.0, step)]
    score = (at[2] - at[0]) / (2 * step)
    bend = -(at[2] - 2 * at[1] + at[0]) / step**2
    return Weight(at[1], score, min(max(bend, 0.0), mean / (1 + mean / size)))


def _log_interval(look: Look, mean: float, size: float) -> float:
    """log P(low <= count <= high), from the smaller tail so that it keeps its digits."""
    share = size / (size + mean)
    if np.isinf(look.high):
        return float(stats.nbinom.logsf(look.low - 1, size, share))
    inside = stats.nbinom.cdf(look.high, size, share) - stats.nbinom.cdf(look.low - 1, size, share)
    return float(np.log(max(inside, 1e-280)))


def _look(row: Any, latent: Latent, few_max: float) -> Look | None:
    unit = _unit_of(str(row["colony"]), latent.units)
    if unit is None or not readable(row):
        return None
    low, high = _allowed(row, few_max)
    scale, dead_scale = np.zeros(latent.size), np.zeros(latent.size)
    wintering = latent.wintering[latent.usual.index(day_of(row))]
    if row["method"] == "board":
        alive, dead = _board(row, latent.usual)
        scale[[FALL, WINTER_FALL]] = 1.0, wintering
        dead_scale[DEAD] = 1.0
        spread = reading.BOARD_SPREAD.value**2
    else:
        alive, dead = _sample(row, latent.usual), np.zeros(latent.usual.days)
        scale[[ADULTS, WINTER_ADULTS, ON_BEES]] = -1.0, -wintering, 1.0
        spread = reading.WASH_SPREAD.value**2
    between = 0.0 if latent.units[unit].scope == COLONY else float(np.expm1(reading.SPRING_COLONY.value**2))
    return Look(unit, alive, dead, scale, dead_scale, low, high, spread + between)


def _unit_of(colony: str, units: Sequence[Unit]) -> int | None:
    """The hive a count belongs to; a nameless tray belongs to the average hive."""
    wanted = [COLONY] if colony else [UNNUMBERED, ANY]
    for scope in wanted:
        for place, unit in enumerate(units):
            if unit.scope == scope and unit.colony == colony:
                return place
    return None


def _allowed(row: Any, few_max: float) -> tuple[float, float]:
    if not pd.isna(row["mites"]):
        return float(round(row["mites"])), float(round(row["mites"]))
    return {"none": (0.0, 0.0), "few": (1.0, float(few_max)), "many": (float(few_max) + 1, float("inf"))}[row["level"]]


def _board(row: Any, usual: Usual) -> tuple[Array, Array]:
    """Weights of the mites standing and of the mites killed on each day; the board lay on days t-n to t-1."""
    share = 1.0 if pd.isna(row["share_counted_pct"]) else float(row["share_counted_pct"]) / 100
    read = (row["date"].date() - usual.start).days
    days = np.arange(usual.days)
    lay = (days >= read - row["days"]) & (days < read)
    until_read, until_laid = dead_fallen(read - 1 - days), dead_fallen(read - row["days"] - 1 - days)
    dead = (until_read - until_laid) * reading.DEAD_ON_BOARD.value / 100
    return lay * usual.falling * share, dead * share


def dead_fallen(days_since: Array) -> Array:
    """Share of a day's dead that has fallen so many days later: most by day 4, 80 % in a week, the rest in four."""
    tail = reading.DEAD_TAIL_DAYS.value
    week = reading.DEAD_IN_WEEK.value / 100
    return np.interp(days_since, (-1, 0, 1, 2, 3, 4, 7, tail), (0, 0.06, 0.22, 0.42, 0.56, 0.66, week, 1.0))


def _sample(row: Any, usual: Usual) -> Array:
    weights = np.zeros(usual.days)
    day = usual.index(row["date"].date())
    bees = known.SAMPLE_BEES.value if pd.isna(row["bees"]) else float(row["bees"])
    found = bees * RECOVERY[row["method"]].value / 100
    weights[day] = found * (1 - usual.in_brood[day]) / usual.adults[day]
    return weights


def day_of(row: Any) -> date:
    """The date of a record row."""
    return pd.Timestamp(row["date"]).date()
