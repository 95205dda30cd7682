"""The compiled daily law of the mites, many colonies at once. Private: `kit.calc.mites` is its documented face.

One lane is one colony under one set of parameters. Lanes do not touch each other, so blocks of them may run in threads
and the result is the same. The law stands at the head of `kit.calc.mites`; a plain NumPy twin in the tests holds this
to 1e-9.
"""

import os
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

if "NUMBA_CACHE_DIR" not in os.environ and not os.access(Path(__file__).parent, os.W_OK):
    # numba raises when it cannot write beside the module, as in a read-only install
    os.environ["NUMBA_CACHE_DIR"] = str(Path(tempfile.gettempdir()) / "season-kit-numba")

from numba import njit  # noqa: E402 - the cache folder must be set before numba is imported

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Bees = tuple[float, float, float, float, float]

LEAD = 36
"""Days before the first on which mites settle into the cells."""
WORKER_CAPPED, DRONE_CAPPED = 12, 14
BRIEF, FULL = 4, 11
"""Columns of the result: on bees, in brood, adults, fallen; then born, arrived, lost, killed, left, total capped infested."""


class Lanes(NamedTuple):
    """Everything the law needs, packed; n lanes, k treatments, m knots, r brood years."""

    mites: FloatArray  # (n,) on the morning of day 0
    rates: FloatArray  # (n, 13) the fields of Rates
    curves: FloatArray  # (r, LEAD + days, 5) adults, worker cells, drone cells, bees kept, brood kept
    year_at: FloatArray  # (n,) row of curves, a fraction lies between two
    factors: FloatArray  # (n, m, 4) adults, brood, daughters, reinvasion, even knots over the days
    when: IntArray  # (n, k, 2) first day, first day after
    effects: FloatArray  # (n, k, 6) the fields of Effect
    at: IntArray  # (j,) days reported, ascending
    winter: IntArray  # (2,) first day and first day after on which winter bees emerge


_JIT = {"nogil": True, "cache": True, "error_model": "numpy"}


@njit(**_JIT)
def _bees(p: Lanes, i: int, t: int) -> Bees:
    """Adults, worker cells and drone cells of a day, and what stays of bees and brood."""
    days = p.curves.shape[1] - LEAD
    low = int(p.year_at[i])
    high = min(low + 1, p.curves.shape[0] - 1)
    a, b = p.curves[low, LEAD + t], p.curves[high, LEAD + t]
    w = p.year_at[i] - low
    adults, brood = _knot(p.factors[i], t, days, 0), _knot(p.factors[i], t, days, 1)
    return (
        adults * (a[0] + w * (b[0] - a[0])),
        brood * (a[1] + w * (b[1] - a[1])),
        brood * (a[2] + w * (b[2] - a[2])),
        a[3] + w * (b[3] - a[3]),
        a[4] + w * (b[4] - a[4]),
    )


@njit(**_JIT)
def _knot(knots: FloatArray, t: int, days: int, column: int) -> float:
    """A factor on a day, on straight lines between evenly spaced knots."""
    last = knots.shape[0] - 1
    if last == 0 or days == 1 or t <= 0:
        return knots[0, column]
    x = t * last / (days - 1)
    k = min(int(x), last - 1)
    return knots[k, column] + (x - k) * (knots[k + 1, column] - knots[k, column])


@njit(**_JIT)
def _invade(
    on_bees: float, bees: Bees, rate: FloatArray, growth: float, cells: FloatArray, slots: tuple[int, int]
) -> tuple[float, float]:
    """Mites enter the cells capped that day; returns how many and the mites per worker cell."""
    adults, worker, drone = bees[0], bees[1], bees[2]
    grams = adults / 8.0
    h = (rate[0] * worker + rate[1] * drone) / grams
    met = on_bees / grams if h < 1e-12 else on_bees / grams * -np.expm1(-h) / h
    per_worker, per_drone = met * rate[0], met * rate[1]
    season = min(1.0, worker / rate[11])
    daughters = rate[3] + season * (rate[2] - rate[3])
    cells[0, slots[0]] = per_worker * worker
    cells[1, slots[0]] = per_worker * worker * growth * daughters * np.exp(-rate[5] * per_worker)
    cells[2, slots[1]] = per_drone * drone
    cells[3, slots[1]] = per_drone * drone * growth * rate[4] * np.exp(-rate[6] * per_drone)
    return per_worker * worker + per_drone * drone, per_worker


@njit(**_JIT)
def _settle(p: Lanes, i: int, cells: FloatArray) -> float:
    """Mites sort themselves into the cells of the days before, with nothing born or lost; returns those on bees."""
    on_bees = p.mites[i]
    for t in range(-LEAD, 0):
        slots = ((t + LEAD) % WORKER_CAPPED, (t + LEAD) % DRONE_CAPPED)
        on_bees += cells[0, slots[0]] + cells[2, slots[1]]
        entered, _ = _invade(on_bees, _bees(p, i, t), p.rates[i], _knot(p.factors[i], 0, 1, 2), cells, slots)
        on_bees = max(0.0, on_bees - entered)
    return on_bees


@njit(**_JIT)
def _residue(active: float, fade: float, n: int) -> float:
    """Share of a round's kill that a mite meets which comes out n days after it, the round being at midday."""
    if n == 0:
        return 0.5 + _area(active, fade) - _area(active - 0.5, fade)
    return _area(active - n + 0.5, fade) - _area(active - n - 0.5, fade)


@njit(**_JIT)
def _area(x: float, fade: float) -> float:
    """Area under a ramp that rises from 0 at x = 0 to 1 at x = fade and stays there."""
    if x <= 0.0:
        return 0.0
    return x * x / (2.0 * fade) if x < fade else x - fade / 2.0


@njit(**_JIT)
def _treat(old: float, new: float, p: Lanes, i: int, t: int) -> tuple[float, float, float]:
    """Survivors on bees of those there before and of those come that day, and the kill a day in cells."""
    worker_left, drone_left = 1.0, 1.0
    for k in range(p.when.shape[1]):
        n = t - p.when[i, k, 0]
        if n < 0:
            continue
        e = p.effects[i, k]
        if n == 0:
            old *= 1.0 - e[0]
        if n < e[1] + 1.0:
            new *= 1.0 - e[0] * _residue(e[1], e[2], n)
        if t < p.when[i, k, 1]:
            old *= 1.0 - e[3]
            new *= 1.0 - e[3]
            worker_left *= 1.0 - e[4]
            drone_left *= 1.0 - e[5]
    return old + new, worker_left, drone_left


@njit(**_JIT)
def _thin(cells: FloatArray, first: int, share: float) -> float:
    """Mites lost from worker (first 0) or drone (2) cells of which `share` stays."""
    mothers = 0.0
    for s in range(cells.shape[1]):
        mothers += cells[first, s]
        cells[first, s] *= share
        cells[first + 1, s] *= share
    return mothers * (1.0 - share)


@njit(**_JIT)
def _lane(p: Lanes, i: int, out: FloatArray, spoiled: FloatArray) -> None:
    rate = p.rates[i]
    cells = np.zeros((4, DRONE_CAPPED))
    on_bees = _settle(p, i, cells)
    in_brood = p.mites[i] - on_bees
    fallen = born = arrived = lost = killed = left = 0.0
    dying, dead, infested, raised = 0.0, 0.0, 0.0, 0.0
    j, days = 0, p.curves.shape[1] - LEAD
    for t in range(days):
        slots = ((t + LEAD) % WORKER_CAPPED, (t + LEAD) % DRONE_CAPPED)
        bees = _bees(p, i, t)
        if bees[3] < 1.0 or bees[4] < 1.0:
            gone = _thin(cells, 0, bees[4]) + _thin(cells, 2, bees[4])
            in_brood -= gone
            left += gone + on_bees * (1.0 - bees[3])
            on_bees *= bees[3]
        young = cells[1, slots[0]] + cells[3, slots[1]]
        mothers = cells[0, slots[0]] + cells[2, slots[1]]
        fell = rate[7] * (cells[0, slots[0]] + cells[1, slots[0]]) + rate[8] * (cells[2, slots[1]] + cells[3, slots[1]])
        cells[:2, slots[0]] = 0.0
        cells[2:, slots[1]] = 0.0
        guests = _knot(p.factors[i], t, days, 3)
        new = mothers + young - fell + guests
        in_brood -= mothers
        after, worker_left, drone_left = _treat(on_bees, new, p, i, t)
        kill = on_bees + new - after
        comb = 0.0
        if worker_left < 1.0 or drone_left < 1.0:
            in_worker, comb = _thin(cells, 0, worker_left), _thin(cells, 2, drone_left)
            in_brood -= in_worker + comb
            kill += in_worker
        dies = after * (rate[10] + min(1.0, bees[1] / rate[11]) * (rate[9] - rate[10]))
        entered, per_worker = _invade(after - dies, bees, rate, _knot(p.factors[i], t, days, 2), cells, slots)
        on_bees = max(0.0, after - dies - entered)
        in_brood = max(0.0, in_brood + entered)  # a difference of equal sums may end a hair below nothing
        dying += kill
        dropped = rate[12] * dead
        dead += rate[12] * dying - dropped
        dying -= rate[12] * dying
        fallen += fell + dies + dropped
        born += young
        arrived += guests
        lost += fell + dies
        killed += kill + comb
        share = -np.expm1(-per_worker)
        if p.winter[0] <= t + WORKER_CAPPED < p.winter[1]:
            infested += share * bees[1]
            raised += bees[1]
        if j < p.at.shape[0] and p.at[j] == t:
            row = out[i, j]
            row[0], row[1], row[2], row[3] = on_bees, in_brood, bees[0], fallen
            if row.shape[0] == FULL:
                row[4], row[5], row[6], row[7], row[8] = born, arrived, lost, killed, left
                row[9], row[10] = share, bees[1]
            j += 1
    spoiled[i] = infested / raised if raised > 0.0 else np.nan


@njit(**_JIT)
def run(p: Lanes, out: FloatArray, spoiled: FloatArray, first: int, last: int) -> None:
    """Run lanes `first` to before `last` into `out` (n, j, columns) and `spoiled` (n,)."""
    for i in range(first, last):
        _lane(p, i, out, spoiled)
