"""What the season before left: the mites each hive went into this one with."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kit.records.season import Season as Span
from kit.season.posterior.evidence import readable
from kit.season.posterior.left import Left
from kit.season.units import ANY, ONE_DAY, Unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kit.records.records import Records
    from kit.season.reading import Reading, Season
    from kit.season.usual import Array

LEAST_APART = 0.1
"""No hive is known better than this against its neighbours [log mites]."""
LEAST_MITES = 0.5


class Remembered(NamedTuple):
    """What a season left."""

    label: int
    """Of the season."""
    log_mites: Mapping[tuple[str, str], Array]
    """Draws of the logarithm of a hive's mites on its last day, by apiary and colony ('': the average unnumbered)."""

    def left(self, units: Sequence[Unit], start: date) -> Left | None:
        """What is known of the mites of one apiary's units on the next season's first day; None when nothing is."""
        draws = [self._of(unit) if unit.first <= start and unit.scope != ANY else None for unit in units]
        known = [one for one in draws if one is not None]
        if not known:
            return None
        common = float(np.mean(known, axis=0).var())
        found = np.array([(np.nan, np.nan) if one is None else (one.mean(), one.var()) for one in draws])
        return Left(found[:, 0], np.sqrt(np.maximum(found[:, 1] - common, LEAST_APART**2)), float(np.sqrt(common)))

    def _of(self, unit: Unit) -> Array | None:
        """Of a hive; one that was moved meanwhile is known by its id."""
        same = [key for key in self.log_mites if unit.colony and key[1] == unit.colony]
        here = (unit.apiary, unit.colony)
        return self.log_mites.get(same[0] if here not in same and len(same) == 1 else here)


def year_before(records: Records) -> Records | None:
    """The same records, to be read for the year up to this season; None when nothing was counted then."""
    start = records.season.start
    first = date(start.year - 1, start.month, 28 if (start.month, start.day) == (2, 29) else start.day)
    then = replace(records, season=Span(records.season.label - 1, first, start - ONE_DAY))
    counted = any(readable(row) for row in then.in_season("counts").to_dict("records"))
    return then if counted else None


def remembered(label: int, season: Season) -> Remembered:
    """What a season as read left to the next; hives read count by count are not remembered."""
    by_law = [here for here in season.readings.values() if here.log_factor is None]
    return Remembered(label, {key: logs for here in by_law for key, logs in _left(here).items()})


def _left(here: Reading) -> dict[tuple[str, str], Array]:
    logs = np.log(np.maximum(here.mites[:, :, here.last].astype(float), LEAST_MITES))
    return {
        (unit.apiary, unit.colony): log
        for unit, log, there in zip(here.units, logs.T, here.standing(here.last), strict=True)
        if there and unit.scope != ANY
    }
