"""A visit laid out as bars: a small discrete simulation of hands and machines, with its critical path.

Hands take, of all that can be done now, what matters most first: the opening of a group whose wait is over, then
dosing, then sealing the next group (no more than two groups closed at once). It is the check on the closed form of
`kit.calc.effort`.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from kit.calc.effort import CLOSED_AT_ONCE, Crew, Pace
from kit.checks import not_negative


class Bar(NamedTuple):
    """One stretch of work or waiting.

    Parameters
    ----------
    what : str
        drive, carry in, set up, warm up, seal, dose, wait, unseal, pack, carry out, drive home.
    group : int
        From 1; 0 for what concerns no group.
    start_min, end_min : float
        From leaving the base, or the vehicle when no drive is given [min].
    hands : int
        Which pair of hands, from 1; 0 for what goes on by itself.
    critical : bool
        Whether the visit gets longer when this does.
    """

    what: str
    group: int
    start_min: float
    end_min: float
    hands: int
    critical: bool


@dataclass
class _Task:
    what: str
    group: int
    minutes: float
    needs: list[int]
    hands: int = 0
    start: float = -1.0
    end: float = -1.0
    after: int = -1


@dataclass
class _Yard:
    """Who is free when, and after which task."""

    hands: list[tuple[float, int]]
    machines: list[tuple[float, int]]
    tasks: list[_Task] = field(default_factory=list)


RANK = {"unseal": 0, "dose": 1, "seal": 2}


def time_line(
    colonies: int,
    *,
    drive_min: float = 0.0,
    carry_min: float = 0.0,
    pace: Pace | None = None,
    crew: Crew | None = None,
) -> tuple[Bar, ...]:
    """The bars of a visit, in order of their start.

    Parameters
    ----------
    colonies : int
        To treat.
    drive_min, carry_min : float
        One way [min].
    pace : Pace, optional
        Minutes of each piece.
    crew : Crew, optional
        People, machines, group size.

    Returns
    -------
    tuple of Bar
        Hive by hive for sealing, dosing and opening; empty without a colony.

    Raises
    ------
    ValidityError
        A negative number.
    """
    pace, crew = pace or Pace(), crew or Crew()
    for name, value in (("colonies", colonies), ("drive_min", drive_min), ("carry_min", carry_min)):
        not_negative(name, value)
    if colonies == 0:
        return ()
    tasks = _before(pace, drive_min, carry_min)
    ready = tasks[2].end
    tasks += _hive_tasks(colonies, pace, crew)
    _run(tasks, crew, ready)
    _after(tasks, pace, drive_min, carry_min)
    critical = _critical(tasks)
    bars = [
        Bar(t.what, t.group, t.start, t.end, t.hands, i in critical) for i, t in enumerate(tasks) if t.end > t.start
    ]
    return tuple(sorted(bars, key=lambda b: (b.start_min, b.end_min, b.hands)))


def length_min(bars: tuple[Bar, ...]) -> float:
    """From the first bar's start to the last one's end.

    Parameters
    ----------
    bars : tuple of Bar
        Of `time_line`.

    Returns
    -------
    float
        0 without bars [min].
    """
    return max((bar.end_min for bar in bars), default=0.0)


def _before(pace: Pace, drive_min: float, carry_min: float) -> list[_Task]:
    """Drive, carry, set up in a row by the first pair of hands; the machine warms up by itself after that."""
    tasks: list[_Task] = []
    clock = 0.0
    for what, minutes in (("drive", drive_min), ("carry in", carry_min), ("set up", pace.set_up_min)):
        tasks.append(_Task(what, 0, minutes, [], 1, clock, clock + minutes, len(tasks) - 1))
        clock += minutes
    tasks.append(_Task("warm up", 0, pace.warm_up_min, [], 0, clock, clock + pace.warm_up_min, 2))
    return tasks


def _hive_tasks(colonies: int, pace: Pace, crew: Crew) -> list[_Task]:
    """Numbered from 4 on, after drive, carry, set-up and warm-up; `needs` are numbers of tasks."""
    tasks: list[_Task] = []
    opened: dict[int, list[int]] = {}

    def add(what: str, group: int, minutes: float, needs: list[int]) -> int:
        tasks.append(_Task(what, group, minutes, needs))
        return 3 + len(tasks)

    for start in range(0, colonies, crew.group_size):
        group, hives = start // crew.group_size + 1, min(crew.group_size, colonies - start)
        free = opened.get(group - CLOSED_AT_ONCE, [2])
        seals = [add("seal", group, pace.seal_min, list(free)) for _ in range(hives)]
        doses = [add("dose", group, pace.dose_min, [3, *seals]) for _ in range(hives)]
        wait = add("wait", group, pace.sealed_min, doses)
        opened[group] = [add("unseal", group, pace.unseal_min, [wait]) for _ in range(hives)]
    return tasks


def _run(tasks: list[_Task], crew: Crew, ready: float) -> None:
    """Whenever hands fall free they take the most urgent task that could start soonest."""
    yard = _Yard([(ready, 2)] * crew.people, [(tasks[3].end, 3)] * crew.machines, tasks)
    todo = set(range(4, len(tasks)))
    while todo:
        waits = [i for i in todo if tasks[i].what == "wait" and _done(tasks, i)]
        for i in waits:
            _start(yard, i, max(tasks[n].end for n in tasks[i].needs))
        todo -= set(waits)
        able = [i for i in todo if tasks[i].what != "wait" and _done(tasks, i)]
        if able:
            start, _, i = min((_earliest(yard, i), RANK[tasks[i].what], i) for i in able)
            _start(yard, i, start)
            todo.remove(i)


def _done(tasks: list[_Task], i: int) -> bool:
    return all(tasks[n].end >= 0 for n in tasks[i].needs)


def _earliest(yard: _Yard, i: int) -> float:
    task = yard.tasks[i]
    after = [yard.tasks[n].end for n in task.needs] + [min(yard.hands)[0]]
    after += [min(yard.machines)[0]] if task.what == "dose" else []
    return max(after)


def _start(yard: _Yard, i: int, start: float) -> None:
    """Put a task in its place and remember which one it had to wait for."""
    task = yard.tasks[i]
    task.start, task.end = start, start + task.minutes
    held_by = [(yard.tasks[n].end, n) for n in task.needs]
    if task.what != "wait":
        hand = yard.hands.index(min(yard.hands))
        held_by.append(yard.hands[hand])
        yard.hands[hand], task.hands = (task.end, i), hand + 1
    if task.what == "dose":
        machine = yard.machines.index(min(yard.machines))
        held_by.append(yard.machines[machine])
        yard.machines[machine] = (task.end, i)
    task.after = max(held_by)[1]


def _after(tasks: list[_Task], pace: Pace, drive_min: float, carry_min: float) -> None:
    last = max(range(len(tasks)), key=lambda i: tasks[i].end)
    clock = tasks[last].end
    for what, minutes in (("pack", pace.pack_min), ("carry out", carry_min), ("drive home", drive_min)):
        tasks.append(_Task(what, 0, minutes, [], 1, clock, clock + minutes, last))
        last, clock = len(tasks) - 1, clock + minutes


def _critical(tasks: list[_Task]) -> set[int]:
    """Back from the last task along what each one had to wait for."""
    path, i = set(), len(tasks) - 1
    while i >= 0:
        path.add(i)
        i = tasks[i].after
    return path
