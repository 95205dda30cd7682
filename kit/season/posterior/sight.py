r"""What the counts of one hive say about its mites, and how likely they are.

.. math::
    y &\sim \text{NegBin}(m, 1/(s^2 + u^2)), \qquad
    m_{board} = c\,d\,(F_{t-1} - F_{t-n-1}), \qquad m_{sample} = n\,r\,b_t/A_t

F mites fallen since the start by the law, a treatment's dead among them, d the share of them found on the board, c
the share counted, s the scatter beyond chance that all counts have and u the farmer's own on top, n bees in the
sample, r the method's recovery, b mites on bees, A adult bees. A word is the interval it stands for (`few` of 20 is 1
to 20); frames of bees and of brood scatter about A and the capped cells on the log scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import special

from kit.constants import hives
from kit.season.posterior import traits as t
from kit.season.usual import Array

STEP = 1e-3
"""Step in the log of the expected count for slopes of words."""


class Look(NamedTuple):
    """One count or one look at the frames.

    Parameters
    ----------
    kind : str
        `board`, `sample`, `frames` of bees or `brood` on frames.
    day, laid : int
        Index of the last day it shows, and of the day before the first it shows (-1: the season's start).
    factor : float
        Expected count for one mite fallen, or for one mite a bee; 1 for frames.
    low, high : float
        Fewest and most mites that the record allows [count]; log bees or capped cells for frames.
    noise : float
        Variance beyond chance, as a share of the square of the expected count [1].
    read, method : date, str
        As written in the record.
    """

    kind: str
    day: int
    laid: int
    factor: float
    low: float
    high: float
    noise: float
    read: date
    method: str


class Seen(NamedTuple):
    """What the looks of one hive depend on, each of shape (lanes, days)."""

    on_bees: Array
    adults: Array
    fallen: Array
    capped: Array


@dataclass(frozen=True)
class Sight:
    """Everything seen of one hive, in a fixed order; `at` are the days of the law's run that are needed."""

    looks: Sequence[Look]
    at: NDArray[np.int64]

    def log_expected(self, run: Seen, parameters: Array) -> Array:
        """Log of the expected value of each look, shape (lanes, looks); `run` at the days `at`."""
        fallen = np.concatenate([np.zeros((len(parameters), 1)), run.fallen], axis=1)
        drop = (
            np.maximum(fallen[:, self._upto] - fallen[:, self._from], 0) * np.exp(self._log_drop(parameters)) * ON_BOARD
        )
        on_bees, adults = run.on_bees[:, self._upto - 1], run.adults[:, self._upto - 1]
        share = np.minimum(on_bees / adults * np.exp(parameters[:, [t.RECOVERY]]), 1.0)
        count = np.log(np.where(self._board, drop, share) * self._factor + hives.STRAY_MITES.value)
        frames = np.log(adults) + parameters[:, [t.FRAME]]
        brood = np.log(np.maximum(run.capped[:, self._upto - 1], 1.0)) + parameters[:, [t.BROOD_FRAME]]
        return np.where(self._frames, np.where(self._brood, brood, frames), count)

    def sizes(self, parameters: Array) -> Array:
        """Size of the negative binomial of each look, larger is quieter; shape (lanes, looks), 1 for frames."""
        return np.where(self._frames, 1.0, 1 / (self._noise + self._own_noise(parameters) ** 2))

    def _own_noise(self, parameters: Array) -> Array:
        """Scatter of the farmer's own on top, as a share of the expected count, below a most; (lanes, looks)."""
        boards, samples = (
            most / (1 + (most / usual - 1) * np.exp(-parameters[:, [trait]])) for trait, usual, most in OWN
        )
        return np.where(self._board, boards, samples)

    def log_likelihood(self, log_expected: Array, sizes: Array) -> Array:
        """Log likelihood of each look at expected values and sizes, both of shape (lanes, looks)."""
        return np.logaddexp(*self._ways(log_expected, sizes))

    def _ways(self, log_expected: Array, sizes: Array) -> tuple[Array, Array]:
        """Log likelihood of each look and of its being as it should be, and of the same and its being wrong."""
        wrong = np.full_like(sizes, WRONG_SIZE)
        return (
            np.log1p(-self._wrong) + self._law(log_expected, sizes, self._noise),
            (np.log(self._wrong) if self._wrong else -np.inf)
            + self._law(log_expected, wrong, self._noise + 1 / WRONG_SIZE),
        )

    def _law(self, log_expected: Array, sizes: Array, noise: Array) -> Array:
        mean = np.exp(log_expected)
        normal = -0.5 * ((self._low - log_expected) ** 2 / noise + np.log(noise))
        found = np.where(self._frames, normal, log_count(self._low, mean, sizes))
        for k in np.flatnonzero(self._words):
            found[:, k] = _interval(self._low[k], self._high[k], mean[:, k], sizes[:, k])
        return found

    def lean(self, log_expected: Array, sizes: Array) -> tuple[Array, Array]:
        """Slope of the log likelihood by the log expected value, and Fisher's information; all of shape (looks,).

        A look is as it should be by a chance that the counts themselves give; the two ways are weighed by it.
        """
        right, wrong = self._ways(log_expected[None], sizes[None])
        sure = np.exp(right - np.logaddexp(right, wrong))[0]
        ways = (sizes, self._noise), (np.full_like(sizes, WRONG_SIZE), self._noise + 1 / WRONG_SIZE)
        (slope, information), (other, less) = (self._lean(log_expected, *way) for way in ways)
        return sure * slope + (1 - sure) * other, sure * information + (1 - sure) * less

    def _lean(self, log_expected: Array, sizes: Array, noise: Array) -> tuple[Array, Array]:
        mean = np.exp(log_expected)
        information = mean / (1 + mean / sizes)
        slope = (self._low - mean) / (1 + mean / sizes)
        below, here, above = (
            self._law(log_expected[None] + move, sizes[None], noise)[0] for move in (-STEP, 0.0, STEP)
        )
        bend = np.clip(-(above - 2 * here + below) / STEP**2, 0, information)
        slope = np.where(self._words, (above - below) / (2 * STEP), slope)
        information = np.where(self._words, bend, information)
        slope = np.where(self._frames, (self._low - log_expected) / noise, slope)
        return slope, np.where(self._frames, 1 / noise, information)

    def lean_scatter(self, log_expected: Array, parameters: Array) -> tuple[Array, Array]:
        """The same by the log of the farmer's own scatter; the information is that of a normal of the same variance."""
        moved = parameters + np.outer((-STEP, 0.0, STEP), np.isin(np.arange(len(parameters)), SCATTER))
        quieter, _, louder = self.log_likelihood(np.tile(log_expected, (3, 1)), self.sizes(moved))
        own = self._own_noise(moved[1:2])[0]
        share = (1 - own / MOST_OWN) * own**2 / (self._noise + own**2 + np.exp(-log_expected))
        return (louder - quieter) / (2 * STEP), np.where(self._words | self._frames, 0.0, 2 * share**2)

    def scatter_by(self, size: int) -> Array:
        """What each parameter adds to the log scatter of each look, shape (looks, size)."""
        by = np.zeros((len(self.looks), size))
        by[:, t.BOARD_SCATTER], by[:, t.SAMPLE_SCATTER] = self._board, ~(self._board | self._frames)
        return by

    def _log_drop(self, parameters: Array) -> Array:
        """Log factor on what a board shows, by the part of the year, shape (lanes, looks)."""
        return np.asarray(parameters[:, [t.DROP]] + parameters[:, t.SPRING_DROP : t.WINTER_DROP + 1] @ self._parts)

    @property
    def _wrong(self) -> float:
        """Share of the looks that may be wrong: of few, nobody could tell which."""
        return hives.WRONG_COUNTS.value if len(self.looks) >= ENOUGH_TO_DOUBT else 0.0

    @cached_property
    def _parts(self) -> Array:
        """How much each look is in spring, late in the year and in winter, shape (3, looks)."""
        on = [one.read.timetuple().tm_yday for one in self.looks]
        return np.array([np.interp(on, DROP_AT, row, period=365.25) for row in np.eye(4)[[0, 2, 3]]])

    @cached_property
    def _upto(self) -> NDArray[np.int64]:
        return np.searchsorted(self.at, [one.day for one in self.looks]) + 1

    @cached_property
    def _from(self) -> NDArray[np.int64]:
        laid = np.array([one.laid for one in self.looks], dtype=np.int64)
        return np.where(laid < 0, 0, np.searchsorted(self.at, laid) + 1)

    @cached_property
    def _board(self) -> NDArray[np.bool_]:
        return np.array([one.kind == "board" for one in self.looks], dtype=bool)

    @cached_property
    def _frames(self) -> NDArray[np.bool_]:
        return np.array([one.kind in ("frames", "brood") for one in self.looks], dtype=bool)

    @cached_property
    def _brood(self) -> NDArray[np.bool_]:
        return np.array([one.kind == "brood" for one in self.looks], dtype=bool)

    @cached_property
    def _noise(self) -> Array:
        return np.array([one.noise for one in self.looks])

    @cached_property
    def _words(self) -> NDArray[np.bool_]:
        return np.array([one.low != one.high for one in self.looks], dtype=bool)

    @cached_property
    def _factor(self) -> Array:
        return np.array([one.factor for one in self.looks])

    @cached_property
    def _low(self) -> Array:
        return np.array([one.low for one in self.looks])

    @cached_property
    def _high(self) -> Array:
        return np.array([one.high for one in self.looks])


DROP_AT = (105, 196, 288, 380)
"""Middle days of spring, summer, the late year and winter, between which the drop factor may stray."""
ON_BOARD = hives.ON_BOARD.value / 100
MOST_OWN = hives.MOST_OWN_NOISE.value
OWN = (
    (t.BOARD_SCATTER, hives.OWN_BOARD_NOISE.value, MOST_OWN),
    (t.SAMPLE_SCATTER, hives.OWN_WASH_NOISE.value, MOST_OWN),
)
SCATTER = (t.BOARD_SCATTER, t.SAMPLE_SCATTER)
ENOUGH_TO_DOUBT = 6
"""Looks at one hive from which a wrong one can be told (assumed); of two, the fit would only widen."""
WRONG_SIZE = 1 / hives.WRONG_NOISE.value**2


def sight(looks: Sequence[Look]) -> Sight:
    """The looks of one hive with the days they need."""
    days = sorted({day for one in looks for day in (one.day, one.laid) if day >= 0})
    return Sight(looks, np.array(days, dtype=np.int64))


def log_count(count: Array, mean: Array, size: Array) -> Array:
    """Log probability of a negative binomial count; shapes broadcast."""
    ways = special.gammaln(count + size) - special.gammaln(size) - special.gammaln(count + 1)
    return np.asarray(ways + size * np.log(size / (size + mean)) + count * np.log(mean / (size + mean)))


def _interval(low: float, high: float, mean: Array, size: Array) -> Array:
    """log P(low <= count <= high), from the smaller tail so that it keeps its digits."""
    share = size / (size + mean)
    if np.isinf(high):
        inside = special.betainc(low, size, 1 - share)
    else:
        below = special.betainc(size, low, share) if low > 0 else 0.0
        inside = special.betainc(size, high + 1, share) - below
    return np.asarray(np.log(np.maximum(inside, 1e-280)))
