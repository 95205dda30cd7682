"""A cost no plan can beat."""

from __future__ import annotations

import numpy as np

from kit.plan.problem import VisitProblem


def lower_bound(problem: VisitProblem) -> float:
    """Each apiary alone in the world at its best days, driving not counted, or left out if that is cheaper.

    Parameters
    ----------
    problem : VisitProblem
        What to plan.

    Returns
    -------
    float
        A lower bound on the cost of any plan; loose where days are short.
    """
    return float(sum(min(_alone(problem, i), problem.untreated_cost[i]) for i in range(problem.n)))


def _alone(problem: VisitProblem, i: int) -> float:
    travel = problem.travel_min
    round_trip = travel[0, i + 1] + travel[i + 1, 0]
    open_days = (problem.day_minutes >= problem.service_min[i] + min(round_trip, _nearest(problem, i))) & (
        problem.colonies_per_day >= problem.colonies[i]
    )
    late = np.where(open_days, problem.lateness_cost[i], np.inf)
    day = np.arange(problem.days)
    least = np.where((day >= problem.release_day[i]) & (day <= problem.close_day[i]), late, np.inf)
    for _ in range(int(problem.rounds[i]) - 1):
        ahead = np.full(problem.days, np.inf)
        for gap in range(int(problem.gap_days[i, 0]), min(int(problem.gap_days[i, 1]), problem.days - 1) + 1):
            ahead[gap:] = np.minimum(ahead[gap:], least[:-gap])
        least = ahead + late
    return float(least.min(initial=np.inf))


def _nearest(problem: VisitProblem, i: int) -> float:
    """Driving a day with this stop needs at least, also where the direct way is not the shortest [min]."""
    others = np.arange(problem.n + 1) != i + 1
    return float(problem.travel_min[others, i + 1].min() + problem.travel_min[i + 1, others].min())
