"""Where the hours and the money went, by apiary and task.

Columns of `tables/effort.csv`

===================  ==========================================================================================
`apiary`, `task`     driving, carrying, treating, looking and counting, wasted trips, medicines
`hours`              person-hours; those of wasted trips stand under that task only, so that tasks add up
`cost`               hours at `labour_per_hour`, driving also at `vehicle_per_hour`, medicines as bought
`trips`              trips that had a part in it
`basis`              recorded, estimated, or both with how many trips each; or what is not recorded
===================  ==========================================================================================
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants.treatment_words import NO_MEDICINE
from kit.season.rounds import rounds
from kit.season.trips import COULD_NOT, UNKNOWN, trips

if TYPE_CHECKING:
    from kit.records.records import Records

__all__ = ["COLUMNS", "effort", "trips"]
COLUMNS = ["apiary", "task", "hours", "cost", "trips", "basis"]
LOOKING = ("look", "heads", "trays read", "trays in", COULD_NOT)


def effort(records: Records) -> pd.DataFrame:
    """Hours and money of the season by apiary and task, in the order of the sheet `apiaries`; NaN for not recorded."""
    made = trips(records)
    bought = unit_costs(records)
    given = rounds(records)
    rows: list[dict[str, Any]] = []
    for apiary in records.apiaries:
        own = made[made["apiary"] == apiary]
        rows += [{"apiary": apiary, **row} for row in _trip_rows(records, own)]
        rows += [{"apiary": apiary, **row} for row in _medicine_rows(given[given["apiary"] == apiary], bought)]
    return pd.DataFrame(rows, columns=COLUMNS)


def _trip_rows(records: Records, own: pd.DataFrame) -> Iterator[dict[str, Any]]:
    """Driving and carrying of the trips that did something, their minutes by what was done, and wasted trips whole."""
    wasted, useful = own[own["wasted"].astype(bool)], own[~own["wasted"].astype(bool)]
    treating = useful["did"].map(_treats) | (useful["colonies_done"] > 0)
    yield from _row(records, "driving", useful, driving="drive_min", basis="drive_basis")
    yield from _row(records, "carrying", useful[useful["carry_min"] > 0], on_foot="carry_min", basis="")
    yield from _row(records, "treating", useful[treating], on_foot="minutes", basis="minutes_basis")
    yield from _row(records, "looking and counting", useful[~treating], on_foot="minutes", basis="minutes_basis")
    if len(wasted):
        whole = wasted.assign(on_foot=wasted["minutes"].fillna(0) + wasted["carry_min"].fillna(0))
        yield from _row(records, "wasted trips", whole, driving="drive_min", on_foot="on_foot", basis="minutes_basis")


def _treats(did: str) -> bool:
    deeds = [d.strip().rstrip("0123456789").strip() for d in did.split(";") if d.strip()]
    return any(d not in LOOKING for d in deeds)


def _row(
    records: Records, task: str, part: pd.DataFrame, *, driving: str = "", on_foot: str = "", basis: str
) -> Iterator[dict[str, Any]]:
    """One row of a task; none where no trip had a part in it. Hours stay NaN only when no trip's are known."""
    if part.empty:
        return
    driven = (part[driving] * part["people"]).sum(min_count=1) / 60 if driving else 0.0
    wheels = part[driving].sum(min_count=1) / 60 if driving else 0.0
    walked = (part[on_foot] * part["people"]).sum(min_count=1) / 60 if on_foot else 0.0
    hours = driven + walked
    cost = hours * records.settings.labour_per_hour + wheels * records.settings.vehicle_per_hour
    said = _basis(part[basis]) if basis else "carry minutes of the sheet, there and back where a vehicle cannot go"
    yield {"task": task, "hours": hours, "cost": cost, "trips": len(part), "basis": said}


def _basis(words: pd.Series) -> str:
    """`3 recorded, 5 estimated: usual minutes`: how many trips rest on what."""
    kinds = words.str.split(":").str[0].value_counts()
    return ", ".join(f"{n} {word}" for word, n in sorted(kinds.items(), key=lambda item: (-item[1], str(item[0]))))


def unit_costs(records: Records) -> dict[tuple[str, str], float]:
    """What one unit of a product cost on average over all purchases recorded, by (product, unit), lower case."""
    bought = records.tables["medicines"]
    bought = bought[(bought["event"] == "bought") & bought["cost"].notna() & (bought["quantity"] > 0)]
    keys = zip(bought["product"].str.casefold(), bought["unit"].str.casefold(), strict=True)
    return {
        key: own["cost"].sum() / own["quantity"].sum() for key, own in bought.groupby(pd.Series(keys, bought.index))
    }


def _medicine_rows(given: pd.DataFrame, bought: dict[tuple[str, str], float]) -> Iterator[dict[str, Any]]:
    """What the doses given cost; what cannot be priced is counted in `basis`."""
    given = given[~given["treatment"].isin(NO_MEDICINE)]
    if given.empty:
        return
    price = pd.Series(
        [bought.get((p.casefold(), u.casefold())) for p, u in zip(given["product"], given["unit"], strict=True)],
        index=given.index,
        dtype=float,
    )
    costs = price * given["dose"] * given["done"]
    unpriced = int(costs.isna().sum())
    basis = f"{len(costs) - unpriced} rounds priced by purchases" + (f", {unpriced} {UNKNOWN}" if unpriced else "")
    yield {"task": "medicines", "hours": 0.0, "cost": costs.sum(min_count=1), "trips": len(given), "basis": basis}
