"""Splits and swarms as written down, and the days on which a hive raising a queen stands without capped brood.

Such a hive has no egg laid for about 24 days: its last brood has emerged by then, and what the young queen lays is
capped nine days later. Between the two an oxalic round meets nearly every mite.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from kit.constants import bees

if TYPE_CHECKING:
    from kit.records.records import Records

SPLIT, SWARM = "split", "swarm"
EMERGED_DAYS = int(bees.DRONE_UNCAPPED_DAYS.value + bees.DRONE_CAPPED_DAYS.value)
"""From the last egg to the last bee out of its cell [d]."""
CAPPED_DAYS = int(bees.QUEENLESS_DAYS.value + bees.WORKER_UNCAPPED_DAYS.value)
"""From losing the queen to the first capped cell of the next one [d]."""


class Raising(NamedTuple):
    """Hives that raise a queen since a day.

    Parameters
    ----------
    apiary : str
        Where they stand.
    colony : str
        The number where one is written, '' where not.
    kind : str
        split (the part without the queen) or swarm (what the swarm left).
    since : date
        Day of the split or swarm.
    hives : int
        How many; one where it is not written.
    """

    apiary: str
    colony: str
    kind: str
    since: date
    hives: int

    @property
    def named(self) -> str:
        """The colony's number, else how many hives they are."""
        return self.colony or ("1 hive" if self.hives == 1 else f"{self.hives} hives")


def free_days(first: date, last: date) -> tuple[date, date]:
    """First and last day on which no hive that lost its queen between two days has capped brood.

    Examples
    --------
    >>> [day.isoformat() for day in free_days(date(2026, 5, 20), date(2026, 5, 20))]
    ['2026-06-13', '2026-06-21']
    """
    return last + timedelta(days=EMERGED_DAYS), first + timedelta(days=CAPPED_DAYS - 1)


def raising(records: Records, kinds: Sequence[str] = (SPLIT, SWARM)) -> list[Raising]:
    """Every hive of `events` that raises a queen, of all seasons, by day."""
    stays, events = records.tables["colonies"], records.tables["events"]
    places = dict(zip(stays["colony"], stays["apiary"], strict=True))
    found = []
    for row in events[events["kind"].isin(kinds)].sort_values(["date", "kind"], kind="stable").to_dict("records"):
        name = str(row["to"] or row["from"]) if row["kind"] == SPLIT else str(row["from"])
        hives = 1 if row["hives"] != row["hives"] else int(row["hives"])
        apiary = str(places.get(name, name))
        found.append(Raising(apiary, name if name in places else "", str(row["kind"]), row["date"].date(), hives))
    return found
