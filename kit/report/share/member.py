"""One member's pack in short: the few numbers a pool needs of it, so that thousands fit into memory."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, cast

from kit.report.share.cells import Columns
from kit.report.share.form import ALL, COUNTED, OTHER
from kit.report.share.places import region_of
from kit.report.share.reading import Read, RefusedError, read_content

POINTS = 2 * 1.6448536269514722
"""Standard errors from the 5 to the 95 % point of a normal distribution."""
LEAST_LOAD = 1e-3
"""Mites per 100 bees below which no load is told from none."""
LEAST_KILL, MOST_KILL = 0.5, 99.5
"""Between these a kill is put on the logit scale [%]."""


class Estimate(NamedTuple):
    """A value on the scale it is pooled on, and its standard error."""

    value: float
    error: float


class Late(NamedTuple):
    """An apiary's weeks late, the word for its access, and what its winter took."""

    weeks_late: float
    access: str
    wintered: int
    lost: int


@dataclass(frozen=True)
class Member:
    """What is kept of a pack.

    Parameters
    ----------
    operation, number, week, digest
        Its marks.
    place : str
        Square of 1 degree, '' when not told.
    hives, apiaries, counted : int
        Hives, apiaries, and those in which mites were counted.
    wintered, lost : int or None
        None where not told.
    causes : mapping
        Cause to hives lost to it.
    weeks : mapping
        ISO week to the log of mites per 100 bees.
    kills : mapping
        Treatment to the logit of its kill, from treatments a count looked at.
    late : tuple of Late
        Of each apiary told.
    hours : mapping
        Task to hours a hive.
    doses : mapping
        Treatment to rounds a hive, empty where not ticked.
    exact : bool
        Hives as counted, not in classes.
    season : int
        Start year.
    """

    operation: str
    number: int
    week: str
    digest: str
    place: str
    hives: int
    apiaries: int
    counted: int
    wintered: int | None
    lost: int | None
    causes: dict[str, int]
    weeks: dict[str, Estimate]
    kills: dict[str, Estimate]
    late: tuple[Late, ...]
    hours: dict[str, float]
    doses: dict[str, float]
    exact: bool = False
    season: int = 0


def member_of(pack: Read) -> Member:
    """The pack in short."""
    tables, one = pack.tables, {name: cells[0] for name, cells in pack.tables["operation"].items()}
    whole = _whole_losses(tables.get("losses"))
    wintered, lost = whole.pop(ALL, (None, None))
    return Member(
        operation=pack.operation,
        number=pack.number,
        week=pack.week,
        digest=pack.digest,
        place=region_of(str(one["place"])),
        hives=_count(one["hives"]),
        apiaries=_count(one["apiaries"]),
        counted=_count(one["counted"]),
        wintered=wintered,
        lost=lost,
        causes={cause: dead or 0 for cause, (_, dead) in whole.items()},
        weeks=_weeks(tables),
        kills=_kills(tables.get("kills")),
        late=tuple(_late(tables)),
        hours=_a_hive(pack, "effort", "task", "hours"),
        doses=_a_hive(pack, "doses", "treatment", "doses"),
        exact=pack.exact,
        season=pack.season,
    )


def told_by(content: bytes | str) -> Member | str:
    """What the bytes of a pack tell, or why it is refused; a refusal stays one."""
    try:
        return content if isinstance(content, str) else member_of(read_content(content))
    except RefusedError as error:
        return str(error)


def rows_of(columns: Columns | None) -> list[dict[str, Any]]:
    """A table row by row; nothing where it was not sent."""
    if not columns:
        return []
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def combined(estimates: Sequence[Estimate]) -> Estimate:
    """A member's own estimates of one thing as one: their mean, no surer than the surest of them.

    Apiaries of one keeper share weather, product and hands; the error of a mean of independent ones would promise more.
    """
    weights = [1 / one.error**2 for one in estimates]
    mean = sum(w * one.value for w, one in zip(weights, estimates, strict=True)) / sum(weights)
    spread = math.sqrt(
        sum(w * (one.value - mean) ** 2 for w, one in zip(weights, estimates, strict=True)) / sum(weights)
    )
    return Estimate(mean, math.hypot(min(one.error for one in estimates), spread / math.sqrt(len(estimates))))


def logit(pct: float) -> float:
    """Log odds of a share [%], kept away from none and all."""
    share = min(max(pct, LEAST_KILL), MOST_KILL) / 100
    return math.log(share / (1 - share))


def _whole_losses(losses: Columns | None) -> dict[str, tuple[int | None, int | None]]:
    return {
        row["cause"]: (_count(row["wintered"]), _count(row["lost"]))
        for row in rows_of(losses)
        if row["apiary"] == ALL and not math.isnan(row["wintered"] + row["lost"]) and row["wintered"] > 0
    }


def _weeks(tables: dict[str, Columns]) -> dict[str, Estimate]:
    """The mean hive of the operation by week: points averaged by hives, as if all apiaries were wrong the same way."""
    hives = {row["apiary"]: row["hives"] for row in rows_of(tables.get("apiaries"))}
    sums: dict[str, list[float]] = {}
    names = ("per_100_bees_p05", "per_100_bees_p50", "per_100_bees_p95")
    columns = tables.get("loads")
    cells = zip(columns["apiary"], columns["week"], *(columns[n] for n in names), strict=True) if columns else ()
    for apiary, week, *points in cells:
        weight = hives.get(apiary, 1.0)
        if weight > 0 and not any(math.isnan(cast(float, p)) for p in points):
            held = sums.setdefault(cast(str, week), [0.0] * 4)
            for at, value in enumerate([weight, *(weight * cast(float, point) for point in points)]):
                held[at] += value
    return {week: _log_estimate(*(point / held[0] for point in held[1:])) for week, held in sums.items()}


def _log_estimate(low: float, middle: float, high: float) -> Estimate:
    logs = [math.log(max(point, LEAST_LOAD)) for point in (low, middle, high)]
    return Estimate(logs[1], max((logs[2] - logs[0]) / POINTS, 0.05))


def _kills(kills: Columns | None) -> dict[str, Estimate]:
    by_word: dict[str, list[Estimate]] = {}
    for row in rows_of(kills):
        points = [row[f"efficacy_{end}"] for end in ("p05", "p50", "p95")]
        if row["basis"] == COUNTED and not any(math.isnan(point) for point in points):
            low, middle, high = (logit(point) for point in points)
            by_word.setdefault(row["treatment"], []).append(Estimate(middle, max((high - low) / POINTS, 0.05)))
    return {word: combined(found) for word, found in by_word.items() if word}


def _late(tables: dict[str, Columns]) -> list[Late]:
    access = {row["apiary"]: row["access"] for row in rows_of(tables.get("apiaries"))}
    lost = {row["apiary"]: row for row in rows_of(tables.get("losses")) if row["cause"] == ALL and row["apiary"] != ALL}
    found = []
    for row in rows_of(tables.get("timing")):
        winter = lost.get(row["apiary"])
        if (
            winter
            and not math.isnan(row["weeks_late"] + winter["wintered"] + winter["lost"])
            and winter["wintered"] > 0
        ):
            word = access.get(row["apiary"], "") or OTHER
            found.append(Late(row["weeks_late"], word, _count(winter["wintered"]), _count(winter["lost"])))
    return found


def _a_hive(pack: Read, name: str, key: str, value: str) -> dict[str, float]:
    """For each hive; the first form told the sum over all of them."""
    hives = _count(pack.tables["operation"]["hives"][0])
    share, column = (1 / hives if hives else math.nan, value) if pack.version == 1 else (1.0, f"{value}_a_hive")
    found = {row[key]: row[column] * share for row in rows_of(pack.tables.get(name)) if row[key]}
    return {word: number for word, number in found.items() if not math.isnan(number)}


def _count(value: object) -> int:
    number = cast(float, value)
    return 0 if math.isnan(number) else round(number)
