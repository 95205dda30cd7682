"""The counts and looks of one apiary as its hives' likelihood takes them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.calc.brood import WORKER_CAPPED
from kit.constants import bees, hives, reading
from kit.constants import counts as known
from kit.season.posterior.sight import Look, Sight, sight
from kit.season.splits import CAPPED_DAYS, SPLIT, SWARM
from kit.season.units import ANY, COLONY, UNNUMBERED, Unit

if TYPE_CHECKING:
    from kit.records.records import Records

RECOVERY = {
    "alcohol wash": known.RECOVERY_ALCOHOL_WASH,
    "sugar roll": known.RECOVERY_SUGAR_ROLL,
    "co2": known.RECOVERY_CO2,
}


def sights(records: Records, units: Sequence[Unit], start: date) -> list[Sight]:
    """What was seen of each unit of one apiary, in a fixed order."""
    found: list[list[Look]] = [[] for _ in units]
    lost = queens_lost(records)
    for row in _counts(records, units):
        unit, look = unit_of(str(row["colony"]), units), _count(row, start, records.settings.few_max)
        if unit is not None and look is not None:
            more = _unsettled(look, lost.get(str(row["colony"]), ())) if units[unit].scope == COLONY else BETWEEN
            found[unit].append(look._replace(noise=look.noise + more))
    for row in _inspections(records, units):
        unit = unit_of(str(row["colony"]), units)
        if unit is not None:
            found[unit] += _frames(row, start)
    return [sight(looks) for looks in found]


BETWEEN = float(np.expm1(hives.START_COLONY.value**2))
"""A nameless tray lay under one of many hives: what hives differ by comes on top of its noise."""


def queens_lost(records: Records) -> dict[str, list[date]]:
    """Days on which each colony was left to raise or take a new queen."""
    found: dict[str, list[date]] = {}
    for row in records.in_season("events").to_dict("records"):
        if row["kind"] in (SPLIT, SWARM, "requeened"):
            heir = row["to"] if row["kind"] == SPLIT else row["from"] or row["to"]
            found.setdefault(str(heir), []).append(day_of(row))
    return found


UNSETTLED = int(bees.WORKER_UNCAPPED_DAYS.value), CAPPED_DAYS + 2 * WORKER_CAPPED
"""Days after it between which a few days of laying decide what a count shows."""


def _unsettled(look: Look, lost: Sequence[date]) -> float:
    """Noise on top while nobody knows whether the next queen's first brood is capped, or has opened."""
    first, last = UNSETTLED
    if not any(first <= (look.read - day).days <= last for day in lost):
        return 0.0
    return float((hives.BREAK_BOARD_NOISE if look.kind == "board" else hives.BREAK_SAMPLE_NOISE).value ** 2)


def readable(row: Any) -> bool:
    """Whether a count has what it takes: a known method, a number or word, and days for a board."""
    if row["method"] == "board":
        return bool(row["days"] > 0) and (not pd.isna(row["mites"]) or row["level"] in ("none", "few", "many"))
    return row["method"] in RECOVERY and not pd.isna(row["mites"])


def day_of(row: Any) -> date:
    """The date of a record row."""
    return pd.Timestamp(row["date"]).date()


def unit_of(colony: str, units: Sequence[Unit]) -> int | None:
    """The hive a count belongs to; a nameless tray belongs to the average hive."""
    for scope in [COLONY] if colony else [UNNUMBERED, ANY]:
        for place, unit in enumerate(units):
            if unit.scope == scope and unit.colony == colony:
                return place
    return None


def _counts(records: Records, units: Sequence[Unit]) -> list[Any]:
    counts = _seen_of(records.in_season("counts"), units)
    order = ["date", "colony", "method", "mites", "level", "from_file", "from_row"]
    return [row for row in counts.sort_values(order, kind="stable").to_dict("records") if readable(row)]


def _inspections(records: Records, units: Sequence[Unit]) -> list[Any]:
    seen = _seen_of(records.in_season("inspections"), units)
    seen = seen[seen["colony"] != ""]
    return seen.sort_values(["date", "colony", "bee_frames", "brood_frames"], kind="stable").to_dict("records")


def _seen_of(table: pd.DataFrame, units: Sequence[Unit]) -> pd.DataFrame:
    """Rows at the units' apiary, and those of its moved colonies at the apiary where each stood that day."""
    wanted = table["apiary"] == units[0].apiary
    for unit in units:
        for stay in unit.elsewhere:
            on = table["date"].between(pd.Timestamp(stay.first), pd.Timestamp(stay.last))
            wanted |= on & (table["apiary"] == stay.apiary) & (table["colony"] == unit.colony)
    return table[wanted]


def _count(row: Any, start: date, few_max: float) -> Look | None:
    """A count as a look; None for a board read on the season's first day, which shows none of its days."""
    day, (low, high) = (day_of(row) - start).days, _allowed(row, few_max)
    if row["method"] != "board":
        bees = known.SAMPLE_BEES.value if pd.isna(row["bees"]) else float(row["bees"])
        factor = bees * RECOVERY[row["method"]].value / 100
        return Look("sample", day, -1, factor, low, high, hives.WASH_NOISE.value**2, day_of(row), row["method"])
    if day < 1:
        return None
    share = 1.0 if pd.isna(row["share_counted_pct"]) else float(row["share_counted_pct"]) / 100
    lay = float(row["days"])
    longer = max(lay / day, 1.0)  # it lay before the season began: the days before were like those after
    return Look("board", day - 1, max(day - 1 - round(lay), -1), share * longer, low, high, BOARD, day_of(row), "board")


BOARD = hives.BOARD_NOISE.value**2


FRAMES = (
    ("frames", "bee_frames", reading.FRAME_BEES, hives.FRAME_NOISE),
    ("brood", "brood_frames", hives.BROOD_FRAME_CELLS, hives.BROOD_FRAME_NOISE),
)


def _frames(row: Any, start: date) -> list[Look]:
    day, found = (day_of(row) - start).days, []
    for kind, column, on_one, noise in FRAMES:
        if row[column] > 0:
            whole = float(np.log(row[column] * on_one.value))
            found.append(Look(kind, day, -1, 1.0, whole, whole, noise.value**2, day_of(row), column))
    return found


def _allowed(row: Any, few_max: float) -> tuple[float, float]:
    if not pd.isna(row["mites"]):
        return float(round(row["mites"])), float(round(row["mites"]))
    return {"none": (0.0, 0.0), "few": (1.0, float(few_max)), "many": (float(few_max) + 1, float("inf"))}[row["level"]]
