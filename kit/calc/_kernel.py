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

from numba import njit

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Bees = tuple[float, float, float, float, float]

LEAD = 36
"""Days before the first on which mites settle into the cells."""
WORKER_CAPPED, DRONE_CAPPED = 12, 14
"""Written out, for a compiled law in a cache does not see a constant change elsewhere."""
ON_BEES, IN_BROOD, ADULTS, FALLEN = 0, 1, 2, 3
BORN, ARRIVED, LOST, KILLED, LEFT = 4, 5, 6, 7, 8
CAPPED, INFESTED = 9, 10
DYING, DEAD = 11, 12
"""Places in the state of a lane: on two steps to the board are a treatment's dying and dead."""
BRIEF, FULL, PLACES = 4, 11, 13
"""How many places of the state are reported, in brief or in full; how many there are."""


class Lanes(NamedTuple):
    """Everything the law needs, packed; n lanes, k treatments, m knots, r brood years."""

    mites: FloatArray  # (n,) on the morning of day 0
    rates: FloatArray  # (n, 13) the fields of Rates, the first two per bee instead of per gram of bees
    curves: FloatArray  # (r, LEAD + days, 5) adults, worker cells, drone cells, bees kept, brood kept
    year_at: FloatArray  # (n,) row of curves, a fraction lies between two
    factors: FloatArray  # (n, m, 4) adults, brood, daughters, reinvasion, even knots over the days
    when: IntArray  # (n, k, 2) first day, first day after
    effects: FloatArray  # (n, k, 6) the fields of Effect
    at: IntArray  # (j,) days reported, ascending
    winter: IntArray  # (2,) first day and first day after on which winter bees emerge


_JIT = {"nogil": True, "cache": True, "error_model": "numpy"}


@njit(**_JIT)
def run(p: Lanes, out: FloatArray, spoiled: FloatArray, first: int, last: int) -> None:
    """Run lanes `first` to before `last` into `out` (n, j, BRIEF or FULL) and `spoiled` (n,)."""
    cells = np.empty((4, DRONE_CAPPED))
    state = np.empty(PLACES)
    for i in range(first, last):
        spoiled[i] = _lane(p, i, cells, state, out[i])


@njit(**_JIT)
def _lane(p: Lanes, i: int, cells: FloatArray, state: FloatArray, out: FloatArray) -> float:
    """One colony through all days; returns the share of its winter bees raised beside a mite."""
    _settle(p, i, cells, state)
    infested, raised, j = 0.0, 0.0, 0
    for t in range(p.curves.shape[1] - LEAD):
        _step(p, i, t, cells, state)
        if p.winter[0] <= t + WORKER_CAPPED < p.winter[1]:
            infested += state[INFESTED] * state[CAPPED]
            raised += state[CAPPED]
        if j < p.at.shape[0] and p.at[j] == t:
            for place in range(out.shape[1]):
                out[j, place] = state[place]
            j += 1
    return infested / raised if raised > 0.0 else np.nan


@njit(**_JIT)
def _step(p: Lanes, i: int, t: int, cells: FloatArray, state: FloatArray) -> None:
    """One day in its order: bees leave, cells open, treatments kill, mites die, cells are capped."""
    bees = _bees(p, i, t)
    slots = (t + LEAD) % WORKER_CAPPED, (t + LEAD) % DRONE_CAPPED
    _leave(bees, cells, state)
    new = _open(p.rates[i], slots, cells, state)
    guests = _knot(p.factors[i], t, p.curves.shape[1] - LEAD, 3)
    state[ARRIVED] += guests
    _treat(p, i, t, new + guests, cells, state)
    _die(p.rates[i], bees[1], state)
    growth = _knot(p.factors[i], t, p.curves.shape[1] - LEAD, 2)
    _invade(bees, p.rates[i], growth, slots, cells, state)


@njit(**_JIT)
def _settle(p: Lanes, i: int, cells: FloatArray, state: FloatArray) -> None:
    """Mites sort themselves into the cells of the days before, with nothing born or lost."""
    cells[:] = 0.0
    state[:] = 0.0
    state[ON_BEES] = p.mites[i]
    for t in range(-LEAD, 0):
        slots = (t + LEAD) % WORKER_CAPPED, (t + LEAD) % DRONE_CAPPED
        out = cells[0, slots[0]] + cells[2, slots[1]]
        state[ON_BEES] += out
        state[IN_BROOD] -= out
        _invade(_bees(p, i, t), p.rates[i], p.factors[i, 0, 2], slots, cells, state)


@njit(**_JIT)
def _bees(p: Lanes, i: int, t: int) -> Bees:
    """Adults, worker cells and drone cells of a day, and what stays of bees and brood."""
    days = p.curves.shape[1] - LEAD
    low = int(p.year_at[i])
    high = min(low + 1, p.curves.shape[0] - 1)
    w = p.year_at[i] - low
    a, b = p.curves[low, LEAD + t], p.curves[high, LEAD + t]
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
def _leave(bees: Bees, cells: FloatArray, state: FloatArray) -> None:
    """Bees and combs that go take their mites along."""
    if bees[3] < 1.0 or bees[4] < 1.0:
        gone = _thin(cells, 0, bees[4]) + _thin(cells, 2, bees[4])
        state[IN_BROOD] -= gone
        state[LEFT] += gone + state[ON_BEES] * (1.0 - bees[3])
        state[ON_BEES] *= bees[3]


@njit(**_JIT)
def _open(rate: FloatArray, slots: tuple[int, int], cells: FloatArray, state: FloatArray) -> float:
    """Cells open: mothers and daughters come out, some fall; returns those that reach the bees."""
    worker, drone = slots
    mothers = cells[0, worker] + cells[2, drone]
    young = cells[1, worker] + cells[3, drone]
    fell = rate[7] * (cells[0, worker] + cells[1, worker]) + rate[8] * (cells[2, drone] + cells[3, drone])
    cells[0, worker] = cells[1, worker] = cells[2, drone] = cells[3, drone] = 0.0
    state[IN_BROOD] -= mothers
    state[BORN] += young
    state[LOST] += fell
    state[FALLEN] += fell
    return mothers + young - fell


@njit(**_JIT)
def _treat(p: Lanes, i: int, t: int, new: float, cells: FloatArray, state: FloatArray) -> None:
    """Treatments kill among those on bees and those come that day, and in cells; their dead fall over days."""
    old, come, worker_left, drone_left = state[ON_BEES], new, 1.0, 1.0
    for k in range(p.when.shape[1]):
        n = t - p.when[i, k, 0]
        if n < 0:
            continue
        e = p.effects[i, k]
        old *= 1.0 - e[0] if n == 0 else 1.0
        come *= 1.0 - e[0] * _residue(e[1], e[2], n)
        if t < p.when[i, k, 1]:
            old, come = old * (1.0 - e[3]), come * (1.0 - e[3])
            worker_left, drone_left = worker_left * (1.0 - e[4]), drone_left * (1.0 - e[5])
    kill = state[ON_BEES] + new - old - come
    state[ON_BEES] = old + come
    if worker_left < 1.0 or drone_left < 1.0:
        in_worker, in_drone = _thin(cells, 0, worker_left), _thin(cells, 2, drone_left)
        state[IN_BROOD] -= in_worker + in_drone
        state[KILLED] += in_drone  # drone combs are cut out: their mites reach no board
        kill += in_worker
    _drop(kill, p.rates[i, 12], state)


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
def _thin(cells: FloatArray, first: int, share: float) -> float:
    """Mites lost from worker (first 0) or drone (2) cells of which `share` stays."""
    mothers = 0.0
    for s in range(cells.shape[1]):
        mothers += cells[first, s]
        cells[first, s] *= share
        cells[first + 1, s] *= share
    return mothers * (1.0 - share)


@njit(**_JIT)
def _drop(kill: float, pace: float, state: FloatArray) -> None:
    """A treatment's dead come down in two steps, the same share of each a day."""
    state[KILLED] += kill
    state[DYING] += kill
    down, moved = pace * state[DEAD], pace * state[DYING]
    state[DEAD] += moved - down
    state[DYING] -= moved
    state[FALLEN] += down


@njit(**_JIT)
def _die(rate: FloatArray, worker_cells: float, state: FloatArray) -> None:
    """Mites on bees die, more of them the fuller the season."""
    dies = state[ON_BEES] * (rate[10] + min(1.0, worker_cells / rate[11]) * (rate[9] - rate[10]))
    state[ON_BEES] -= dies
    state[LOST] += dies
    state[FALLEN] += dies


@njit(**_JIT)
def _invade(
    bees: Bees, rate: FloatArray, growth: float, slots: tuple[int, int], cells: FloatArray, state: FloatArray
) -> None:
    """Mites enter the cells capped that day; the daughters they will bring out are settled by how crowded these are."""
    h = (rate[0] * bees[1] + rate[1] * bees[2]) / bees[0]
    met = state[ON_BEES] / bees[0] * (1.0 if h < 1e-12 else -np.expm1(-h) / h)
    per_worker, per_drone = met * rate[0], met * rate[1]
    daughters = rate[3] + min(1.0, bees[1] / rate[11]) * (rate[2] - rate[3])
    worker, drone = per_worker * bees[1], per_drone * bees[2]
    cells[0, slots[0]] = worker
    cells[1, slots[0]] = worker * growth * daughters * np.exp(-rate[5] * per_worker)
    cells[2, slots[1]] = drone
    cells[3, slots[1]] = drone * growth * rate[4] * np.exp(-rate[6] * per_drone)
    # differences of equal sums may end a hair below nothing
    state[ON_BEES] = max(0.0, state[ON_BEES] - worker - drone)
    state[IN_BROOD] = max(0.0, state[IN_BROOD] + worker + drone)
    state[ADULTS], state[CAPPED], state[INFESTED] = bees[0], bees[1], -np.expm1(-per_worker)
