"""What one colony, or one apiary, was given: the part of the medicine record that goes along when it is sold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.errors import CannotGoOnError
from kit.records.cells import suggestion
from kit.season.units import colonies_named

if TYPE_CHECKING:
    from kit.records.records import Records

NAMED, WHOLE, PART = (
    "named in the line",
    "the whole apiary was treated",
    "{done} of {standing} hives, not written which",
)
UNSURE = "all hives, as far as is written"


def of_apiary(lines: pd.DataFrame, records: Records, apiary: str) -> pd.DataFrame:
    """The administrations at one apiary.

    Raises
    ------
    CannotGoOnError
        When the records hold no such apiary.
    """
    if apiary not in records.apiaries:
        raise CannotGoOnError(f"apiary {apiary!r} is not in these records; {suggestion(apiary, records.apiaries)}")
    return _given(lines[lines["apiary"] == apiary])


def of_colony(lines: pd.DataFrame, records: Records, colony: str) -> pd.DataFrame:
    """The administrations that a colony received or may have received, wherever it stood then.

    A column `reached` is added: whether the line names the colony, or why it is taken to be among those treated.

    Raises
    ------
    CannotGoOnError
        When the sheet `colonies` holds no such colony.
    """
    sheet = records.tables["colonies"]
    stays = sheet[sheet["colony"] == colony].to_dict("records")
    named = lines["colonies"].map(lambda text: colony in colonies_named(str(text)))
    if not stays and not named.any():
        known = tuple(dict.fromkeys(sheet["colony"]))
        raise CannotGoOnError(f"colony {colony!r} is not in the sheet colonies; {suggestion(colony, known)}")
    there = pd.Series([_stood(row, stays) for row in lines.to_dict("records")], lines.index, dtype="bool")
    mine = _given(lines[named | (there & (lines["colonies"] == "all"))])
    reached = [_reached(row, records) for row in mine.to_dict("records")]
    return mine.assign(reached=pd.Series(reached, mine.index, dtype="str"))


def _given(lines: pd.DataFrame) -> pd.DataFrame:
    return lines[lines["entry"] == "administration"].reset_index(drop=True)


def _stood(row: Any, stays: list[Any]) -> bool:
    """Whether the colony stood at the line's apiary on its day, or came while strips or trays were still in."""
    last = row["date"] if pd.isna(row["date_end"]) else row["date_end"]
    return any(
        stay["apiary"] == row["apiary"]
        and (pd.isna(stay["from"]) or stay["from"] <= last)
        and (pd.isna(stay["to"]) or row["date"] < stay["to"])
        for stay in stays
    )


def _reached(row: Any, records: Records) -> str:
    if row["colonies"] != "all":
        return NAMED
    standing = records.hives(str(row["apiary"]), row["date"].date())
    if standing is None or pd.isna(row["hives"]):
        return UNSURE
    return WHOLE if row["hives"] >= standing else PART.format(done=f"{row['hives']:g}", standing=standing)
