"""What each treatment did: its kill against the same hives without it, and what that figure rests on.

Efficacy = 100 × (1 − A/B): A mites 14 days after the treatment's last day as it happened, B the same draws of the same hives on that day
without this treatment and with everything else the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.ranges import Band, band_of
from kit.constants import reading
from kit.season.evidence import readable
from kit.season.kills import Kill
from kit.season.loads import POINTS, Reading, Season
from kit.season.rounds import last_in_place
from kit.season.units import ANY, COLONY
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.load import Records

COLUMNS = [
    "apiary", "colony", "scope", "hives", "treatment", "start", "end", "rounds",
    *(f"efficacy_{p}" for p in POINTS), "basis", "treatment_no", "counted",
]  # fmt: skip
NOT_KNOWN = Band(float("nan"), float("nan"), float("nan"))
BEFORE_DAYS = 45
AFTER_DAYS = 60


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
    for (apiary, number), part in rounds.groupby(["apiary", "treatment_no"], sort=True):
        ends = [last_in_place(row, pd.Timestamp(until)) for row in part.to_dict("records")]
        word = str(part["treatment"].iloc[0])
        found.append(Treatment(str(apiary), word, int(number), part["date"].min().date(), max(ends).date(), len(part)))
    return found


def efficacy(records: Records, rounds: pd.DataFrame, season: Season) -> pd.DataFrame:
    """One row for each treatment and hive that received it, and one for the apiary. `counted`: a count looked at it."""
    until = season.usual.start + timedelta(days=max(r.last for r in season.readings.values()) if season.readings else 0)
    rows: list[list[Any]] = []
    for one in treatments(rounds, until):
        here = season.readings.get(one.apiary)
        if here is not None:
            rows += _rows(records, rounds, here, one)
    table = pd.DataFrame(rows, columns=COLUMNS)
    table[["start", "end"]] = table[["start", "end"]].apply(pd.to_datetime)
    return table.astype({"counted": bool})


def _rows(records: Records, rounds: pd.DataFrame, here: Reading, one: Treatment) -> list[list[Any]]:
    mine = [kill for kill in here.latent.kills if kill.treatment_no == one.number]
    judged = min(here.usual.index(one.end) + int(reading.JUDGED_AFTER_DAYS.value), here.last)
    short = judged < here.usual.index(one.end) + reading.JUDGED_AFTER_DAYS.value
    got = _received(records, rounds, here, one, mine)
    with_it, without = _both(here, one, judged)
    rows = []
    for n, unit in enumerate(here.units):
        if got[n] == 0 or unit.scope == ANY:
            continue
        share = band_of(100 * (1 - with_it[:, n] / without[:, n])) if mine else NOT_KNOWN
        basis, counted = _basis(records, here, one, [n], short, bool(mine))
        rows.append(
            [
                one.apiary,
                unit.colony,
                unit.scope,
                unit.hives,
                *one[1:2],
                one.start,
                one.end,
                got[n],
                *share,
                basis,
                one.number,
                counted,
            ]
        )
    return rows + _whole(records, here, one, (with_it, without, got, short, bool(mine)))


def _whole(
    records: Records, here: Reading, one: Treatment, parts: tuple[Array, Array, Array, bool, bool]
) -> list[list[Any]]:
    with_it, without, got, short, known = parts
    weights = here.weights * (got > 0)
    if weights.sum() == 0:
        return []
    share = band_of(100 * (1 - with_it @ weights / (without @ weights))) if known else NOT_KNOWN
    basis, counted = _basis(records, here, one, range(len(here.units)), short, known)
    hives = float(np.sum([u.hives for u, taken in zip(here.units, weights, strict=True) if taken > 0]))
    return [
        [
            one.apiary,
            "",
            "apiary",
            hives,
            one.treatment,
            one.start,
            one.end,
            one.rounds,
            *share,
            basis,
            one.number,
            counted,
        ]
    ]


def _both(here: Reading, one: Treatment, judged: int) -> tuple[Array, Array]:
    return here.mites[:, :, judged], here.rerun(without=one.number)[:, :, judged]


def _received(records: Records, rounds: pd.DataFrame, here: Reading, one: Treatment, mine: Sequence[Kill]) -> Array:
    """Rounds that each unit received; a hive gone before the first round received none."""
    there = np.array([u.first <= one.end and u.last >= one.start for u in here.units])
    if mine:
        return there * np.array([kill.share > 0 for kill in mine]).sum(axis=0)
    return there * float(one.rounds)


def _basis(
    records: Records, here: Reading, one: Treatment, units: Sequence[int], short: bool, known: bool
) -> tuple[str, bool]:
    """What a kill rests on, in words, and whether any count looked at it."""
    before, during, after = (_counted(records, here, one, units, when) for when in ("before", "during", "after"))
    if not known:
        words = "no usual kill is known for this treatment"
    elif not (before or during or after):
        words = "only the usual kill: no count before or after"
    else:
        words = _seen(before, during, after)
    follow = " and a follow-up round" if _followed(records, one) and after else ""
    late = ", judged on the last day read, less than 14 days after it" if short else ""
    return words + follow + late, bool(during or after) and known


def _seen(before: int, during: int, after: int) -> str:
    if before and after:
        return f"counts before and after ({before} before, {after + during} after its start)"
    if before and during:
        return f"counts before it and boards of its dead ({before} and {during})"
    if after or during:
        return f"counts after its start only ({after + during}): the start is taken from growth"
    return f"only the usual kill: {before} counts before, none after"


def _counted(records: Records, here: Reading, one: Treatment, units: Sequence[int], when: str) -> int:
    """Usable counts of these units that were taken before, during or after a treatment."""
    counts = records.in_season("counts")
    counts = counts[counts["apiary"] == one.apiary]
    named = {u.colony for n, u in enumerate(here.units) if n in set(units) and u.scope == COLONY}
    nameless = any(here.units[n].scope != COLONY for n in units)
    mine = counts["colony"].isin(named) | (nameless & (counts["colony"] == ""))
    start, end = pd.Timestamp(one.start), pd.Timestamp(one.end)
    window = {
        "before": (counts["date"] > start - pd.Timedelta(days=BEFORE_DAYS)) & (counts["date"] <= start),
        "during": (counts["date"] > start) & (counts["date"] <= end),
        "after": (counts["date"] > end) & (counts["date"] <= end + pd.Timedelta(days=AFTER_DAYS)),
    }[when]
    return sum(readable(row) for row in counts[mine & window].to_dict("records"))


def _followed(records: Records, one: Treatment) -> bool:
    given = records.tables["treatments"]
    later = (given["date"] > pd.Timestamp(one.end)) & (
        given["date"] <= pd.Timestamp(one.end) + pd.Timedelta(days=AFTER_DAYS)
    )
    return bool(((given["apiary"] == one.apiary) & later & (given["follow_up"] == "yes")).any())
