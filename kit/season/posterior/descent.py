"""Hives split off in the season: until that day each was a part of another, and its mites were its parent's.

What decides how many mites there were on that day (mites at the start, growth, what was carried in, the rounds given)
is therefore read of the hive it was split from, by that hive's counts and its own together. Bees and brood, and all
that follows, are its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from kit.season.posterior.given import Given
from kit.season.splits import SPLIT
from kit.season.units import COLONY, ON_THE_ROAD, Unit

if TYPE_CHECKING:
    from kit.records.records import Records


class Birth(NamedTuple):
    """When a numbered colony was split off, and the colony it was a part of ('' where no number is written)."""

    parent: str
    on: date


class Split(NamedTuple):
    """A unit that was split off on a day, and the unit it comes from, the first of its line at this apiary."""

    part: int
    parent: int
    on: date


def births(records: Records, units: Sequence[Unit]) -> dict[str, Birth]:
    """By colony. One that stood there long before was not made by the split, whatever `events` says."""
    events = records.in_season("events")
    splits = events[events["kind"] == SPLIT].sort_values(["date", "from"], kind="stable").to_dict("records")
    first: dict[str, date] = {}
    for unit in units:
        if unit.scope == COLONY:
            first[unit.colony] = min(unit.first, first.get(unit.colony, unit.first))
    found: dict[str, Birth] = {}
    for row in splits:
        made, on = str(row["to"]), row["date"].date()
        if made in first and made not in found and first[made] >= on - ON_THE_ROAD:
            found[made] = Birth(str(row["from"]) if row["from"] in first else "", on)
    return found


def splits(born: Mapping[str, Birth], units: Sequence[Unit]) -> tuple[Split, ...]:
    """The units of one apiary that come from another unit of it."""
    at = {unit.colony: place for place, unit in enumerate(units) if unit.scope == COLONY}
    found = []
    for colony, part in at.items():
        first = _first_of_line(born, colony, at)
        if first != colony:
            found.append(Split(part, at[first], born[colony].on))
    return tuple(found)


def handed_down(doses: Sequence[Given], found: Sequence[Split]) -> list[Given]:
    """The rounds, those before a split given to the part as they were given to its parent."""
    return [_handed_down(one, found) for one in doses]


def _handed_down(one: Given, found: Sequence[Split]) -> Given:
    before = [split for split in found if one.dose.day < split.on]
    if not before:
        return one
    share = one.share.copy()
    for split in before:
        share[split.part] = one.share[split.parent]
    return replace(one, share=share)


def _first_of_line(born: Mapping[str, Birth], colony: str, at: Mapping[str, int]) -> str:
    while colony in born and born[colony].parent in at and _came_before(born, colony):
        colony = born[colony].parent
    return colony


def _came_before(born: Mapping[str, Birth], colony: str) -> bool:
    """Whether the colony it was split from stood before it: two that are written as made of each other do not."""
    parent, on = born[colony]
    return parent != colony and (parent not in born or born[parent].on < on)
