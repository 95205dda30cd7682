"""One treatment wanted at one apiary, and what a label took away from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from kit.constants.treatment_words import OXALIC, STAYS_DAYS
from kit.plan.labels import IF_ALLOWED, Label
from kit.plan.programme.warmth import Warm

KNOWN = (*OXALIC, *STAYS_DAYS, "drone brood removal")
"""Words a plan can be made for."""
AFTER_CAGING = "when the caged queen is let out"
IN_SPLITS = "in the parts split off, before their new brood is capped"
"""Bases of rounds whose day hangs on another deed."""


class Reached(NamedTuple):
    """A day of a visit, and the share of the hives done by its end [1]."""

    day: date
    share: float


@dataclass(frozen=True)
class Begun:
    """What of a treatment is done in the season planned.

    Parameters
    ----------
    rounds : tuple of tuple of Reached
        Each visit's days; one may take several where an apiary is worked in parts.
    parts : int
        In which the apiary is worked.
    """

    rounds: tuple[tuple[Reached, ...], ...]
    parts: int = 1

    @classmethod
    def on(cls, *days: date) -> Begun:
        """Every hive done on each of the days."""
        return cls(tuple((Reached(day, 1.0),) for day in days))

    def at(self, part: int, parts: int) -> tuple[date, ...]:
        """Days on which a part was done: each when half of the part's hives were, the parts in their order."""
        half = (part - 0.5) / parts - 1e-9
        days = (next((one.day for one in visit if one.share >= half), None) for visit in self.rounds)
        return tuple(day for day in days if day is not None)

    def of_part(self, part: int, parts: int) -> Begun | None:
        """What is done at one part of the apiary, None where nothing is."""
        days = self.at(part, parts)
        return Begun.on(*days) if days else None

    @property
    def days(self) -> tuple[date, ...]:
        """Days on which the last part was done: what every part has had."""
        return self.at(self.parts, self.parts)

    @property
    def first(self) -> date:
        """The day it began."""
        return self.rounds[0][0].day

    @property
    def last(self) -> date:
        """The last day of all."""
        return self.rounds[-1][-1].day


@dataclass(frozen=True)
class Wanted:
    """One treatment at one apiary.

    Parameters
    ----------
    apiary, word, window, product : str
        Where, what, in which window of the year, with which product ('' when not recorded).
    rounds, allowed : int
        Rounds worked out, and those of them the calendar may hold.
    gaps : tuple of int
        Least and most days between visits.
    basis, grade : str
        Where rounds and interval are from.
    dose_g : float or None
        Oxalic crystals (OAD) a hive and round [g], never above the label's.
    amount : float or None
        Of another product a hive, in `unit`, never above the label's.
    unit : str
        Of the amount: strips, ml, trays, g.
    last_start : date or None
        First day of it last season.
    label : Label or None
        The entry it falls under.
    nth : int
        Which one of its kind in its window.
    warm : Warm or None
        Days on which it may begin for its whole stay to be warm enough; None for one that no range binds.
    begun : Begun or None
        What of it is done already.
    hives : int or None
        At how many of the apiary's hives; None for all.
    """

    apiary: str
    word: str
    window: str
    product: str
    rounds: int
    gaps: tuple[int, int]
    basis: str
    grade: str
    dose_g: float | None = None
    amount: float | None = None
    unit: str = ""
    last_start: date | None = None
    label: Label | None = None
    allowed: int = 0
    nth: int = 1
    warm: Warm | None = None
    begun: Begun | None = None
    hives: int | None = None

    def at(self, standing: int) -> int:
        """Hives it is for, of those standing."""
        return standing if self.hives is None else min(self.hives, standing)

    @property
    def placed(self) -> bool:
        """Whether it stays in the hive and must be taken out on another visit."""
        return self.word in STAYS_DAYS

    @property
    def visits(self) -> int:
        """Visits it still takes."""
        return (2 if self.placed else self.rounds) - self.done

    @property
    def key(self) -> tuple[str, str, str, int, int]:
        """What makes it the same treatment, begun or not."""
        return self.apiary, self.word, self.window, self.nth, self.rounds

    @property
    def done(self) -> int:
        """Visits that every part of the apiary has had."""
        return len(self.begun.days) if self.begun else 0

    @property
    def condition(self) -> str:
        """ "" or the words under which its later rounds stand."""
        return IF_ALLOWED if self.allowed < self.rounds else ""


@dataclass(frozen=True)
class Cut:
    """What a label took away, and the product that is planned instead of one it forbids ('' where none is)."""

    apiary: str
    treatment: str
    window: str
    what: str
    instead: str = ""
