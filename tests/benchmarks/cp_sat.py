"""The visit problem as a plain constraint model for a general solver: nothing of the kit's own search in it."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from ortools.sat.python import cp_model

from kit.plan.solver.schedule import VisitProblem

Literal = cp_model.IntVar


class Solved(NamedTuple):
    """Days of visits by apiary treated, their cost, a cost that nothing beats, and whether the two meet."""

    visits: dict[int, tuple[int, ...]]
    cost: float
    bound: float
    proven: bool


class Model:
    """Visits by round and day, a round trip for every working day."""

    def __init__(self, problem: VisitProblem) -> None:
        self.problem, self.model = problem, cp_model.CpModel()
        self.working = [d for d in range(problem.days) if problem.day_minutes[d] > 0]
        self.treated = [self.model.new_bool_var(f"treated {i}") for i in range(problem.n)]
        self.rounds = [self._rounds(i) for i in range(problem.n)]
        self.costs: list[cp_model.LinearExprT] = [
            int(problem.untreated_cost[i]) * (1 - self.treated[i]) for i in range(problem.n)
        ]
        for d in self.working:
            self._day(d)
        self.model.minimize(sum(self.costs))

    def _rounds(self, i: int) -> list[dict[int, Literal]]:
        """For each round of an apiary, whether it falls on a day; exactly one day where it is treated."""
        p = self.problem
        rounds = []
        for r in range(int(p.rounds[i])):
            may = [d for d in self.working if r > 0 or p.release_day[i] <= d <= p.close_day[i]]
            on = {d: self.model.new_bool_var(f"{i} round {r} on {d}") for d in may}
            self.model.add(sum(on.values()) == self.treated[i])
            rounds.append(on)
        for before, after in pairwise(rounds):
            gap = sum(d * x for d, x in after.items()) - sum(d * x for d, x in before.items())
            least, most = (int(gap_days) for gap_days in p.gap_days[i])
            self.model.add(gap >= least * self.treated[i])
            self.model.add(gap <= most * self.treated[i])
        return rounds

    def _day(self, d: int) -> None:
        p = self.problem
        here: dict[int, cp_model.LinearExprT] = {}
        loops: dict[int, Literal] = {}
        arcs: list[tuple[int, int, Literal]] = []
        for i in range(p.n):
            on = [r[d] for r in self.rounds[i] if d in r]
            if on:
                loops[i] = self.model.new_bool_var(f"{i} not on {d}")
                here[i] = sum(on)
                self.model.add(here[i] + loops[i] == 1)
                arcs.append((i + 1, i + 1, loops[i]))
        home = self.model.new_bool_var(f"at home on {d}")
        self.model.add_bool_and(*loops.values()).only_enforce_if(home)
        arcs.append((0, 0, home))
        nodes = [0, *(i + 1 for i in here)]
        ways = {(a, b): self.model.new_bool_var(f"{a} to {b} on {d}") for a in nodes for b in nodes if a != b}
        self.model.add_circuit([*arcs, *((a, b, x) for (a, b), x in ways.items())])
        drive = sum(int(p.travel_min[a, b]) * x for (a, b), x in ways.items())
        service = sum(int(p.service_min[i]) * x for i, x in here.items())
        self.model.add(drive + service <= int(p.day_minutes[d]))
        self.model.add(sum(int(p.colonies[i]) * x for i, x in here.items()) <= int(p.colonies_per_day[d]))
        self.costs += [int(p.lateness_cost[i, d]) * x for i, x in here.items()]
        self.costs.append(int(p.travel_cost_per_min) * drive)

    def solve(self, *, work: float, seed: int) -> Solved:
        """The best plan found within a fixed amount of work, in the solver's own measure; at worst none is treated."""
        for treated in self.treated:
            self.model.add_hint(treated, 0)
        solver = cp_model.CpSolver()
        solver.parameters.max_deterministic_time = work
        solver.parameters.random_seed = seed
        solver.parameters.num_workers = 1
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise AssertionError(f"no plan was found within {work} of work")
        visits = {
            i: tuple(d for on in self.rounds[i] for d, x in on.items() if solver.boolean_value(x))
            for i in range(self.problem.n)
            if solver.boolean_value(self.treated[i])
        }
        return Solved(visits, solver.objective_value, solver.best_objective_bound, status == cp_model.OPTIMAL)
