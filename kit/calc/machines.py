"""Machines compared: one that holds its heat against one that cools between hives."""

from dataclasses import dataclass
from typing import NamedTuple

from kit.checks import not_negative, positive
from kit.constants import Constant
from kit.constants import effort as k


@dataclass(frozen=True)
class Machine:
    """A way to sublimate, by its time and money.

    Parameters
    ----------
    name : str
        As a reader would call it.
    minutes_per_colony : float
        Hands-on, sealing included [min].
    minutes_per_visit : float
        Set-up, warm-up and packing [min].
    outlay : float
        Machine and supply [currency].
    life_years : float
        Before it is worn out [years].
    people : int
        Who work.

    Raises
    ------
    ValidityError
        Minutes or life not above zero, or a negative outlay.
    """

    name: str
    minutes_per_colony: float
    minutes_per_visit: float
    outlay: float
    life_years: float = k.MACHINE_LIFE_YEARS.value
    people: int = 1

    def __post_init__(self) -> None:
        positive("minutes_per_colony", self.minutes_per_colony)
        positive("life_years", self.life_years)
        not_negative("minutes_per_visit", self.minutes_per_visit)
        not_negative("outlay", self.outlay)


def holds_heat() -> Machine:
    """A continuously heated sublimator with its inverter, by the trade's usual."""
    a_hive = k.SEAL_MIN.value + k.DOSE_MIN.value + k.UNSEAL_MIN.value
    return Machine("holds its heat", a_hive, k.SET_UP_MIN.value + k.PACK_MIN.value, k.HEATED_OUTLAY.value)


def cools_between() -> Machine:
    """A pan heated from cold in each hive and cooled before the next, by the trade's usual."""
    a_hive = k.SEAL_MIN.value + k.PAN_HEAT_MIN.value + k.PAN_COOL_MIN.value + k.UNSEAL_MIN.value
    return Machine("cools between hives", a_hive, k.SET_UP_MIN.value + k.PACK_MIN.value, k.PAN_OUTLAY.value)


class Costs(NamedTuple):
    """What a machine costs in a year.

    Parameters
    ----------
    hours : float
        Person-hours at the hives [h].
    money : float
        Those hours and the outlay's share of a year [currency].
    per_treatment : float
        For each colony and round [currency].
    colonies_per_day : float
        In the working hours of a day at the hives.
    """

    hours: float
    money: float
    per_treatment: float
    colonies_per_day: float


def costs(
    machine: Machine, *, colonies: int, rounds: float, colonies_per_visit: float, labour_per_hour: float, hours: float
) -> Costs:
    """Hours and money of a year's rounds with a machine.

    Parameters
    ----------
    machine : Machine
        By its time and money.
    colonies : int
        Treated each round.
    rounds : float
        In a year [1].
    colonies_per_visit : float
        On average [1].
    labour_per_hour : float
        [currency/h].
    hours : float
        At the hives in a day [h].

    Returns
    -------
    Costs
        Of a year.

    Raises
    ------
    ValidityError
        A number not above zero.
    """
    for name, value in (("colonies", colonies), ("rounds", rounds), ("colonies_per_visit", colonies_per_visit)):
        positive(name, value)
    each_min = machine.minutes_per_colony + machine.minutes_per_visit / colonies_per_visit
    worked_h = colonies * rounds * each_min / 60 * machine.people
    money = worked_h * labour_per_hour + machine.outlay / machine.life_years
    return Costs(worked_h, money, money / (colonies * rounds), 60 * positive("hours", hours) / each_min)


def break_even_colonies(
    dear: Machine, cheap: Machine, *, rounds: float, labour_per_hour: float, colonies_per_visit: float
) -> float:
    """Colonies from which the dearer machine pays by the time it saves.

    Parameters
    ----------
    dear, cheap : Machine
        The first costs more and works faster.
    rounds : float
        In a year [1].
    labour_per_hour : float
        [currency/h].
    colonies_per_visit : float
        On average [1].

    Returns
    -------
    float
        Infinite when it saves no time, zero when it costs no more [1].

    Examples
    --------
    >>> round(break_even_colonies(holds_heat(), cools_between(), rounds=3, labour_per_hour=15, colonies_per_visit=12))
    38
    """
    year = dear.outlay / dear.life_years - cheap.outlay / cheap.life_years
    minutes = [
        m.people * (m.minutes_per_colony + m.minutes_per_visit / positive("colonies_per_visit", colonies_per_visit))
        for m in (dear, cheap)
    ]
    saved = (minutes[1] - minutes[0]) / 60 * positive("labour_per_hour", labour_per_hour) * positive("rounds", rounds)
    if year <= 0:
        return 0.0
    return year / saved if saved > 0 else float("inf")


class BreakEvenSwing(NamedTuple):
    """What one input does to the break-even while the others stay at their usual.

    Parameters
    ----------
    what : str
        The input.
    low, high : float
        Its range [its unit].
    colonies_at_low, colonies_at_high : float
        Break-even [1].
    """

    what: str
    low: float
    high: float
    colonies_at_low: float
    colonies_at_high: float


def break_even_sensitivity(
    *,
    labour_per_hour: float,
    colonies_per_visit: float,
    pace: float = 1.0,
    rounds: float | None = None,
    outlay: float | None = None,
) -> tuple[BreakEvenSwing, ...]:
    """Which input moves the break-even of the two machines most.

    Parameters
    ----------
    labour_per_hour : float
        [currency/h].
    colonies_per_visit : float
        On average [1].
    pace : float
        Own minutes over the trade's usual ones, for both machines [1].
    rounds : float, optional
        In a year; the trade's usual without it [1].
    outlay : float, optional
        Of the machine that holds its heat; the trade's usual without it [currency].

    Returns
    -------
    tuple of BreakEvenSwing
        Largest first; rounds and outlay keep their relative range about the middle given.
    """
    middles = {n: c.value for n, c in _RANGES.items()}
    middles |= {n: v for n, v in (("rounds", rounds), ("outlay", outlay)) if v is not None}
    positive("pace", pace)
    positive("colonies_per_visit", colonies_per_visit)

    def even(**changed: float) -> float:
        usual = middles | {"labour": labour_per_hour} | changed
        slow = pace * (usual["pan heating"] + usual["pan cooling"] - usual["dosing"])
        year = max(usual["outlay"] - k.PAN_OUTLAY.value, 0.0) / usual["life"]
        return year / (slow / 60 * usual["labour"] * usual["rounds"]) if slow > 0 else float("inf")

    ranges = {n: (c.low * middles[n] / c.value, c.high * middles[n] / c.value) for n, c in _RANGES.items()}
    ranges |= {"labour": (labour_per_hour / 2, labour_per_hour * 2)}
    swings = [BreakEvenSwing(n, low, high, even(**{n: low}), even(**{n: high})) for n, (low, high) in ranges.items()]
    return tuple(sorted(swings, key=lambda s: -abs(s.colonies_at_high - s.colonies_at_low)))


_RANGES: dict[str, Constant] = {
    "pan heating": k.PAN_HEAT_MIN,
    "pan cooling": k.PAN_COOL_MIN,
    "dosing": k.DOSE_MIN,
    "outlay": k.HEATED_OUTLAY,
    "life": k.MACHINE_LIFE_YEARS,
    "rounds": k.ROUNDS_PER_YEAR,
}
