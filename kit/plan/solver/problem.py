"""Which apiary on which day: the problem and the answer as plain data, with every rule of it checked on the way in.

An apiary is treated in full (`rounds` visits, the first within [`release_day`, `close_day`], successive visits
`gap_days` apart) or not at all. A day's visits are one round trip from the base. The cost is

.. math:: \\sum_{visits} late_{i,d} + \\sum_{left\\ out} untreated_i + c\\,\\sum_d drive_d
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.errors import ValidityError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

KEYS = (
    "travel_min",
    "service_min",
    "colonies",
    "rounds",
    "gap_days",
    "release_day",
    "day_minutes",
    "colonies_per_day",
    "lateness_cost",
    "untreated_cost",
    "travel_cost_per_min",
)


@dataclass(frozen=True)
class VisitProblem:
    """n apiaries, D days; node 0 of `travel_min` is the base, node i + 1 is apiary i.

    Parameters
    ----------
    travel_min : array, shape (n + 1, n + 1)
        Driving between nodes [min].
    service_min : array, shape (n,)
        At the apiary in one visit [min].
    colonies : array, shape (n,)
        Colonies that draw on a day's charge in one visit.
    rounds : array, shape (n,)
        Visits in full.
    gap_days : array, shape (n, 2)
        Least and most days between successive visits.
    release_day : array, shape (n,)
        First day of the first visit.
    day_minutes, colonies_per_day : array, shape (D,)
        What a day holds: driving and service [min], colonies.
    lateness_cost : array, shape (n, D)
        Of a visit on that day.
    untreated_cost : array, shape (n,)
        Of an apiary left out.
    travel_cost_per_min : float
        Of driving, in the money of the other costs.
    close_day : array, shape (n,), optional
        Last day of the first visit; the last day of all when not given.
    """

    travel_min: Floats
    service_min: Floats
    colonies: Floats
    rounds: Ints
    gap_days: Ints
    release_day: Ints
    day_minutes: Floats
    colonies_per_day: Floats
    lateness_cost: Floats
    untreated_cost: Floats
    travel_cost_per_min: float
    close_day: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    def __post_init__(self) -> None:
        if self.close_day.size == 0 and self.n:
            object.__setattr__(self, "close_day", np.full(self.n, max(self.days - 1, 0), dtype=np.int64))
        _check_shapes(self)
        _check_values(self)

    @property
    def n(self) -> int:
        """Number of apiaries."""
        return len(self.service_min)

    @property
    def days(self) -> int:
        """Number of days, working or not."""
        return len(self.day_minutes)

    @classmethod
    def from_dict(cls, d: Mapping[str, Any]) -> VisitProblem:
        """Read plain data with the keys of the parameters; other keys are passed over.

        Raises
        ------
        ValidityError
            When a key is missing, a shape is wrong, a number is negative or not finite, or gaps contradict.
        """
        missing = [key for key in KEYS if key not in d]
        if missing:
            raise ValidityError(f"the visit problem must hold {', '.join(missing)}: add what is missing")
        shape = (len(d["service_min"]), -1) if len(d["service_min"]) else (0, len(d["day_minutes"]))
        return cls(
            travel_min=_floats("travel_min", d["travel_min"]),
            service_min=_floats("service_min", d["service_min"]),
            colonies=_floats("colonies", d["colonies"]),
            rounds=_ints("rounds", d["rounds"]),
            gap_days=_ints("gap_days", d["gap_days"]).reshape(-1, 2),
            release_day=_ints("release_day", d["release_day"]),
            day_minutes=_floats("day_minutes", d["day_minutes"]),
            colonies_per_day=_floats("colonies_per_day", d["colonies_per_day"]),
            lateness_cost=_floats("lateness_cost", d["lateness_cost"]).reshape(shape),
            untreated_cost=_floats("untreated_cost", d["untreated_cost"]),
            travel_cost_per_min=float(d["travel_cost_per_min"]),
            close_day=_ints("close_day", d.get("close_day", [])),
        )

    @classmethod
    def from_json(cls, path: Path | str) -> VisitProblem:
        """Read a file of plain data, as `from_dict`.

        Raises
        ------
        ValidityError
            When the file cannot be read as JSON, or as in `from_dict`.
        """
        try:
            plain = json.loads(Path(path).read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            raise ValidityError(f"{Path(path).name} cannot be read as a visit problem: {error}") from error
        if not isinstance(plain, dict):
            raise ValidityError(
                f"{Path(path).name} must hold one visit problem by its keys: got {type(plain).__name__}"
            )
        return cls.from_dict(plain)


@dataclass(frozen=True)
class Schedule:
    """The answer: days of visits by apiary index, its cost, and a cost no plan can beat.

    Parameters
    ----------
    visits : mapping of int to tuple of int
        Days of the visits of each apiary treated, first to last.
    cost : float
        As the problem counts it, with the shortest tours.
    bound : float
        Lower bound on the cost of any plan.
    """

    visits: Mapping[int, tuple[int, ...]]
    cost: float
    bound: float


def _floats(name: str, values: Any) -> Floats:
    return _array(name, values, np.float64)


def _ints(name: str, values: Any) -> Ints:
    whole = _array(name, values, np.float64)
    if not np.array_equal(whole, np.round(whole)):
        raise ValidityError(f"{name} must be whole numbers: got {_first(whole, whole != np.round(whole))}")
    return whole.astype(np.int64)


def _array(name: str, values: Any, dtype: type) -> NDArray[Any]:
    try:
        return np.ascontiguousarray(values, dtype=dtype)
    except (TypeError, ValueError) as error:
        raise ValidityError(f"{name} must be numbers in rows of one length: {error}") from error


def _check_shapes(p: VisitProblem) -> None:
    n, days = p.n, p.days
    shapes: dict[str, Sequence[int]] = {
        "travel_min": (n + 1, n + 1),
        "colonies": (n,),
        "rounds": (n,),
        "gap_days": (n, 2),
        "release_day": (n,),
        "close_day": (n,),
        "colonies_per_day": (days,),
        "lateness_cost": (n, days),
        "untreated_cost": (n,),
    }
    for name, shape in shapes.items():
        got = getattr(p, name).shape
        if got != tuple(shape):
            raise ValidityError(f"{name} must have shape {tuple(shape)} for {n} apiaries and {days} days: got {got}")


def _check_values(p: VisitProblem) -> None:
    for name in KEYS:
        values = np.asarray(getattr(p, name), dtype=float)
        bad = ~np.isfinite(values) | (values < 0)
        if bad.any():
            raise ValidityError(f"{name} must be finite and >= 0: got {_first(values, bad)}")
    if (p.rounds < 1).any():
        raise ValidityError(f"rounds must be >= 1: got {_first(p.rounds, p.rounds < 1)}")
    wrong = (p.gap_days[:, 0] < 1) | (p.gap_days[:, 0] > p.gap_days[:, 1])
    if wrong.any():
        i = int(np.argmax(wrong))
        raise ValidityError(
            f"gap_days[{i}] must be least <= most, both >= 1: got {p.gap_days[i].tolist()}; swap or mend them"
        )


def _first(values: NDArray[Any], bad: NDArray[np.bool_]) -> str:
    where = np.argwhere(np.atleast_1d(bad))[0].tolist()
    return f"{np.atleast_1d(values)[tuple(where)]!s} at {where}"
