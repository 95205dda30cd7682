"""What each treatment did: its kill against the same hives without it, and what that figure rests on.

Efficacy = 100 × (1 − A/B): A mites 14 days after the treatment's last day as it happened, B the same draws of the
same hives on that day without this treatment and with everything else the same: A in whole mites, B as the law's mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple, cast

import numpy as np
import pandas as pd

from kit.calc.ranges import Band, band_of
from kit.constants import reading
from kit.records.corrections import in_force
from kit.season.loads import POINTS
from kit.season.posterior.evidence import day_of, readable
from kit.season.posterior.given import Given
from kit.season.reading import Reading, Season
from kit.season.rounds import last_in_place
from kit.season.units import ANY, last_day
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    "apiary", "colony", "scope", "hives", "treatment", "start", "end", "rounds",
    *(f"efficacy_{p}" for p in POINTS), "basis", "treatment_no", "counted",
]  # fmt: skip
NOT_KNOWN = Band(float("nan"), float("nan"), float("nan"))
BEFORE_DAYS = 45
AFTER_DAYS = 60
NEVER_LOOKED = "only the usual kill: no count before or after"


class Outcomes(NamedTuple):
    """The table, and draws of each apiary's kill by (apiary, treatment number) [%]."""

    table: pd.DataFrame
    draws: dict[tuple[str, int], Array]


class Treatment(NamedTuple):
    """All rounds of one word at one apiary."""

    apiary: str
    treatment: str
    number: int
    start: date
    end: date
    rounds: int


def treatments(rounds: pd.DataFrame, until: date) -> list[Treatment]:
    """The treatments of a `rounds` table, in order of apiary and start; an end never lies past `until`."""
    found = []
    for key, part in rounds.groupby(["apiary", "treatment_no"], sort=True):
        apiary, number = cast("tuple[str, int]", key)
        ends = [last_in_place(row, pd.Timestamp(until)) for row in part.to_dict("records")]
        word = str(part["treatment"].iloc[0])
        found.append(Treatment(apiary, word, int(number), part["date"].min().date(), max(ends).date(), len(part)))
    return found


def outcomes(records: Records, rounds: pd.DataFrame, season: Season) -> Outcomes:
    """One row for each treatment and hive that received it, and one for the apiary. `counted`: a count looked at it."""
    rows: list[list[Any]] = []
    draws: dict[tuple[str, int], Array] = {}
    for one in treatments(rounds, last_day(records)):
        here = season.readings.get(one.apiary)
        if here is not None:
            compared = _compared(here, one)
            looked = _looked(records, one.apiary)
            rows += _hives(looked, here, compared) + _whole(looked, here, compared)
            if compared.mine and compared.weights.sum() > 0:
                draws[one.apiary, one.number] = compared.kill_pct
    table = pd.DataFrame(rows, columns=COLUMNS)
    table[["start", "end"]] = table[["start", "end"]].apply(pd.to_datetime)
    return Outcomes(table.astype({"counted": bool}), draws)


class Compared(NamedTuple):
    """One treatment at one apiary, as it happened and without it.

    `mine`: its rounds that have a usual kill. `short`: judged less than 14 days after its end. `got`: rounds each hive
    received, shape (units,). `with_it`, `without`: mites when judged, shape (draws, units). `weights`: hives each unit
    stands for among those treated, shape (units,).
    """

    one: Treatment
    mine: Sequence[Given]
    short: bool
    got: Array
    with_it: Array
    without: Array
    weights: Array

    @property
    def kill_pct(self) -> Array:
        """Kill over all hives treated, shape (draws,) [%]."""
        return np.asarray(100 * (1 - self.with_it @ self.weights / (self.without @ self.weights)))


def _compared(here: Reading, one: Treatment) -> Compared:
    mine = [each for each in here.given if each.treatment_no == one.number]
    due = here.usual.index(one.end) + int(reading.JUDGED_AFTER_DAYS.value)
    judged = min(due, here.last)
    got = _received(here, one, mine)
    without = here.law(without=one.number).mites if mine else here.mites
    weights = here.weights * (got > 0)
    with_it, bare = (values[:, :, judged].astype(float) for values in (here.mites, without))
    return Compared(one, mine, judged < due, got, with_it, bare, weights)


def _hives(looked: Looked, here: Reading, it: Compared) -> list[list[Any]]:
    rows = []
    for n, unit in enumerate(here.units):
        if it.got[n] == 0 or unit.scope == ANY:
            continue
        kill = band_of(100 * (1 - it.with_it[:, n] / it.without[:, n])) if it.mine else NOT_KNOWN
        who = (unit.colony, unit.scope, unit.hives, it.got[n])
        rows.append(_row(it.one, who, kill, _basis(looked, it, frozenset({unit.colony}))))
    return rows


def _whole(looked: Looked, here: Reading, it: Compared) -> list[list[Any]]:
    if it.weights.sum() == 0:
        return []
    kill = band_of(it.kill_pct) if it.mine else NOT_KNOWN
    hives = float(np.sum([u.hives for u, treated in zip(here.units, it.weights, strict=True) if treated > 0]))
    who = ("", "apiary", hives, it.one.rounds)
    return [_row(it.one, who, kill, _basis(looked, it, frozenset(u.colony for u in here.units)))]


def _row(one: Treatment, who: tuple[Any, ...], kill: Band, basis: tuple[str, bool]) -> list[Any]:
    colony, scope, hives, rounds = who
    dates = (one.treatment, one.start, one.end)
    return [one.apiary, colony, scope, hives, *dates, rounds, *kill, basis[0], one.number, basis[1]]


def _received(here: Reading, one: Treatment, mine: Sequence[Given]) -> Array:
    """Rounds that each unit received; a hive gone before the first round received none."""
    there = np.array([u.stood_between(one.start, one.end) for u in here.units])
    if mine:
        return np.asarray(there * np.array([each.share > 0 for each in mine]).sum(axis=0), dtype=float)
    return np.asarray(there * float(one.rounds), dtype=float)


def _basis(looked: Looked, it: Compared, colonies: frozenset[str]) -> tuple[str, bool]:
    """What a kill rests on, in words, and whether any count of these colonies ('' a nameless tray) looked at it."""
    days = [on for on, colony in looked.counts if colony in colonies]
    before = sum(-BEFORE_DAYS < (on - it.one.start).days <= 0 for on in days)
    during = sum(it.one.start < on <= it.one.end for on in days)
    after = sum(0 < (on - it.one.end).days <= AFTER_DAYS for on in days)
    if not it.mine:
        words = "no usual kill is known for this treatment"
    elif not (before or during or after):
        words = "the usual kill, moved by counts elsewhere: none here" if looked.elsewhere else NEVER_LOOKED
    else:
        words = _seen(before, during, after)
    followed = any(0 < (on - it.one.end).days <= AFTER_DAYS for on in looked.follow_ups)
    follow = " and a follow-up round" if followed and after else ""
    late = ", judged on the last day read, less than 14 days after it" if it.short else ""
    return words + follow + late, bool(during or after) and bool(it.mine)


def _seen(before: int, during: int, after: int) -> str:
    if before and after:
        return f"counts before and after ({before} before, {after + during} after its start)"
    if before and during:
        return f"counts before it and boards of its dead ({before} and {during})"
    if after or during:
        return f"counts after its start only ({after + during}): the start is taken from growth"
    return f"only the usual kill: {before} counts before, none after"


class Looked(NamedTuple):
    """Usable counts of one apiary as (day, colony), days of follow-up rounds, and whether others were counted."""

    counts: list[tuple[date, str]]
    follow_ups: list[date]
    elsewhere: bool


def _looked(records: Records, apiary: str) -> Looked:
    counts = records.in_season("counts")
    mine = counts[counts["apiary"] == apiary].to_dict("records")
    given = in_force(records.tables["treatments"])
    again = given.loc[(given["apiary"] == apiary) & (given["follow_up"] == "yes"), "date"]
    here = [(day_of(row), str(row["colony"])) for row in mine if readable(row)]
    return Looked(here, [day.date() for day in again], elsewhere=len(counts) > len(mine))
