"""A cost no plan can beat, and the proof of the best plan where the problem is small enough.

A plan is a pattern of days for each apiary and a set of stops for each day. The linear programme over all patterns and
all sets is solved by column generation with HiGHS; at any prices of a visit the Lagrangian

.. math:: \\sum_i \\min(U_i, \\min_p (c_{ip} + \\mu_{ip})) + \\sum_d \\min(0, \\min_S (t_S - \\mu_{Sd}))

is a lower bound. Columns whose reduced cost exceeds the gap cannot be in a better plan; an integer programme over the
others finds the best.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from kit.plan.solver.daysets import DaySets, day_sets
from kit.plan.solver.problem import Floats, Ints, VisitProblem

MOST_SETS = 100_000
"""Sets of stops up to which the linear programme is worth its time."""
MOST_COLUMNS = 12_000
"""Columns up to which the integer programme is tried."""
SETS_A_DAY, PATTERNS_EACH = 12, 6
"""Columns added in a round of column generation: sets for each day, patterns for each apiary."""

Visits = Mapping[int, tuple[int, ...]]


def no_clock() -> float:
    """Seconds left where no clock is read: always enough [s]."""
    return math.inf


class Allowance(NamedTuple):
    """What a proof may take: rounds of column generation, nodes of the integer programme, and seconds left if any."""

    rounds: int
    nodes: int
    left_s: Callable[[], float] = no_clock


class Proof(NamedTuple):
    """A lower bound, and the visits of the best plan when it was found on the way."""

    bound: float
    visits: Visits | None


class Pattern(NamedTuple):
    """Days of all visits of apiary `i`, shape (k, rounds), and their cost of lateness, shape (k,)."""

    days: Ints
    late: Floats


@dataclass
class _Columns:
    """Patterns and day sets in the linear programme so far, as (apiary, row) and (day, row)."""

    patterns: list[tuple[int, int]]
    sets: list[tuple[int, int]]


def lower_bound(problem: VisitProblem, patterns: Sequence[Pattern]) -> float:
    """Each apiary at its best days as if no other were there, or left out if that is cheaper.

    Of driving, half the shortest way to a stop and half the shortest way on are counted for every visit: a round trip
    takes at least the sum of these.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.
    patterns : sequence of Pattern
        Of each apiary, from `patterns_of`.

    Returns
    -------
    float
        A lower bound on the cost of any plan; loose where days are short.
    """
    apart = problem.travel_min + np.diag(np.full(problem.n + 1, np.inf))
    halves = ((apart.min(axis=0, initial=np.inf) + apart.min(axis=1, initial=np.inf)) / 2)[1:]
    drive = problem.travel_cost_per_min * problem.rounds * np.where(np.isfinite(halves), halves, 0.0)
    alone = np.array([float(pattern.late.min(initial=np.inf)) for pattern in patterns]) + drive
    return float(np.minimum(alone, problem.untreated_cost).sum())


def patterns_of(problem: VisitProblem, i: int) -> Pattern:
    """All ways to place the visits of one apiary on days that could hold it alone, without those dearer than none."""
    travel = problem.travel_min
    others = np.arange(problem.n + 1) != i + 1
    least_drive = travel[others, i + 1].min() + travel[i + 1, others].min()
    can = (problem.day_minutes >= problem.service_min[i] + least_drive) & (
        problem.colonies_per_day >= problem.colonies[i]
    )
    first = np.flatnonzero(can)
    first = first[(first >= problem.release_day[i]) & (first <= problem.close_day[i])]
    days = first[:, None]
    gaps = np.arange(problem.gap_days[i, 0], problem.gap_days[i, 1] + 1)
    for _ in range(int(problem.rounds[i]) - 1):
        onward = days[:, -1:] + gaps
        row, column = np.nonzero(onward < problem.days)
        onward_day = onward[row, column]
        kept = can[onward_day]
        days = np.hstack([days[row[kept]], onward_day[kept, None]])
    late = problem.lateness_cost[i][days].sum(axis=1)
    worth = late < problem.untreated_cost[i]
    return Pattern(days[worth].astype(np.int64), late[worth])


def prove(problem: VisitProblem, visits: Visits, cost: float, allowance: Allowance) -> Proof:
    """Raise the bound, and find the best plan if it can be done, within an allowance.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.
    visits, cost
        The best plan known.
    allowance : Allowance
        What it may take.
    """
    patterns = [patterns_of(problem, i) for i in range(problem.n)]
    plain = lower_bound(problem, patterns)
    if allowance.rounds == 0:
        return Proof(min(plain, cost), None)
    visited = np.zeros((problem.n, problem.days), dtype=np.bool_)
    for i, pattern in enumerate(patterns):
        visited[i, pattern.days.ravel()] = True
    sets = day_sets(problem, visited, most=MOST_SETS)
    if sets is None or sets.member.shape[0] == 0:
        return Proof(min(plain, cost), None)
    master = Master(problem, (patterns, sets), visits)
    bound = max(plain, master.raise_bound(cost, allowance))
    if bound >= cost - 1e-6:
        return Proof(cost, visits)
    proof = master.best(cost, bound, allowance)
    return Proof(min(max(bound, proof.bound), cost), proof.visits)


class Master:
    """The linear programme over patterns and day sets, grown column by column."""

    def __init__(self, problem: VisitProblem, of: tuple[list[Pattern], DaySets], visits: Visits) -> None:
        self.problem = problem
        self.patterns, self.sets = of
        self.open_days = np.flatnonzero(problem.day_minutes > 0)
        self.fits = {int(d): self.sets.fit(problem.day_minutes[d], problem.colonies_per_day[d]) for d in self.open_days}
        self.columns = _Columns([], [])
        self.price = np.zeros((problem.n, problem.days))
        self.bound = -np.inf
        self.row_of_day, self.row_of_visit, self.height = self._rows()
        self._begin(visits)

    def _begin(self, visits: Visits) -> None:
        """The known plan, and every apiary alone on every day."""
        alone = np.flatnonzero(self.sets.member.sum(axis=1) == 1)
        self.columns.sets += [(int(d), int(s)) for d in self.open_days for s in alone if self.fits[int(d)][s]]
        for i, days in visits.items():
            same = np.flatnonzero((self.patterns[i].days == np.array(days)).all(axis=1))
            self.columns.patterns += [(i, int(row)) for row in same]

    def _rows(self) -> tuple[Ints, Ints, int]:
        """Row of each day and of each visit in the programme, -1 where there is none, and how many rows."""
        problem = self.problem
        of_day = np.full(problem.days, -1, dtype=np.int64)
        of_day[self.open_days] = problem.n + np.arange(len(self.open_days))
        of_visit = np.full((problem.n, problem.days), -1, dtype=np.int64)
        height = problem.n + len(self.open_days)
        for i, pattern in enumerate(self.patterns):
            days = np.unique(pattern.days)
            of_visit[i, days] = height + np.arange(len(days))
            height += len(days)
        return of_day, of_visit, height

    def raise_bound(self, cost: float, allowance: Allowance) -> float:
        """Generate columns until none helps, the bound meets the cost or the allowance is spent; the best bound met."""
        centre = self.price
        for _ in range(allowance.rounds):
            if allowance.left_s() <= 0:
                break
            prices = self._solved()
            tried = prices if self.bound == -np.inf else 0.5 * prices + 0.5 * centre
            bound, added = self._priced(tried)
            if bound > self.bound:
                self.bound, centre = bound, tried
            if not added:
                bound, added = self._priced(prices)
                self.bound, centre = (bound, prices) if bound > self.bound else (self.bound, centre)
            if not added or self.bound >= cost - 1e-6:
                break
        self.price = centre
        return self.bound

    def _solved(self) -> Floats:
        """Prices of a visit by apiary and day, from the linear programme as it stands."""
        costs, matrix, low, high = self._programme(self.columns)
        upper = sparse.vstack([matrix[self.problem.n :]], format="csr")
        found = linprog(  # type: ignore[call-overload] # the stubs know no sparse rows
            costs,
            A_ub=upper,
            b_ub=high[self.problem.n :],
            A_eq=matrix[: self.problem.n],
            b_eq=low[: self.problem.n],
            bounds=(0, None),
            method="highs",
        )
        duals = np.concatenate([np.zeros(self.problem.n), -np.asarray(found.ineqlin.marginals)])
        return np.where(self.row_of_visit >= 0, duals[self.row_of_visit], 0.0)

    def _programme(self, columns: _Columns) -> tuple[Floats, sparse.csr_matrix, Floats, Floats]:
        """Costs and rows: each apiary once (=), each day once (<=), a visit only where a day's set calls (<= 0)."""
        problem, n, height = self.problem, self.problem.n, self.height
        rows, columns_at, values = list(range(n)), list(range(n)), [1.0] * n
        costs = list(problem.untreated_cost)
        for i, row in columns.patterns:
            days = self.patterns[i].days[row]
            rows += [i, *self.row_of_visit[i, days].tolist()]
            columns_at += [len(costs)] * (1 + len(days))
            values += [1.0] * (1 + len(days))
            costs.append(self.patterns[i].late[row])
        for d, s in columns.sets:
            calls = self.row_of_visit[self.sets.member[s] > 0, d]
            calls = calls[calls >= 0].tolist()
            rows += [int(self.row_of_day[d]), *calls]
            columns_at += [len(costs)] * (1 + len(calls))
            values += [1.0, *([-1.0] * len(calls))]
            costs.append(problem.travel_cost_per_min * self.sets.drive[s])
        matrix = sparse.csr_matrix((values, (rows, columns_at)), shape=(height, len(costs)))
        low = np.concatenate([np.ones(n), np.full(height - n, -np.inf)])
        high = np.concatenate([np.ones(n + len(self.open_days)), np.zeros(height - n - len(self.open_days))])
        return np.array(costs, dtype=np.float64), matrix, low, high

    def _priced(self, prices: Floats) -> tuple[float, int]:
        """The Lagrangian bound at these prices, and how many new columns were added."""
        known = (set(self.columns.patterns), set(self.columns.sets))
        bound = 0.0
        for i in range(self.problem.n):
            reduced = self._pattern_costs(i, prices)
            bound += min(self.problem.untreated_cost[i], reduced.min(initial=np.inf))
            self.columns.patterns += [(i, int(row)) for row in np.argsort(reduced, kind="stable")[:PATTERNS_EACH]]
        for d in self.open_days:
            reduced = self._set_costs(int(d), prices)
            bound += min(0.0, reduced.min(initial=np.inf))
            best = np.argpartition(reduced, min(SETS_A_DAY, len(reduced) - 1))[:SETS_A_DAY]
            self.columns.sets += [(int(d), int(s)) for s in best if reduced[s] < -1e-7]
        self.columns = _Columns(list(dict.fromkeys(self.columns.patterns)), list(dict.fromkeys(self.columns.sets)))
        return bound, len(self.columns.patterns) + len(self.columns.sets) - len(known[0]) - len(known[1])

    def _pattern_costs(self, i: int, prices: Floats) -> Floats:
        pattern = self.patterns[i]
        return np.asarray(pattern.late + prices[i][pattern.days].sum(axis=1))

    def _set_costs(self, d: int, prices: Floats) -> Floats:
        saved = self.sets.member @ prices[:, d].astype(np.float32)
        return np.where(self.fits[d], self.problem.travel_cost_per_min * self.sets.drive - saved, np.inf)

    def best(self, cost: float, bound: float, allowance: Allowance) -> Proof:
        """The best plan by an integer programme over all columns that may be in it, if they are few enough."""
        columns = self._worth(cost - bound)
        if len(columns.patterns) + len(columns.sets) > MOST_COLUMNS:
            return Proof(bound, None)
        costs, matrix, low, high = self._programme(columns)
        left_s = allowance.left_s()
        if left_s <= 0:
            return Proof(bound, None)
        found = milp(
            costs,
            constraints=LinearConstraint(matrix, low, high),
            integrality=np.ones(len(costs), dtype=np.int64),
            bounds=Bounds(0, 1),
            options={"time_limit": left_s, "node_limit": allowance.nodes, "mip_rel_gap": 1e-7},
        )
        proven = found.mip_dual_bound if found.mip_dual_bound is not None else bound
        if found.x is None:
            return Proof(max(bound, proven if np.isfinite(proven) else bound), None)
        chosen = np.flatnonzero(found.x[self.problem.n : self.problem.n + len(columns.patterns)] > 0.5)
        picked = [columns.patterns[k] for k in chosen]
        return Proof(max(bound, proven), {i: tuple(int(d) for d in self.patterns[i].days[row]) for i, row in picked})

    def _worth(self, gap: float) -> _Columns:
        """Columns whose reduced cost at the best prices does not exceed the gap, and those of the known plan."""
        kept = _Columns([], [])
        for i in range(self.problem.n):
            reduced = self._pattern_costs(i, self.price)
            least = min(self.problem.untreated_cost[i], reduced.min(initial=np.inf))
            kept.patterns += [(i, int(row)) for row in np.flatnonzero(reduced - least <= gap + 1e-3)]
        for d in self.open_days:
            reduced = self._set_costs(int(d), self.price)
            least = min(0.0, reduced.min(initial=np.inf))
            kept.sets += [(int(d), int(s)) for s in np.flatnonzero(reduced - least <= gap + 1e-3)]
        return kept
