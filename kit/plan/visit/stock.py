"""What must be bought: product by product, from the doses of the plan and what is left of batches in date."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import pandas as pd

from kit.constants import plan
from kit.constants.treatment_words import OXALIC
from kit.plan.labels import strength_mg_per_g
from kit.plan.rota import Rota, Visit
from kit.plan.visit.packing import spare_doses
from kit.plan.visit.visits import deed

SHOPPING_COLUMNS = ["product", "treatment", "needed", "in_hand", "to_buy", "unit", "expires", "leftover", "note"]
SHOPPING_COLUMNS += ["first_use", "order_by"]


def shopping_table(rota: Rota, labels: pd.DataFrame, stock: pd.DataFrame, heading: str) -> pd.DataFrame:
    """One row for each product and unit; columns `SHOPPING_COLUMNS`.

    `in_hand` is what is left of batches that last until their use, NaN when a purchase or a use is not recorded;
    then all of it is to be bought, and the note says so. `leftover` is what remains after the plan. `order_by` is
    when what is to be bought must be ordered for its `first_use`, missing where nothing is to be bought.
    """
    last = {visit.job.wish.product: visit.day for visit in rota.visits}
    rows = [
        _row(key, needed, stock, last.get(key[0]), heading) | _when(key, rota)
        for key, needed in sorted(needs(rota, labels).items())
    ]
    table = pd.DataFrame(rows, columns=SHOPPING_COLUMNS)
    table["order_by"] = table["order_by"].where(table["to_buy"].astype(float) > 0)
    return table.astype(
        {
            "expires": "datetime64[us]",
            "first_use": "datetime64[us]",
            "order_by": "datetime64[us]",
            "needed": "float64",
            "in_hand": "float64",
            "to_buy": "float64",
            "leftover": "float64",
        }
    )


def _when(key: tuple[str, str, str], rota: Rota) -> dict[str, date]:
    """The day a product is first needed, and the day to order it by."""
    product, word, _ = key
    first = min(v.day for v in rota.visits if (v.job.wish.product, v.job.wish.word) == (product, word))
    return {"first_use": first, "order_by": first - timedelta(days=int(plan.ORDER_LEAD_DAYS.value))}


def needs(rota: Rota, labels: pd.DataFrame) -> dict[tuple[str, str, str], float]:
    """Needed by (product, treatment, unit), spare doses included: grams of product or crystals, or hives to dose."""
    found: dict[tuple[str, str, str], float] = {}
    for visit in rota.visits:
        if deed(visit) == "take out":
            continue
        unit, amount = _amount(visit, labels)
        key = (visit.job.wish.product, visit.job.wish.word, unit)
        found[key] = found.get(key, 0.0) + amount
    return found


def _amount(visit: Visit, labels: pd.DataFrame) -> tuple[str, float]:
    wish, hives = visit.job.wish, visit.job.hives
    if wish.word not in OXALIC:
        if wish.amount is None:
            return "hives to be dosed by the label", float(hives)
        return wish.unit, hives * wish.amount
    doses = hives + spare_doses(hives)
    crystals = doses * crystals_counted(visit)
    strength = strength_mg_per_g(labels, wish.product)
    return ("g crystals", crystals) if strength is None else ("g product", crystals * 1000 / strength)


def crystals_counted(visit: Visit) -> float:
    """Crystals a hive for stock: the dose of the plan, else the trade's, never above the label's [g]."""
    dose = visit.job.wish.dose_g
    return plan.STOCK_DOSE_G.value if dose is None else dose


def _row(key: tuple[str, str, str], needed: float, stock: pd.DataFrame, last: Any, heading: str) -> dict[str, Any]:
    product, word, unit = key
    mine = stock[(stock["product"].str.casefold() == product.casefold()) & (product != "")]
    mine = mine[mine["unit"] == ("g" if unit.startswith("g ") else unit)]
    in_date = mine[mine["expiry"].isna() | (mine["expiry"] >= pd.Timestamp(last))] if len(mine) else mine
    in_hand = float(in_date["balance"].clip(lower=0).sum(min_count=1)) if len(in_date) else math.nan
    comparable = not math.isnan(in_hand)
    to_buy = max(0.0, needed - in_hand) if comparable else needed
    return {
        "product": product or "not recorded",
        "treatment": word,
        "needed": needed,
        "in_hand": in_hand,
        "to_buy": to_buy,
        "unit": unit,
        "expires": in_date["expiry"].min() if len(in_date) else pd.NaT,
        "leftover": max(0.0, in_hand - needed) if comparable else math.nan,
        "note": "; ".join(_notes(word, mine, in_date, comparable, heading)),
    }


def _notes(word: str, mine: pd.DataFrame, in_date: pd.DataFrame, comparable: bool, heading: str) -> list[str]:
    said = [heading] if heading and word in OXALIC else []
    if not comparable:
        said.append("what is in hand is not recorded in this unit: count it before buying")
    if len(in_date) < len(mine):
        out = mine[~mine.index.isin(in_date.index)]["batch"]
        said.append(f"out of date by then: batch {', '.join(batch or 'not recorded' for batch in out)}")
    return said
