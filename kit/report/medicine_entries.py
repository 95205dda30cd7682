"""One line of the medicine record as it reads on paper: a few cells, and under them what else there is to say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.report.charts.phrases import NOT_RECORDED, day
from kit.report.tables import cell
from kit.report.words.phrases import capital, stop
from kit.season.medicine.lines import AUTHORISED, NOT_A_MEDICINE, STRUCK

Row = Mapping[Any, Any]

HEADS: dict[str, tuple[str, ...]] = {
    "administration": ("given", "where", "what", "batch", "how much", "withdrawal period", "keep until"),
    "acquisition": ("bought", "what", "batch", "how much", "from whom", "proof", "keep until"),
    "disposal": ("disposed of", "what", "batch", "how much", "how", "where", "keep until"),
}
"""Kind of entry to the headings of its cells."""


@dataclass(frozen=True)
class Entry:
    """One line.

    Parameters
    ----------
    cells : tuple of str
        Under the headings of its kind.
    more : tuple of str
        Sentences under the cells: what is missing, what was corrected, notes.
    struck : bool
        Whether a later line corrects it.
    """

    cells: tuple[str, ...]
    more: tuple[str, ...]
    struck: bool


def entry_of(row: Row) -> Entry:
    """The entry of one line of `medicine_record`."""
    cells = {"administration": _given, "acquisition": _bought, "disposal": _disposed}[row["entry"]](row)
    return Entry((*cells, _kept(row)), _more(row), row["status"] == STRUCK)


def _given(row: Row) -> tuple[str, ...]:
    return _when(row), _where(row), _what(row), _batch(row), _dose(row), _withdrawal(row)


def _bought(row: Row) -> tuple[str, ...]:
    whom = ", ".join(text for text in (row["supplier"], row["supplier_address"]) if text)
    return _when(row), _what(row), _batch(row), _amount(row), whom or NOT_RECORDED, row["evidence"] or NOT_RECORDED


def _disposed(row: Row) -> tuple[str, ...]:
    places = (row["how_disposed"] or NOT_RECORDED, row["where_disposed"] or NOT_RECORDED)
    return (_when(row), _what(row), _batch(row), _amount(row), *places)


def _when(row: Row) -> str:
    if row["entry"] != "administration" or row["date_end"] == row["date"]:
        return f"{day(row['date'])}; {_written(row)}"
    until: str = "still in, by these records" if pd.isna(row["date_end"]) else f"to {day(row['date_end'])}"
    return f"{day(row['date'])} {until}; {_written(row)}"


def _written(row: Row) -> str:
    if pd.isna(row["written_on"]):
        return "day of writing not recorded"
    return "written that day" if row["written_on"] == row["date"] else f"written {day(row['written_on'])}"


def _where(row: Row) -> str:
    named = "" if row["colonies"] in ("", "all") else f": {row['colonies'].replace(';', ', ')}"
    hives: str = NOT_RECORDED if pd.isna(row["hives"]) else f"{cell(row['hives'])} hive{'s' * (row['hives'] != 1)}"
    return f"{row['apiary']}, {hives}{named}"


def _what(row: Row) -> str:
    number: str = "" if pd.isna(row["round"]) else f", round {row['round']:g}"
    product = row["product"] or "product not recorded"
    active = f" ({row['active']})" if row["active"] and row["active"].casefold() not in product.casefold() else ""
    status = "" if row["medicine"] == AUTHORISED or not row["product"] else f": {row['medicine']}"
    treatment = f"{row['treatment']}{number}, " if row["treatment"] else ""
    return f"{treatment}{product}{active}{status}"


def _batch(row: Row) -> str:
    expiry: str = f", expires {day(row['expiry'])}" if pd.notna(row["expiry"]) else ""
    return f"{row['batch'] or NOT_RECORDED}{expiry}"


def _dose(row: Row) -> str:
    if pd.isna(row["dose"]):
        return NOT_RECORDED
    unit = row["dose_unit"].removesuffix("s") if row["dose"] == 1 else row["dose_unit"]
    return f"{row['dose']:g} {unit} a hive, {_amount(row)} in all"


def _amount(row: Row) -> str:
    return NOT_RECORDED if pd.isna(row["quantity"]) else f"{cell(row['quantity'])} {row['unit']}".strip()


def _withdrawal(row: Row) -> str:
    if row["medicine"] == NOT_A_MEDICINE:
        return "none can be given: not an authorised medicine"
    if pd.isna(row["withdrawal_days"]):
        return NOT_RECORDED
    days = f"{row['withdrawal_days']:g} days"
    still_in = pd.isna(row["withdrawal_end"])
    return f"{days} from the day it comes out" if still_in else f"{days}, to {day(row['withdrawal_end'])}"


def _kept(row: Row) -> str:
    if pd.notna(row["keep_until"]):
        still_in = row["entry"] == "administration" and pd.isna(row["date_end"])
        return f"{day(row['keep_until'])}{' at least' * still_in}"
    return (
        "until its batch is used up, and five years on" if row["entry"] == "acquisition" else "five years from its end"
    )


def _more(row: Row) -> tuple[str, ...]:
    """The sentences under a line, in the order in which they matter."""
    struck = (
        f"struck through on {day(row['struck_on'])}: {row['corrected_by']} corrects it" if row["corrected_by"] else ""
    )
    missing = f"missing: {row['missing']}; where to find it: {row['where_to_find']}" if row["missing"] else ""
    given = row["entry"] == "administration"
    source = ", ".join(text for text in (row["supplier"], row["supplier_address"], row["evidence"]) if text)
    said = (
        struck,
        f"corrects {row['corrects']}" if row["corrects"] else "",
        missing,
        "given after the batch's expiry date" if row["after_expiry"] == "yes" else "",
        f"this colony: {row['reached']}" if row.get("reached") else "",
        f"supers were on: {row['supers_on']}" if row["supers_on"] else "",
        f"prescribed by {row['prescriber']}" if row["prescriber"] else "",
        f"bought from {source}" if given and source else "",
        f"note: {row['notes']}" if row["notes"] else "",
        f"from {row['from_file']} row {row['from_row']:g}",
    )
    return tuple(capital(stop(text.replace("`", ""))) for text in said if text)
