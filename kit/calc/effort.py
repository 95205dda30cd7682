"""Minutes of a visit: the closed form, and order of work. `kit.calc.timeline` lays the same visit out as bars.

Hives are sealed and treated in groups; the seal stays on some minutes after a group's last dose, while the next group
is sealed and dosed. Two groups are closed at most at any time.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from kit.checks import not_negative, positive
from kit.constants import effort as k
from kit.constants import heat
from kit.errors import ValidityError

CLOSED_AT_ONCE = 2
"""Groups sealed at any one time: seals and trays for two."""


@dataclass(frozen=True)
class Pace:
    """Minutes of each piece of a sublimation visit.

    Parameters
    ----------
    set_up_min, pack_min : float
        Before and after [min].
    warm_up_min : float
        The machine, beside sealing the first group [min].
    seal_min, dose_min, unseal_min : float
        One hive, one pair of hands [min].
    sealed_min : float
        The seal stays on after a group's last dose [min].

    Raises
    ------
    ValidityError
        A negative number, or a dose that takes no time.
    """

    set_up_min: float = k.SET_UP_MIN.value
    pack_min: float = k.PACK_MIN.value
    warm_up_min: float = heat.WARM_UP_S.value / 60
    seal_min: float = k.SEAL_MIN.value
    dose_min: float = k.DOSE_MIN.value
    unseal_min: float = k.UNSEAL_MIN.value
    sealed_min: float = k.SEALED_MIN.value

    def __post_init__(self) -> None:
        for name in ("set_up_min", "pack_min", "warm_up_min", "seal_min", "unseal_min", "sealed_min"):
            not_negative(name, getattr(self, name))
        positive("dose_min", self.dose_min)

    @property
    def per_colony_min(self) -> float:
        """Hands-on minutes of one hive [min]."""
        return self.seal_min + self.dose_min + self.unseal_min


@dataclass(frozen=True)
class Crew:
    """Who and what works.

    Parameters
    ----------
    people : int
        Each with mask, fit test and insurance.
    machines : int
        Sublimators in use.
    group_size : int
        Hives sealed and treated as one group.

    Raises
    ------
    ValidityError
        A number below one.
    """

    people: int = 1
    machines: int = 1
    group_size: int = int(k.GROUP_SIZE.value)

    def __post_init__(self) -> None:
        for name in ("people", "machines", "group_size"):
            if getattr(self, name) < 1:
                raise ValidityError(f"{name} must be >= 1: got {getattr(self, name)!r}")


class VisitMinutes(NamedTuple):
    """A visit split into its stretches [min]."""

    carrying: float
    setting_up: float
    treating: float
    waiting: float
    packing: float

    @property
    def total(self) -> float:
        """From leaving the vehicle to being back at it [min]."""
        return sum(self)


def visit_minutes(
    colonies: int, *, carry_min: float = 0.0, pace: Pace | None = None, crew: Crew | None = None
) -> VisitMinutes:
    r"""Length of a sublimation visit in closed form.

    .. math::
        t = 2 t_{carry} + t_{up} + t_{warm}' + \left\lfloor\tfrac{G-1}{2}\right\rfloor \max(L, 2 g w)
        + [G\ \text{even}]\, g w' + L_{last} + t_{pack}

    `G` groups of `g` hives; `w` the hands-on minutes one more hive adds and `w'` those without opening; `L` the minutes
    from a group's first seal to its last hive opened; `t_warm'` what sealing leaves of the warm-up.

    Parameters
    ----------
    colonies : int
        To treat.
    carry_min : float
        Vehicle to hives, one way; 0 where the vehicle stands at the hives [min].
    pace : Pace, optional
        Minutes of each piece; defaults of `kit.constants.effort`.
    crew : Crew, optional
        People, machines and group size; one, one and four by default.

    Returns
    -------
    VisitMinutes
        `.total` is the whole [min]; all zero without a colony.

    Raises
    ------
    ValidityError
        A negative number.

    Notes
    -----
    A machine needs a pair of hands, so no more machines work than people. What is idle between groups counts as
    waiting. The simulation of `kit.calc.timeline` is its check.

    Examples
    --------
    >>> round(visit_minutes(20).total)
    84
    """
    pace, crew = pace or Pace(), crew or Crew()
    not_negative("colonies", colonies)
    not_negative("carry_min", carry_min)
    if colonies == 0:
        return VisitMinutes(0.0, 0.0, 0.0, 0.0, 0.0)
    sealed_first = min(CLOSED_AT_ONCE * crew.group_size, colonies)
    warming = max(0.0, pace.warm_up_min - sealed_first * pace.seal_min / crew.people)
    hands_on = colonies * minutes_a_hive(pace, crew)
    at_hives = _at_hives_min(colonies, pace, crew)
    return VisitMinutes(
        2 * carry_min, pace.set_up_min + warming, hands_on, max(at_hives - hands_on, 0.0), pace.pack_min
    )


def minutes_a_hive(pace: Pace, crew: Crew) -> float:
    """Minutes one more hive adds: hands or machines, whichever are scarcer.

    Parameters
    ----------
    pace : Pace
        Minutes of each piece.
    crew : Crew
        People and machines.

    Returns
    -------
    float
        [min].
    """
    return max(pace.dose_min / min(crew.machines, crew.people), pace.per_colony_min / crew.people)


def _at_hives_min(colonies: int, pace: Pace, crew: Crew) -> float:
    """From the first seal to the last hive opened: pairs of groups, a single one, and the last group's whole course."""
    groups = math.ceil(colonies / crew.group_size)
    last = colonies - (groups - 1) * crew.group_size
    a_hive = minutes_a_hive(pace, crew)
    pairs, single = divmod(groups - 1, CLOSED_AT_ONCE)
    two_groups = max(_group_min(crew.group_size, pace, crew), CLOSED_AT_ONCE * crew.group_size * a_hive)
    closing = crew.group_size * (a_hive - pace.unseal_min / crew.people)
    return pairs * two_groups + single * closing + _group_min(last, pace, crew)


def _group_min(hives: int, pace: Pace, crew: Crew) -> float:
    """From a group's first seal to its last hive opened."""
    dosing = pace.dose_min / min(crew.machines, crew.people)
    return hives * (pace.seal_min / crew.people + dosing + pace.unseal_min / crew.people) + pace.sealed_min


def colonies_in(minutes: float, *, carry_min: float = 0.0, pace: Pace | None = None, crew: Crew | None = None) -> int:
    """Most colonies that fit into a visit of so many minutes.

    Parameters
    ----------
    minutes : float
        From leaving the vehicle to being back at it [min].
    carry_min, pace, crew
        As for `visit_minutes`.

    Returns
    -------
    int
        0 when not even one fits.
    """
    pace, crew = pace or Pace(), crew or Crew()
    most = int(minutes / minutes_a_hive(pace, crew))
    fits = (
        n for n in range(most, 0, -1) if visit_minutes(n, carry_min=carry_min, pace=pace, crew=crew).total <= minutes
    )
    return next(fits, 0)


def downwind_first(positions: Sequence[tuple[float, float]], *, wind_from_deg: float) -> tuple[int, ...]:
    """Order of work that keeps the vapour behind: the downwind end first, then towards the wind.

    Parameters
    ----------
    positions : sequence of (east, north)
        Of the hives, in any one unit of length.
    wind_from_deg : float
        Where the wind comes from, north 0, east 90 [deg].

    Returns
    -------
    tuple of int
        Indices of `positions` in order of work.

    Examples
    --------
    >>> downwind_first([(0, 0), (5, 0), (10, 0)], wind_from_deg=90)
    (0, 1, 2)
    """
    east, north = math.sin(math.radians(wind_from_deg)), math.cos(math.radians(wind_from_deg))
    towards_wind = [x * east + y * north for x, y in positions]
    return tuple(sorted(range(len(positions)), key=lambda i: (round(towards_wind[i], 9), i)))
