"""Every product and batch of the medicine record in one row: bought of whom, given where, what became of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from kit.report.charts.phrases import NOT_RECORDED, day
from kit.report.tables import cell
from kit.report.words.phrases import a_count, listed
from kit.season.medicine.lines import IN_FORCE
from kit.season.medicine.record import MedicineRecord

Row = Mapping[Any, Any]
COLUMNS = ("product", "batch", "expiry", "bought", "given", "disposed", "left", "lacking", "note")
COME_OUT = ("strips", "trays")
"""Units of what comes out of the hives again."""


def batches(record: MedicineRecord) -> pd.DataFrame:
    """One row for every product, batch and unit, and one for every treatment whose product is not recorded.

    Columns `COLUMNS`, all text; `lacking` counts the lines that lack something.
    """
    lines = record.lines[record.lines["status"] == IN_FORCE]
    rows = [_batch(row, _of(lines, row)) for row in record.stock.to_dict("records")]
    unnamed = lines[lines["product"] == ""]
    rows += [_unnamed(str(treatment), part) for treatment, part in unnamed.groupby("treatment", sort=True)]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _of(lines: pd.DataFrame, row: Row) -> pd.DataFrame:
    """The lines of a batch, those without a quantity with each of its units."""
    same = (lines["product"] == row["product"]) & (lines["batch"] == row["batch"])
    mine: pd.DataFrame = lines[same & lines["unit"].isin([row["unit"], ""])]
    return mine


def _batch(row: Row, lines: pd.DataFrame) -> dict[str, str]:
    told = {entry: lines[lines["entry"] == entry] for entry in ("acquisition", "administration", "disposal")}
    return {
        "product": row["product"],
        "batch": row["batch"] or NOT_RECORDED,
        "expiry": cell(row["expiry"]),
        "bought": _bought(row, told["acquisition"]),
        "given": _given(_amount(row["given"], row["unit"]), told["administration"]),
        "disposed": _disposed(row, told["disposal"]),
        "left": _left(row),
        "lacking": _lacking(lines),
        "note": _note(row),
    }


def _unnamed(treatment: str, lines: pd.DataFrame) -> dict[str, str]:
    named = {"product": f"{treatment or 'medicine'}, product {NOT_RECORDED}", "batch": NOT_RECORDED}
    given = lines[lines["entry"] == "administration"]
    rest = dict.fromkeys(("expiry", "bought", "disposed", "left", "note"), "")
    return named | rest | {"given": _given("", given), "lacking": _lacking(lines)}


def _bought(row: Row, lines: pd.DataFrame) -> str:
    whom = listed(sorted({str(name) for name in lines["supplier"] if name}))
    return _joined(_amount(row["bought"], row["unit"]), _days(lines), f"from {whom}") if len(lines) else NOT_RECORDED


def _given(amount: str, lines: pd.DataFrame) -> str:
    if lines.empty:
        return "none"
    times = f"{a_count(len(lines), 'time')} at {listed(sorted(set(lines['apiary'])))}"
    return _joined(amount, times, _days(lines))


def _disposed(row: Row, lines: pd.DataFrame) -> str:
    return _joined(_amount(row["disposed"], row["unit"]), _days(lines)) if len(lines) else "none"


def _days(lines: pd.DataFrame) -> str:
    first, last = lines["date"].min(), lines["date"].max()
    return day(first) if first == last else f"{day(first)} to {day(last)}"


def _amount(quantity: float, unit: str) -> str:
    return f"quantity {NOT_RECORDED}" if pd.isna(quantity) else f"{cell(quantity)} {unit}".strip()


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _left(row: Row) -> str:
    if pd.isna(row["balance"]):
        return NOT_RECORDED
    rest = f"{cell(row['balance'])} {row['unit']}"
    if row["balance_low"] == row["balance_high"]:
        return rest
    return f"{rest}, {cell(row['balance_low'])} to {cell(row['balance_high'])} with the scatter of the spoon"


def _lacking(lines: pd.DataFrame) -> str:
    lacking = int((lines["missing"] != "").sum())
    return f"{lacking} of {a_count(len(lines), 'line')}" if lacking else ""


def _note(row: Row) -> str:
    """What the stock says of itself; of what comes out of the hives again, that it is not taken off twice."""
    if row["note"] or row["unit"] not in COME_OUT or not row["disposed"] > 0:
        return str(row["note"])
    return f"used {row['unit']} are disposed of too: they are not taken off twice"
