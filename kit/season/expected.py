"""The loss to be expected from the mites read: winter bees' exposure first, October load second, other causes apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np

from kit.calc.losses import LossCurve, loss_by_mites_pct, loss_expected_pct
from kit.constants import Constant
from kit.constants import losses as known
from kit.season.reading import Course, Reading
from kit.season.usual import Array, Draws

if TYPE_CHECKING:
    from kit.records.records import Records


@dataclass(frozen=True)
class Winter:
    """When winter bees are raised, and the loss curves that may hold: one for each draw.

    Parameters
    ----------
    first, last : date
        Days on which winter bees are raised.
    curves : sequence of LossCurve
        Drawn from the curve's ranges, the same for every apiary.
    background : ndarray, shape (draws,)
        Loss by all other causes [%].
    """

    first: date
    last: date
    curves: Sequence[LossCurve]
    background: Array

    def days(self, here: Reading) -> slice:
        """The indices of those days."""
        return slice(here.usual.index(self.first), here.usual.index(self.last) + 1)

    def exposure(self, here: Reading, mites: Draws) -> Array:
        """Mean mites over those days, shape (draws, units) [count]."""
        return np.asarray(mites[:, :, self.days(here)].mean(axis=2), dtype=float)

    def infestation(self, here: Reading, course: Course) -> tuple[Array, Array]:
        """Mean mites per 100 bees over those days and over October, each of shape (draws, units)."""
        first, last = (here.usual.index(day) for day in october(self.first.year))
        exposed = course.per_100[:, :, self.days(here)].mean(axis=2, dtype=float)
        return exposed, course.per_100[:, :, first : last + 1].mean(axis=2, dtype=float)

    def by_mites_pct(self, here: Reading, course: Course) -> Array:
        """Expected loss by mites for a course, shape (draws, units) [%]."""
        exposed, load = self.infestation(here, course)
        each = [
            loss_by_mites_pct(exposure_pct=exposed[n], october_infestation_pct=load[n], curve=curve)
            for n, curve in enumerate(self.curves)
        ]
        return np.array(each)

    def expected_pct(self, by_mites: Array) -> Array:
        """Expected loss by all causes, same shape [%]."""
        pairs = zip(by_mites, self.background, strict=True)
        return np.array([loss_expected_pct(np.clip(row, 0, 100), background_pct=float(other)) for row, other in pairs])


def october(year: int) -> tuple[date, date]:
    """The days on which the October load is taken."""
    return date(year, 10, 1), date(year, 10, 31)


def winter(records: Records, *, seed: int, count: int) -> Winter:
    """The winter of the season, with `count` loss curves drawn from their ranges."""
    curves, background = usual_curves(np.random.default_rng([seed, crc32(b"loss curve")]), count)
    return Winter(records.settings.winter_bees_from, records.settings.winter_bees_to, curves, background)


def usual_curves(rng: np.random.Generator, count: int) -> tuple[list[LossCurve], Array]:
    """Loss curves, and losses by all other causes [%], drawn from their ranges."""
    drawn = {name: _draw(rng, constant, count) for name, constant in CURVE_NUMBERS.items()}
    curves = [LossCurve(**{name: float(values[n]) for name, values in drawn.items()}) for n in range(count)]
    return curves, _draw(rng, known.BACKGROUND, count)


CURVE_NUMBERS = {
    "top_pct": known.LOSS_TOP,
    "half_infestation_pct": known.LOSS_HALF,
    "steepness": known.LOSS_STEEPNESS,
    "exposure_to_october": known.EXPOSURE_TO_OCTOBER,
    "exposure_weight": known.EXPOSURE_WEIGHT,
}
"""The numbers of a loss curve by the names of `LossCurve`."""


def _draw(rng: np.random.Generator, constant: Constant, count: int) -> Array:
    """Triangular over a constant's range, its value the peak."""
    return rng.triangular(constant.low, constant.value, constant.high, count)
