"""An independent reading of a plan: it shares no code with the search, counts the cost anew and names broken rules."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from kit.errors import ValidityError
from kit.plan.solver.problem import Schedule, VisitProblem

SLACK = 1e-6
"""Rounding of sums, in minutes and in relative cost."""

MOST_STOPS = 14
"""Stops of a day up to which the shortest round trip is found exactly; the kit's own plans have 12 at most."""


def check(problem: VisitProblem, schedule: Schedule) -> list[str]:
    """Name every rule a plan breaks.

    Parameters
    ----------
    problem : VisitProblem
        What was asked.
    schedule : Schedule
        What was answered.

    Returns
    -------
    list of str
        One sentence for each broken rule, empty when none is.
    """
    broken = list(_unknown(problem, schedule))
    if broken:
        return broken
    broken += [line for i, days in sorted(schedule.visits.items()) for line in _apiary(problem, i, days)]
    broken += _days(problem, schedule)
    if not broken:
        broken += _money(problem, schedule)
    return broken


def _unknown(problem: VisitProblem, schedule: Schedule) -> Iterator[str]:
    for i, days in sorted(schedule.visits.items()):
        if not 0 <= i < problem.n:
            yield f"apiary {i} is not in the problem, which has {problem.n}"
        for d in days:
            if not 0 <= d < problem.days:
                yield f"apiary {i} is visited on day {d}, outside the {problem.days} days there are"


def _apiary(problem: VisitProblem, i: int, days: tuple[int, ...]) -> Iterator[str]:
    if len(days) != problem.rounds[i]:
        yield f"apiary {i} gets {len(days)} visits and needs {problem.rounds[i]} or none at all"
    if days and days[0] < problem.release_day[i]:
        yield f"apiary {i} is visited on day {days[0]}, before its release day {problem.release_day[i]}"
    if days and days[0] > problem.close_day[i]:
        yield f"apiary {i} is first visited on day {days[0]}, after its last day to begin {problem.close_day[i]}"
    least, most = (int(g) for g in problem.gap_days[i])
    for before, after in pairwise(days):
        if not least <= after - before <= most:
            yield f"apiary {i} waits {after - before} days from day {before} to {after}, outside {least} to {most}"


def _days(problem: VisitProblem, schedule: Schedule) -> Iterator[str]:
    for d, stops in _stops(schedule).items():
        drive = shortest_drive(problem, stops)
        minutes = drive + sum(float(problem.service_min[i]) for i in stops)
        if minutes > problem.day_minutes[d] + SLACK:
            yield f"day {d} takes {minutes:g} minutes and has {problem.day_minutes[d]:g}"
        colonies = sum(float(problem.colonies[i]) for i in stops)
        if colonies > problem.colonies_per_day[d] + SLACK:
            yield f"day {d} treats {colonies:g} colonies and has charge for {problem.colonies_per_day[d]:g}"


def _money(problem: VisitProblem, schedule: Schedule) -> Iterator[str]:
    late = sum(float(problem.lateness_cost[i][d]) for i, days in schedule.visits.items() for d in days)
    out = sum(float(problem.untreated_cost[i]) for i in range(problem.n) if i not in schedule.visits)
    drive = sum(shortest_drive(problem, stops) for stops in _stops(schedule).values())
    cost = late + out + problem.travel_cost_per_min * drive
    if abs(cost - schedule.cost) > SLACK * max(1.0, cost):
        yield f"the plan costs {cost:g} and says {schedule.cost:g}"
    if schedule.bound > cost + SLACK * max(1.0, cost):
        yield f"the lower bound {schedule.bound:g} lies above the cost {cost:g}"


def _stops(schedule: Schedule) -> dict[int, list[int]]:
    stops: dict[int, list[int]] = {}
    for i, days in sorted(schedule.visits.items()):
        for d in days:
            if i not in stops.setdefault(d, []):
                stops[d].append(i)
    return stops


def shortest_drive(problem: VisitProblem, stops: list[int]) -> float:
    """Minutes of the shortest round trip, stop by stop over the sets already seen; a plain second opinion.

    Raises
    ------
    ValidityError
        With more than `MOST_STOPS` stops.
    """
    if len(stops) > MOST_STOPS:
        raise ValidityError(f"a day's stops must be <= {MOST_STOPS} to be checked exactly: got {len(stops)}")
    minutes = problem.travel_min.tolist()
    reached = {(frozenset[int](), 0): 0.0}
    for _ in stops:
        onward: dict[tuple[frozenset[int], int], float] = {}
        for (seen, at), drive in reached.items():
            for node in (i + 1 for i in stops):
                if node not in seen:
                    key = (seen | {node}, node)
                    onward[key] = min(onward.get(key, float("inf")), drive + minutes[at][node])
        reached = onward
    return min(drive + float(minutes[at][0]) for (_, at), drive in reached.items())
