"""Was each apiary in time, and what did late cost: mites, colonies and money, by the same draws on time.

`extra_mites` are mites a hive, as the mean over the days on which winter bees are raised. `extra_loss_pct` is points of
expected loss by all causes; `extra_cost` that loss in colonies times the value of a colony. On time or early costs 0.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.ranges import Band, band_of
from kit.constants.treatment_words import KILLS_MITES
from kit.records.texts import every_word
from kit.season.expected import Winter
from kit.season.loads import POINTS
from kit.season.reading import Course, Reading, Season
from kit.season.units import last_day
from kit.season.usual import Array
from kit.season.whatif import added, moved

if TYPE_CHECKING:
    from kit.records.records import Records

COSTS = ("extra_mites", "extra_loss_pct", "extra_cost")
COLUMNS = [
    "apiary", "treatment", "treated_on", "treat_by", "days_late", "why_late",
    *(f"{name}_{p}" for name in COSTS for p in POINTS),
    "extra_colonies_p05", "extra_colonies_p50", "extra_colonies_p95", "treatment_no",
]  # fmt: skip
NOTHING = Band(0.0, 0.0, 0.0)
UNKNOWN = Band(float("nan"), float("nan"), float("nan"))
SUMMER_FROM = (7, 1)


ON_TIME = ["date", "apiary", "per_100_bees_p05", "per_100_bees_p50", "per_100_bees_p95"]
"""Columns of the table `on_time`: an apiary's mean by week, had its main treatment begun on the day to treat by."""


class Timing(NamedTuple):
    """The table, draws of the colonies that lateness cost by apiary, and the table `on_time` of late apiaries."""

    table: pd.DataFrame
    colonies: dict[str, Array]
    on_time: pd.DataFrame


class Cost(NamedTuple):
    """What lateness cost one apiary: draws by name, and the course with the treatment on time."""

    draws: dict[str, Array]
    on_time: Course


def timing(records: Records, rounds: pd.DataFrame, season: Season, winter: Winter, *, seed: int) -> Timing:
    """One row for each apiary."""
    rows, colonies, courses = [], {}, []
    for apiary, here in season.readings.items():
        mine = rounds[rounds["apiary"] == apiary]
        row = _dates(records, apiary, main_treatment(records, mine))
        cost = _cost(records, rounds, here, winter, (row, seed)) if row["days_late"] > 0 else None
        if cost is not None:
            colonies[apiary] = cost.draws["extra_colonies"]
            courses += _weekly(here, cost.on_time)
        rows.append(row | _bands(cost.draws if cost else None, late=row["days_late"] > 0))
    table = pd.DataFrame(rows, columns=COLUMNS)
    table[["treated_on", "treat_by"]] = table[["treated_on", "treat_by"]].apply(pd.to_datetime)
    on_time = pd.DataFrame(courses, columns=ON_TIME)
    on_time["date"] = pd.to_datetime(on_time["date"])
    return Timing(table, colonies, on_time)


def _weekly(here: Reading, course: Course) -> list[list[Any]]:
    days = [day for day in range(0, here.last + 1, 7) if here.weights @ here.standing(day) > 0]
    share = {day: band_of(here.mean(np.asarray(course.per_100[:, :, day], dtype=float), day)) for day in days}
    return [[here.usual.start + timedelta(days=day), here.apiary, *band] for day, band in share.items()]


def main_treatment(records: Records, rounds: pd.DataFrame) -> pd.DataFrame:
    """An apiary's main treatment: the rounds of the first begun after 1 July that kills mites on bees; may be empty."""
    begun = pd.Timestamp(date(records.season.start.year, *SUMMER_FROM))
    starts = rounds.groupby("treatment_no")["date"].transform("min") if len(rounds) else rounds["date"]
    fit = rounds[(starts >= begun) & rounds["treatment"].isin(KILLS_MITES)]
    if fit.empty:
        return fit
    first = int(fit.sort_values("date", kind="stable")["treatment_no"].iloc[0])
    return fit.loc[fit["treatment_no"] == first]


def _dates(records: Records, apiary: str, main: pd.DataFrame) -> dict[str, Any]:
    treat_by = pd.Timestamp(records.settings.treat_by)
    given = not main.empty
    reached = main["date"].min() if given else pd.Timestamp(last_day(records))
    return {
        "apiary": apiary,
        "treatment": str(main["treatment"].iloc[0]) if given else "",
        "treated_on": reached if given else pd.NaT,
        "treat_by": treat_by,
        "days_late": int((reached - treat_by).days),
        "why_late": _why(records, apiary, reached) if reached > treat_by else "",
        "treatment_no": int(main["treatment_no"].iloc[0]) if given else 0,
    }


def _why(records: Records, apiary: str, reached: pd.Timestamp) -> str:
    """Reasons written in the log from 1 July until treatment began, the latest first."""
    heads = records.heads[(records.heads["apiary"] == apiary) & (records.heads["why_late"] != "")]
    begun = pd.Timestamp(date(records.season.start.year, *SUMMER_FROM))
    inside = heads[(heads["date"] >= begun) & (heads["date"] <= reached)].sort_values("date", kind="stable")
    return every_word(inside["why_late"].iloc[::-1])


def _cost(
    records: Records, rounds: pd.DataFrame, here: Reading, winter: Winter, row_seed: tuple[dict[str, Any], int]
) -> Cost | None:
    row, seed = row_seed
    start = records.settings.treat_by
    if row["treatment_no"]:
        on_time = moved(here, row["treatment_no"], start)
    else:
        pattern = usual_pattern(records, rounds)
        if pattern.empty:
            return None
        on_time = added(records, pattern, here, start, seed)
    day = here.usual.index(winter.last)
    more = winter.exposure(here, here.mites) - winter.exposure(here, on_time.mites)
    lost = [winter.expected_pct(winter.by_mites_pct(here, course)) for course in (here.course, on_time)]
    points = here.mean(lost[0] - lost[1], day)
    colonies = points / 100 * hives_at(here, day)
    cost = colonies * records.settings.colony_value
    draws = {
        "extra_mites": here.mean(more, day),
        "extra_loss_pct": points,
        "extra_cost": cost,
        "extra_colonies": colonies,
    }
    return Cost(draws, on_time)


def usual_pattern(records: Records, rounds: pd.DataFrame) -> pd.DataFrame:
    """Rounds of the operation's usual main treatment: the commonest word, at the apiary with most rounds of it."""
    mains = [main_treatment(records, part) for _, part in rounds.groupby("apiary", sort=True)]
    mains = [main for main in mains if not main.empty]
    if not mains:
        return rounds.iloc[:0]
    words = [str(main["treatment"].iloc[0]) for main in mains]
    commonest = max(sorted(set(words)), key=words.count)
    return sorted((main for main in mains if main["treatment"].iloc[0] == commonest), key=len)[-1]


def hives_at(here: Reading, day: int) -> float:
    """Hives of an apiary on a day index; NaN when their number was not recorded."""
    there = here.standing(day)
    hives = [u.hives for u, stood, w in zip(here.units, there, here.weights, strict=True) if stood and w > 0]
    return float(np.sum(hives)) if hives else 0.0


def _bands(cost: dict[str, Array] | None, *, late: bool) -> dict[str, float]:
    found: dict[str, float] = {}
    for name in (*COSTS, "extra_colonies"):
        band = band_of(cost[name]) if cost else UNKNOWN if late else NOTHING
        found |= {f"{name}_{point}": value for point, value in zip(POINTS, band, strict=True)}
    return found
