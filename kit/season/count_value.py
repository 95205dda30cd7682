r"""What a count is worth: how much better one decides after it whether an apiary needs one more treatment now.

.. math::
    V = \mathrm{E}_y\,\max(0, \mathrm{E}[b \mid y]) - \max(0, \mathrm{E}[b])

b is what one more treatment today saves, in money: the fall in expected winter loss times hives and the value of a
colony, less its cost; y what the count may show. Both are had from the season's draws: each draw in turn is the truth
and gives a y, and the others are weighed by how well they would have given it. Where no main treatment was begun yet,
it is given by the day to treat by in either case, and nothing is reckoned in the three weeks before. The count's own
cost is not taken off.

Columns of the table `count_values`: `apiary, count` (in words), `hives` (under which it is taken), `decision` (what one
would do without it: treat now / leave), `changes_pct` (chance that the count turns that round [%]), `value` (in money,
before the count's own cost), `saves_p05 _p50 _p95` (b). Best first; empty when the winter is past deciding or it is
too cold to count.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.mites import simulate_many
from kit.calc.ranges import band_of
from kit.constants import counts as known
from kit.constants import hives as stray
from kit.season.loads import POINTS
from kit.season.posterior.evidence import BETWEEN, BOARD, RECOVERY
from kit.season.posterior.sight import Look, Seen, log_count, sight
from kit.season.reading import Course, Reading
from kit.season.timing import hives_at, main_treatment, usual_pattern
from kit.season.today import WASH_MONTHS, Known
from kit.season.units import UNNUMBERED, last_day
from kit.season.usual import Array
from kit.season.whatif import added

COLUMNS = ["apiary", "count", "hives", "decision", "changes_pct", "value", *(f"saves_{p}" for p in POINTS)]
BOARD_MONTHS = range(4, 11)
LIES_DAYS = 7
APART = timedelta(days=21)
"""One more treatment so soon before the main one is the main one begun early."""
UNDER = 3
ROUND_TASKS = ("driving", "carrying", "treating", "medicines")
SEED = 9


class Option(NamedTuple):
    """A kind of count: its name, and what one hive's count looks like when it is begun on day `last`."""

    words: str
    kind: str


BOARDS = Option(f"trays under {UNDER} hives for a week", "board")
WASHES = Option(f"a wash of {known.SAMPLE_BEES.value:.0f} bees in {UNDER} hives", "sample")


def count_values(now: Known, effort: pd.DataFrame) -> pd.DataFrame:
    """What the next count is worth at every apiary, the most useful first. `effort` is the table of that name."""
    on = last_day(now.records)
    pattern = usual_pattern(now.records, now.rounds)
    options = [BOARDS] if on.month in BOARD_MONTHS else []
    options += [WASHES] if on.month in WASH_MONTHS else []
    rows: list[dict[str, Any]] = []
    if not pattern.empty and on < now.winter.last:
        for here in now.season.readings.values():
            rows += _rows(now, here, pattern, options, _cost(effort, here.apiary, pattern["date"].nunique()))
    table = pd.DataFrame(rows, columns=COLUMNS)
    return table.sort_values(["value", "apiary", "count"], ascending=[False, True, True], ignore_index=True)


def _cost(effort: pd.DataFrame, apiary: str, rounds: int) -> float:
    """What one more treatment costs there: a round's mean driving, carrying, work and medicine, for all its rounds.

    An apiary without recorded work is taken at the mean of the others; NaN when there is none.
    """
    each = effort.assign(a_trip=effort["cost"] / effort["trips"])
    each = each[each["task"].isin(ROUND_TASKS)].dropna(subset=["a_trip"])
    usual = each.groupby("task")["a_trip"].mean()
    own = each[each["apiary"] == apiary].groupby("task")["a_trip"].mean()
    found = own.combine_first(usual) if len(usual) else usual
    return float(rounds * found.sum()) if len(found) else float("nan")


def _rows(
    now: Known, here: Reading, pattern: pd.DataFrame, options: Sequence[Option], cost: float
) -> list[dict[str, Any]]:
    chosen = _hives(here)
    if here.log_factor is not None or not len(chosen) or not np.isfinite(cost):
        return []
    saves = _saves(now, here, pattern) - cost
    if np.isnan(saves).any():
        return []
    points = dict(zip((f"saves_{p}" for p in POINTS), band_of(saves), strict=True))
    rows = []
    for option in options:
        value, changes = worth(saves, _log_chances(here, chosen, option))
        key = {"apiary": here.apiary, "count": option.words, "hives": len(chosen)}
        decision = "treat now" if saves.mean() > 0 else "leave"
        rows.append(key | {"decision": decision, "changes_pct": 100 * changes, "value": value, **points})
    return rows


def _saves(now: Known, here: Reading, pattern: pd.DataFrame) -> Array:
    """Expected loss [money] that one more treatment today saves, by draw; NaN where the main one is about to be due."""
    on, by = last_day(now.records), now.records.settings.treat_by
    mine = now.rounds[now.rounds["apiary"] == here.apiary]
    if not main_treatment(now.records, mine).empty:
        left, treated = here.course, _with(now, here, pattern, [on])
    elif by - on < APART:
        return np.full(len(here.parameters), np.nan)
    else:
        left, treated = _with(now, here, pattern, [by]), _with(now, here, pattern, [on, by])
    day = here.usual.index(max(now.winter.last, on))
    lost = [now.winter.expected_pct(now.winter.by_mites_pct(here, course)) for course in (left, treated)]
    return here.mean(lost[0] - lost[1], day) / 100 * hives_at(here, day) * now.records.settings.colony_value


def _with(now: Known, here: Reading, pattern: pd.DataFrame, starts: Sequence[date]) -> Course:
    """The course with the pattern begun on each of some days."""
    moves = [pd.Timestamp(start) - pattern["date"].min() for start in starts]
    each = [pattern.assign(date=pattern["date"] + move, removed=pattern["removed"] + move) for move in moves]
    return added(now.records, pd.concat(each, ignore_index=True), here, starts[0], now.seed)


def _hives(here: Reading) -> list[int]:
    """The hives to count: the first numbered ones that stand, or the average hive as often as trays are laid."""
    there = zip(here.standing(here.last), here.weights, strict=True)
    standing = [n for n, (stands, weight) in enumerate(there) if stands and weight > 0]
    numbered = [n for n in standing if here.units[n].scope != UNNUMBERED]
    return numbered[:UNDER] if numbered else [n for n in standing for _ in range(UNDER)]


def _log_chances(here: Reading, chosen: Sequence[int], option: Option) -> Array:
    """Log chance, up to a constant of each row, of what draw m would show if draw j holds, shape (draws, draws)."""
    rng = np.random.default_rng([here.seed, SEED, len(here.units)])
    total = np.zeros((len(here.parameters),) * 2)
    for n in chosen:
        look = _look(here, option, averaged=here.units[n].scope == UNNUMBERED)
        expected, size = _expected(here, n, look)
        shown = rng.negative_binomial(size, size / (size + expected)).astype(float)
        total += log_count(shown[:, None], expected[None, :], size[None, :])
    return total


def _look(here: Reading, option: Option, *, averaged: bool) -> Look:
    on = here.usual.start + timedelta(days=here.last)
    more = BETWEEN if averaged else 0.0
    if option.kind == "board":
        day = min(here.last + LIES_DAYS, here.usual.days - 1)
        return Look("board", day, here.last, 1.0, 0.0, 0.0, BOARD + more, on, "board")
    factor = known.SAMPLE_BEES.value * RECOVERY["alcohol wash"].value / 100
    return Look("sample", here.last, -1, factor, 0.0, 0.0, stray.WASH_NOISE.value**2 + more, on, "alcohol wash")


def _expected(here: Reading, unit: int, look: Look) -> tuple[Array, Array]:
    """What one hive's count is expected to show under each draw, and the size of its scatter, both (draws,)."""
    eye, parameters = sight([look]), here.parameters[:, unit]
    lane = np.full(len(parameters), unit)
    run = simulate_many(here.hives.lanes(parameters, lane), at=eye.at)
    seen = Seen(run.on_bees, run.adults, run.fallen, here.hives.capped(parameters, lane, eye.at))
    return np.exp(eye.log_expected(seen, parameters))[:, 0], eye.sizes(parameters)[:, 0]


def worth(saves: Array, log_chances: Array) -> tuple[float, float]:
    """What a count is worth, and the chance that it turns the decision.

    Parameters
    ----------
    saves : ndarray, shape (draws,)
        What doing it saves if that draw holds.
    log_chances : ndarray, shape (draws, draws)
        Row m: log chance of what the count shows when draw m is the truth, under each draw, up to a constant.

    Returns
    -------
    tuple
        In the unit of `saves`, never negative; and a share [1].
    """
    weights = np.exp(log_chances - log_chances.max(axis=1, keepdims=True))
    after = weights @ saves / weights.sum(axis=1)
    gain = float(np.maximum(after, 0).mean()) - max(float(saves.mean()), 0.0)
    return max(gain, 0.0), float(np.mean((after > 0) != (saves.mean() > 0)))
