"""What the season before left: the mites each hive went into this one with."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

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
WRITTEN_WITHIN = timedelta(days=120)
"""An apiary first written about later in the year may have been treated before: what it left is not known."""
WRITTEN_IN = ("treatments", "counts", "visits", "inspections")


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
    """The same records, to be read for the year up to this season; None when nothing counted then can be built on."""
    start = records.season.start
    first = date(start.year - 1, start.month, 28 if (start.month, start.day) == (2, 29) else start.day)
    then = replace(records, season=Span(records.season.label - 1, first, start - ONE_DAY))
    whole = _written_throughout(then)
    counted = any(row["apiary"] in whole and readable(row) for row in then.in_season("counts").to_dict("records"))
    return then if counted else None


def remembered(then: Records, season: Season) -> Remembered:
    """What a year left to the next, from its records and as read.

    Hives read count by count are not remembered, nor those of an apiary that was not written about all year.
    """
    whole = _written_throughout(then)
    kept = [here for name, here in season.readings.items() if here.log_factor is None and name in whole]
    return Remembered(then.season.label, {key: logs for here in kept for key, logs in _left(here).items()})


def _written_throughout(then: Records) -> set[str]:
    """Apiaries whose records begin early in the year or before."""
    by = pd.Timestamp(then.season.start + WRITTEN_WITHIN)
    early = [table.loc[table["date"] <= by, "apiary"] for table in map(then.tables.__getitem__, WRITTEN_IN)]
    return set(pd.concat([*early, then.heads.loc[then.heads["date"] <= by, "apiary"]]))


def _left(here: Reading) -> dict[tuple[str, str], Array]:
    logs = np.log(np.maximum(here.mites[:, :, here.last].astype(float), LEAST_MITES))
    return {
        (unit.apiary, unit.colony): log
        for unit, log, there in zip(here.units, logs.T, here.standing(here.last), strict=True)
        if there and unit.scope != ANY
    }
