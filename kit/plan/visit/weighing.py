"""Grams to weigh out: for each visit within the label, and for the season batch by batch."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd

from kit.calc.batches import Batch, use_batches
from kit.calc.dose import Spoon, product_from_crystals_g, spoon_within_limit_g, weigh_out_g
from kit.calc.ranges import Band
from kit.constants.treatment_words import OXALIC, SUBLIMATION
from kit.plan.ahead import Ahead
from kit.plan.labels import strength_mg_per_g
from kit.plan.rota import Rota, Visit
from kit.plan.visit.packing import spare_doses
from kit.plan.visit.visits import deed, visit_id

WEIGHING_COLUMNS = [
    *("visit_id", "apiary", "date", "product", "doses", "spare", "each_g", "limit_g", "weigh_g", "of"),
    *("spoon_g_p05", "spoon_g_p50", "spoon_g_p95", "advice"),
]
SEASON_COLUMNS = ["product", "batch", "of", "needed_g", "in_hand_g", "expires", "taken_g", "left_g", "note"]
TO_BUY = "to buy"
NO_SPOON = Band(math.nan, math.nan, math.nan)


def weighing_table(rota: Rota, ahead: Ahead, labels: pd.DataFrame, spoon_g: float | None) -> pd.DataFrame:
    """One row for each oxalic round: what to weigh for its hives, in `of` (product or crystals).

    Parameters
    ----------
    rota : Rota
        The visits.
    ahead : Ahead
        For their keys.
    labels : DataFrame
        The sheet, for a product's strength.
    spoon_g : float or None
        What the spoon of the sheet `gear` is said to hold; None takes a spoon made for the dose [g].
    """
    given = [v for v in rota.visits if v.job.wish.word in OXALIC and deed(v) == "treat"]
    rows = [{"visit_id": visit_id(v, ahead.label)} | weighing_row(v, labels, spoon_g) for v in given]
    text = {"date": "datetime64[us]"} | dict.fromkeys([c for c in WEIGHING_COLUMNS if "_g" in c], "float64")
    return pd.DataFrame(rows, columns=WEIGHING_COLUMNS).astype(text)


def spoon_of(gear: pd.DataFrame) -> float | None:
    """What the spoon of the sheet is said to hold, the middle of several; None when not recorded [g]."""
    spoons = gear["spoon_g"].dropna()
    return float(spoons.median()) if len(spoons) else None


def weighing_row(visit: Visit, labels: pd.DataFrame, spoon_g: float | None) -> dict[str, Any]:
    """Grams of one visit; NaN where no dose is recorded, for then the label says it."""
    wish, hives = visit.job.wish, visit.job.hives
    strength, spare = strength_mg_per_g(labels, wish.product), spare_doses(hives)
    dose = math.nan if wish.dose_g is None else wish.dose_g
    each = dose if strength is None or math.isnan(dose) else product_from_crystals_g(dose, strength_mg_per_g=strength)
    limit = _limit_g(visit, strength)
    spooned = wish.word == SUBLIMATION and not math.isnan(each)
    spoon = Spoon(spoon_g if spoon_g and strength is not None else each).dose if spooned else NO_SPOON
    return {
        "apiary": wish.apiary, "date": visit.day, "product": wish.product or "not recorded",
        "doses": hives + spare, "spare": spare, "each_g": each, "limit_g": limit,
        "weigh_g": math.nan if math.isnan(each) else weigh_out_g(hives, each, spare_colonies=spare),
        "of": "crystals" if strength is None else "product",
        **dict(zip(("spoon_g_p05", "spoon_g_p50", "spoon_g_p95"), spoon, strict=True)),
        "advice": _advice(each, limit, spoon),
    }  # fmt: skip


def _limit_g(visit: Visit, strength: float | None) -> float:
    label = visit.job.wish.label
    limit = None if label is None else label.max_crystals_g if strength is None else label.max_product_g
    return math.nan if limit is None else limit


def _advice(each: float, limit: float, spoon: Band) -> str:
    if math.isnan(each):
        return "no dose is recorded: the label of the product says what a hive gets"
    if spoon.p95 > limit * (1 + 1e-9):
        holds = spoon_within_limit_g(limit)
        return (
            f"weigh each dose: spoonfuls scatter, and one that holds {spoon.p50:.3g} g may go above the label's "
            f"{limit:.3g} g; a level spoon of {holds:.2f} g stays within it 19 times in 20"
        )
    return "" if not math.isnan(limit) else "no limit of a label is recorded: read it before the first hive"


def season_weighing(weighing: pd.DataFrame, stock: pd.DataFrame) -> pd.DataFrame:
    """Grams of the whole season by product and batch: the batch that goes out of date first, first.

    Columns `SEASON_COLUMNS`; a row with the batch `to buy` holds what no batch in hand covers.
    """
    known = weighing.dropna(subset=["weigh_g"])
    rows = [row for (product, of), part in known.groupby(["product", "of"], sort=True)
            for row in _product_rows(str(product), str(of), part, stock)]  # fmt: skip
    kinds = {"expires": "datetime64[us]"} | dict.fromkeys(["needed_g", "in_hand_g", "taken_g", "left_g"], "float64")
    return pd.DataFrame(rows, columns=SEASON_COLUMNS).astype(kinds)


def _product_rows(product: str, of: str, part: pd.DataFrame, stock: pd.DataFrame) -> list[dict[str, Any]]:
    needed = float(part["weigh_g"].sum())
    kept = {b.batch: b for b in _batches(product, stock)} if of == "product" else {}
    left, taken, short = {name: b.left_g for name, b in kept.items()}, dict.fromkeys(kept, 0.0), 0.0
    for day, grams in part.sort_values("date", kind="stable")[["date", "weigh_g"]].itertuples(index=False):
        held = [Batch(name, left[name], kept[name].expires) for name in kept]
        use = use_batches(held, need_g=grams, on=day.date())
        left, short = dict(use.left_g), short + use.short_g
        taken = {name: taken[name] + use.taken_g.get(name, 0.0) for name in kept}
    place = {"product": product, "of": of, "needed_g": needed}
    last = part["date"].max().date()
    rows = [place | _batch_row(kept[name], taken[name], left[name], last) for name in kept]
    bought = {"batch": TO_BUY, "in_hand_g": 0.0, "expires": pd.NaT, "taken_g": short, "left_g": 0.0}
    note = "" if kept else "no batch of it is recorded: count what is in hand before buying"
    return [*rows, place | bought | {"note": note}] if short > 0 else rows


def _batch_row(batch: Batch, taken: float, left: float, last: date) -> dict[str, Any]:
    out = batch.expires is not None and batch.expires < last and left > 0
    note = "out of date before the last round: hand the rest back by its label" if out else ""
    expires = pd.NaT if batch.expires is None else pd.Timestamp(batch.expires)
    cells = {"batch": batch.batch or "not recorded", "in_hand_g": batch.left_g, "expires": expires}
    return cells | {"taken_g": taken, "left_g": left, "note": note}


def _batches(product: str, stock: pd.DataFrame) -> list[Batch]:
    mine = stock[(stock["product"].str.casefold() == product.casefold()) & (stock["unit"] == "g")]
    mine = mine[mine["balance"] > 0]
    return [Batch(str(row["batch"]), float(row["balance"]), _day(row)) for row in mine.to_dict("records")]


def _day(row: Mapping[Any, Any]) -> date | None:
    return None if pd.isna(row["expiry"]) else row["expiry"].date()
