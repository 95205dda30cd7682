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

if "NUMBA_CACHE_DIR" not in os.environ and not any(
    os.access(place, os.W_OK) for place in (Path(__file__).parent, Path.home())
):
    # numba writes beside the module or under the home, and raises on import when it can do neither
    os.environ["NUMBA_CACHE_DIR"] = tempfile.mkdtemp(prefix="season-kit-numba-")

from numba import njit
from numba.core.options import DefaultOptions

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

LEAD = 36
"""Days before the first on which mites settle into the cells."""
WORKER_CAPPED, DRONE_CAPPED = 12, 14
"""Written out, for a compiled law in a cache does not see a constant change elsewhere."""
ON_BEES, IN_BROOD, ADULTS, FALLEN = 0, 1, 2, 3
BORN, ARRIVED, LOST, KILLED, LEFT = 4, 5, 6, 7, 8
CAPPED, PER_CELL = 9, 10
DYING, DEAD, LINGERING, STRUCK = 11, 12, 13, 14
"""Places in the state of a lane: those killed slowly are on two steps to the board or linger; the struck fall soon."""
BRIEF, FULL, PLACES = 4, 11, 15
"""How many places of the state are reported, in brief or in full; how many there are."""
WORKER_CELLS, DRONE_CELLS, BEES_KEPT, BROOD_KEPT, MEET, GROWTH, GUESTS, SEASON = 1, 2, 3, 4, 5, 6, 7, 8
DAY_PLACES = 9
"""Places in what a day brings, whatever the mites; place 0 holds the adults."""


class Lanes(NamedTuple):
    """Everything the law needs, packed; n lanes, k treatments, m knots, r brood years."""

    mites: FloatArray  # (n,) on the morning of day 0
    rates: FloatArray  # (n, 16) the fields of Rates, the first two per bee instead of per gram of bees
    curves: FloatArray  # (r, LEAD + days, 5) adults, worker cells, drone cells, bees kept, brood kept
    year_at: FloatArray  # (n,) row of curves, a fraction lies between two
    factors: FloatArray  # (n, m, 4) adults, brood, daughters, reinvasion, even knots over the days
    when: IntArray  # (n, k, 2) first day, first day after
    effects: FloatArray  # (n, k, 6) the fields of Effect
    at: IntArray  # (j,) days reported, ascending
    winter: IntArray  # (2,) first day and first day after on which winter bees emerge


_UNCOUNTED = {"_nrt": False} if hasattr(DefaultOptions, "_nrt") else {}
"""Without reference counts on every array handed on the law runs four times as fast; the parts allocate nothing."""
_JIT = {"nogil": True, "cache": True, "error_model": "numpy", "forceinline": True, **_UNCOUNTED}


@njit(nogil=True, cache=True, error_model="numpy")
def run(p: Lanes, out: FloatArray, spoiled: FloatArray, first: int, last: int) -> None:
    """Run lanes `first` to before `last` into `out` (n, j, BRIEF or FULL) and `spoiled` (n,)."""
    days = np.empty((p.curves.shape[1], DAY_PLACES))
    cells, state = np.empty((4, DRONE_CAPPED)), np.empty(PLACES)
    for i in range(first, last):
        low = int(p.year_at[i])
        high = min(low + 1, p.curves.shape[0] - 1)
        _days(p.curves[low], p.curves[high], p.year_at[i] - low, p.factors[i], days)
        _chances(p.rates[i], days)
        _settle(p.mites[i], p.rates[i], days, cells, state)
        spoiled[i] = _through(p.rates[i], p.when[i], p.effects[i], p.at, p.winter, out[i], days, cells, state)


@njit(**_JIT)
def _through(  # noqa: PLR0913 - arrays pass through, so that nothing is allocated per lane
    rate: FloatArray,
    when: IntArray,
    effects: FloatArray,
    at: IntArray,
    winter: IntArray,
    out: FloatArray,
    days: FloatArray,
    cells: FloatArray,
    state: FloatArray,
) -> float:
    """One colony through all days; returns the share of its winter bees raised beside a mite."""
    infested, raised, j = 0.0, 0.0, 0
    for t in range(days.shape[0] - LEAD):
        _step(t, days, rate, when, effects, cells, state)
        if winter[0] <= t + WORKER_CAPPED < winter[1]:
            infested -= np.expm1(-state[PER_CELL]) * state[CAPPED]
            raised += state[CAPPED]
        if j < at.shape[0] and at[j] == t:
            for place in range(out.shape[1]):
                out[j, place] = state[place]
            j += 1
    return infested / raised if raised > 0.0 else np.nan


@njit(**_JIT)
def _step(  # noqa: PLR0913 - as above
    t: int,
    days: FloatArray,
    rate: FloatArray,
    when: IntArray,
    effects: FloatArray,
    cells: FloatArray,
    state: FloatArray,
) -> None:
    """One day in its order: bees leave, cells open, treatments kill, mites die, cells are capped."""
    worker, drone = (t + LEAD) % WORKER_CAPPED, (t + LEAD) % DRONE_CAPPED
    _leave(days, LEAD + t, cells, state)
    new = _open(rate, worker, drone, cells, state) + days[LEAD + t, GUESTS]
    state[ARRIVED] += days[LEAD + t, GUESTS]
    _treat(t, new, when, effects, cells, state)
    _drop(rate, state)
    _die(rate, days[LEAD + t, SEASON], state)
    _invade(days, LEAD + t, rate, worker, drone, cells, state)


@njit(**_JIT)
def _settle(mites: float, rate: FloatArray, days: FloatArray, cells: FloatArray, state: FloatArray) -> None:
    """Mites sort themselves into the cells of the days before, with nothing born or lost."""
    cells[:] = 0.0
    state[:] = 0.0
    state[ON_BEES] = mites
    for t in range(LEAD):
        worker, drone = t % WORKER_CAPPED, t % DRONE_CAPPED
        out = cells[0, worker] + cells[2, drone]
        state[ON_BEES] += out
        state[IN_BROOD] -= out
        _invade(days, t, rate, worker, drone, cells, state)


@njit(**_JIT)
def _days(low: FloatArray, high: FloatArray, mix: float, factors: FloatArray, days: FloatArray) -> None:
    """Bees, brood, growth and guests of each day: the brood year between two rows, times the wandering factors."""
    last, span = factors.shape[0] - 1, days.shape[0] - LEAD - 1
    for s in range(days.shape[0]):
        x = max(0, s - LEAD) * last / span if span > 0 else 0.0
        k = min(int(x), max(0, last - 1))
        after, w = min(k + 1, last), x - k
        for place in range(5):
            days[s, place] = low[s, place] + mix * (high[s, place] - low[s, place])
        brood = factors[k, 1] + w * (factors[after, 1] - factors[k, 1])
        days[s, 0] *= factors[k, 0] + w * (factors[after, 0] - factors[k, 0])
        days[s, WORKER_CELLS] *= brood
        days[s, DRONE_CELLS] *= brood
        days[s, GROWTH] = factors[k, 2] + w * (factors[after, 2] - factors[k, 2])
        days[s, GUESTS] = factors[k, 3] + w * (factors[after, 3] - factors[k, 3])


@njit(**_JIT)
def _chances(rate: FloatArray, days: FloatArray) -> None:
    """What does not depend on the mites: the fullness of the season, and the chance to meet a cell."""
    for s in range(days.shape[0]):
        h = (rate[0] * days[s, WORKER_CELLS] + rate[1] * days[s, DRONE_CELLS]) / days[s, 0]
        days[s, SEASON] = min(1.0, days[s, WORKER_CELLS] / rate[11])
        days[s, MEET] = (1.0 if h < 1e-12 else -np.expm1(-h) / h) / days[s, 0]


@njit(**_JIT)
def _leave(days: FloatArray, s: int, cells: FloatArray, state: FloatArray) -> None:
    """Bees and combs that go take their mites along."""
    if days[s, BEES_KEPT] < 1.0 or days[s, BROOD_KEPT] < 1.0:
        gone = _thin(cells, 0, days[s, BROOD_KEPT]) + _thin(cells, 2, days[s, BROOD_KEPT])
        state[IN_BROOD] -= gone
        state[LEFT] += gone + state[ON_BEES] * (1.0 - days[s, BEES_KEPT])
        state[ON_BEES] *= days[s, BEES_KEPT]


@njit(**_JIT)
def _open(rate: FloatArray, worker: int, drone: int, cells: FloatArray, state: FloatArray) -> float:
    """Cells open: mothers and daughters come out, some fall; returns those that reach the bees."""
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
def _treat(t: int, new: float, when: IntArray, effects: FloatArray, cells: FloatArray, state: FloatArray) -> None:
    """Treatments kill among those on bees and those come that day, and in cells."""
    struck, old, come, worker_left, drone_left = 1.0, 1.0, 1.0, 1.0, 1.0
    for k in range(when.shape[0]):
        n = t - when[k, 0]
        if n < 0:
            continue
        if n == 0:
            old *= 1.0 - effects[k, 0]
        if n < effects[k, 1] + 1.0:
            come *= 1.0 - effects[k, 0] * _residue(effects[k, 1], effects[k, 2], n)
        if t < when[k, 1]:
            struck *= 1.0 - effects[k, 3]
            worker_left, drone_left = worker_left * (1.0 - effects[k, 4]), drone_left * (1.0 - effects[k, 5])
    slowly = state[ON_BEES] * (1.0 - old) + new * (1.0 - come)
    state[ON_BEES] = state[ON_BEES] * old + new * come
    at_once = state[ON_BEES] * (1.0 - struck)
    state[ON_BEES] *= struck
    if worker_left < 1.0 or drone_left < 1.0:
        in_worker, in_drone = _thin(cells, 0, worker_left), _thin(cells, 2, drone_left)
        state[IN_BROOD] -= in_worker + in_drone
        state[KILLED] += in_drone  # drone combs are cut out: their mites reach no board
        slowly += in_worker
    state[KILLED] += slowly + at_once
    state[DYING] += slowly
    state[STRUCK] += at_once


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
def _drop(rate: FloatArray, state: FloatArray) -> None:
    """A treatment's dead come down: the struck soon; of the others most in two steps, the lingering in one slow one."""
    moved = rate[12] * state[DYING]
    state[DYING] -= moved
    down, late, soon = rate[12] * state[DEAD], rate[14] * state[LINGERING], rate[15] * state[STRUCK]
    state[DEAD] += moved * (1.0 - rate[13]) - down
    state[LINGERING] += moved * rate[13] - late
    state[STRUCK] -= soon
    state[FALLEN] += down + late + soon


@njit(**_JIT)
def _die(rate: FloatArray, season: float, state: FloatArray) -> None:
    """Mites on bees die, more of them the fuller the season."""
    dies = state[ON_BEES] * (rate[10] + season * (rate[9] - rate[10]))
    state[ON_BEES] -= dies
    state[LOST] += dies
    state[FALLEN] += dies


@njit(**_JIT)
def _invade(  # noqa: PLR0913 - as above
    days: FloatArray, s: int, rate: FloatArray, worker: int, drone: int, cells: FloatArray, state: FloatArray
) -> None:
    """Mites enter the cells capped that day; how crowded these are settles the daughters they will bring out."""
    met = state[ON_BEES] * days[s, MEET]
    per_worker, per_drone = met * rate[0], met * rate[1]
    in_worker, in_drone = per_worker * days[s, WORKER_CELLS], per_drone * days[s, DRONE_CELLS]
    daughters = rate[3] + days[s, SEASON] * (rate[2] - rate[3])
    cells[0, worker] = in_worker
    cells[1, worker] = in_worker * days[s, GROWTH] * daughters * np.exp(-rate[5] * per_worker)
    cells[2, drone] = in_drone
    cells[3, drone] = in_drone * days[s, GROWTH] * rate[4] * np.exp(-rate[6] * per_drone)
    # differences of equal sums may end a hair below nothing
    state[ON_BEES] = max(0.0, state[ON_BEES] - in_worker - in_drone)
    state[IN_BROOD] = max(0.0, state[IN_BROOD] + in_worker + in_drone)
    state[ADULTS], state[CAPPED], state[PER_CELL] = days[s, 0], days[s, WORKER_CELLS], per_worker
