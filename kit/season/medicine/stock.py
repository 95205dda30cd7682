"""What is left of every batch, and which batches are past their day."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pandas as pd

from kit.constants.supply import SPOON_FACTOR
from kit.season.medicine.lines import IN_FORCE, sum_known

COLUMNS = {
    "product": "name of the product",
    "batch": "batch, empty when not recorded",
    "unit": "unit of the quantities",
    "bought": "quantity bought",
    "given": "quantity given to hives",
    "disposed": "quantity disposed of",
    "balance": "what should be left: bought − given − disposed (of strips and trays, which come out again to be "
    "disposed of, bought − the greater of the two); empty while a quantity is not recorded",
    "balance_low": "the least that may be left, were every spoonful as heavy as a hand makes it (grams alone)",
    "balance_high": "the most that may be left, were every spoonful as light",
    "lines_unmeasured": "lines of the record without a quantity",
    "expiry": "expiry date",
    "expired": "yes when past its expiry date",
    "given_after_expiry": "lines that used it after its expiry date",
    "last_given": "last day it was given",
    "note": "why the balance cannot be trusted",
}
"""Columns of the stock and what each holds."""

_ENTRIES = {"bought": "acquisition", "given": "administration", "disposed": "disposal"}


def stock(lines: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """Bought − given − disposed by product, batch and unit, from the lines in force.

    Columns `COLUMNS`; `as_of` is the day on which a batch is or is not past its expiry.
    """
    valid = lines[(lines["status"] == IN_FORCE) & (lines["product"] != "")]
    keys = ["product", "batch"]
    rows = [_batch(str(product), str(batch), part, as_of) for (product, batch), part in valid.groupby(keys, sort=True)]
    table = pd.DataFrame([row for several in rows for row in several], columns=list(COLUMNS))
    dates = dict.fromkeys(("expiry", "last_given"), "datetime64[us]")
    numbers = (*_ENTRIES, "balance", "balance_low", "balance_high")
    return table.astype(dates | dict.fromkeys(numbers, "float64"))


def _batch(product: str, batch: str, part: pd.DataFrame, as_of: date) -> list[dict[str, Any]]:
    units = sorted(set(part["unit"]) - {""}) or [""]
    unmeasured = part[part["unit"] == ""]
    shown = []
    for unit in units:
        measured = part[part["unit"] == unit]
        shown.append(
            _row(product, batch, unit, pd.concat([measured, unmeasured]) if len(units) == 1 else measured, as_of)
        )
        if len(units) > 1:
            shown[-1]["note"] = f"written in {' and in '.join(units)}: the two cannot be set against each other"
    return shown


def _row(product: str, batch: str, unit: str, part: pd.DataFrame, as_of: date) -> dict[str, Any]:
    sums = {name: sum_known(part.loc[part["entry"] == entry, "quantity"]) for name, entry in _ENTRIES.items()}
    expiry = part.loc[part["entry"] == "acquisition", "expiry"].min()
    given = part[part["entry"] == "administration"]
    past = "" if pd.isna(expiry) else "yes" if pd.Timestamp(as_of) > expiry else "no"
    balance = _balance(unit, **sums)
    return {
        "product": product, "batch": batch, "unit": unit, **sums, "balance": balance, **_scatter(unit, **sums),
    "lines_unmeasured": int(part["quantity"].isna().sum()), "expiry": expiry, "expired": past,
        "given_after_expiry": int((given["after_expiry"] == "yes").sum()), "last_given": given["date"].max(),
        "note": _note(sums["bought"], balance, part),
    }  # fmt: skip


def _balance(unit: str, *, bought: float, given: float, disposed: float) -> float:
    """What should be left; pieces that came out of the hives before they were disposed of are not taken off twice."""
    return bought - (max(given, disposed) if unit in ("strips", "trays") else given + disposed)


def _scatter(unit: str, *, bought: float, given: float, disposed: float) -> dict[str, float]:
    """The balance with the spoon as heavy and as light as it turns out; what is counted or poured has no scatter."""
    heavy, light = (SPOON_FACTOR.high, SPOON_FACTOR.low) if unit == "g" else (1.0, 1.0)
    balances = [_balance(unit, bought=bought, given=given * factor, disposed=disposed) for factor in (heavy, light)]
    return dict(zip(("balance_low", "balance_high"), balances, strict=True))


def _note(bought: float, balance: float, part: pd.DataFrame) -> str:
    if (part["batch"] == "").all() and not (part["entry"] == "acquisition").any():
        return "batch not recorded: taken off no batch"
    if not (part["entry"] == "acquisition").any():
        return "no purchase of this batch is recorded"
    if math.isnan(balance):
        return "balance unknown: a quantity is not recorded"
    if balance < -0.02 * bought:
        return "more given and disposed of than was bought: a purchase or a dose is written wrong, or missing"
    return ""
