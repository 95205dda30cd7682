"""What is still open: seals not brought home, strips in, record gaps, labels unread, notices, gear that falls due."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants.treatment_words import WORKS_DAYS
from kit.records.corrections import in_force
from kit.records.seals import not_home, seals_said
from kit.records.words import TAKEN_OUT
from kit.season.units import last_day

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = ["apiary", "kind", "what", "since", "remedy"]
SOON = pd.Timedelta(days=30)
FORGOTTEN = pd.Timedelta(days=365)
"""A placing that was never taken out is asked after for so long beyond its season."""


def strips_in(records: Records) -> pd.DataFrame:
    """Placings of the season and of the year before it that no row takes out: `apiary, treatment, since, out_by`."""
    given = in_force(records.tables["treatments"])
    season = pd.Timestamp(records.season.start) - FORGOTTEN, pd.Timestamp(records.season.end)
    still = given[given["treatment"].isin(TAKEN_OUT) & given["removed"].isna() & given["date"].between(*season)]
    table = still[["apiary", "treatment", "date"]].drop_duplicates().rename(columns={"date": "since"})
    days = [WORKS_DAYS[word].value for word in table["treatment"]]
    table["out_by"] = table["since"] + pd.to_timedelta(pd.Series(days, index=table.index, dtype="float64"), unit="D")
    return table.sort_values(["since", "apiary", "treatment"], ignore_index=True)


def open_points(records: Records, rounds: pd.DataFrame, strips: pd.DataFrame, medicine: pd.DataFrame) -> pd.DataFrame:
    """All open points; `rounds` as `kit.season.rounds` has them, `medicine` those of the medicine record."""
    own = pd.DataFrame(
        [*_seals(records), *_strips(records, strips), *_unwritten(rounds), *_gear(records)], columns=COLUMNS
    )
    parts = [part[COLUMNS] for part in (own, medicine) if len(part)]
    table = pd.concat(parts, ignore_index=True) if parts else own
    table["since"] = pd.to_datetime(table["since"])
    rank = {"seal not home": -1, "strips in": 0, "record gap": 2, "label unread": 3, "notice": 4, "gear due": 5}
    order = table["kind"].map(lambda kind: rank.get(kind, 1))
    return table.assign(order=order).sort_values(
        ["order", "apiary", "since", "what"], kind="stable", ignore_index=True
    )[COLUMNS]


def _seals(records: Records) -> list[dict[str, Any]]:
    short = not_home(records.in_season("log"))
    return [
        {
            "apiary": row["apiary"],
            "kind": "seal not home",
            "what": f"{seals_said(row['missing'])} not brought home on {row['date']:%Y-%m-%d}",
            "since": row["date"],
            "remedy": "look at once: a hive left sealed is a dead hive; once home, write `seals_in`; else correct it",
        }
        for row in short.to_dict("records")
    ]


def _strips(records: Records, strips: pd.DataFrame) -> list[dict[str, Any]]:
    on = pd.Timestamp(last_day(records))
    return [
        {
            "apiary": row["apiary"],
            "kind": "strips in",
            "what": f"{row['treatment']} placed on {row['since']:%Y-%m-%d}, no day on which it came out"
            + (" (overdue)" if row["out_by"] < on else f" (due out by {row['out_by']:%Y-%m-%d})"),
            "since": row["since"],
            "remedy": "take it out and write `strips out` or `removed`, or correct the record if it was taken out",
        }
        for row in strips.to_dict("records")
    ]


def _unwritten(rounds: pd.DataFrame) -> list[dict[str, Any]]:
    """Series whose first round on record is not their first by its number."""
    first = rounds.sort_values("date", kind="stable").groupby(["apiary", "treatment_no"], sort=False).head(1)
    return [
        {
            "apiary": row["apiary"],
            "kind": "record gap",
            "what": f"{row['treatment']} round {row['round']:g} on {row['date']:%Y-%m-%d} is the first written down",
            "since": row["date"],
            "remedy": f"write round {row['round'] - 1:g} into `log` or `treatments`, or mend the number of this one",
        }
        for row in first[first["round"] > 1].to_dict("records")
    ]


def _gear(records: Records) -> list[dict[str, Any]]:
    gear = records.tables["gear"]
    on = pd.Timestamp(last_day(records))
    due = gear[gear["expires"].notna() & (gear["expires"] <= on + SOON)]
    return [
        {
            "apiary": "",
            "kind": "gear due",
            "what": f"{row['kind'] or 'gear'} {row['item']} "
            f"{'expired' if row['expires'] <= on else 'expires'} on {row['expires']:%Y-%m-%d}",
            "since": row["expires"],
            "remedy": "renew it before the next round; no round without a filter and a face fit in date",
        }
        for row in due.sort_values(["expires", "item"]).to_dict("records")
    ]
