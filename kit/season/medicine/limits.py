"""Rounds that went beyond the label, said once for each product and season; limits in the label's own unit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.records.corrections import in_force, rows_by_place
from kit.records.season import MonthDay, label_on
from kit.season.units import colonies_named

if TYPE_CHECKING:
    from kit.records.records import Records

Row = Mapping[str, Any]
COLUMNS = ("product", "season", "limit", "recorded", "lines", "since", "what")


def label_breaches(records: Records) -> pd.DataFrame:
    """One row for each product, season and kind of limit; `lines` counts the treatment lines beyond it.

    Columns `product season limit recorded lines since what`; `limit` names the limit (dose, rounds, supers, cold,
    warmth), `recorded` is the furthest that was recorded, in the label's unit, NaN for supers.
    """
    treatments = in_force(records.tables["treatments"])
    labels = records.tables["labels"].sort_values("read_on", kind="stable", na_position="first")
    first_day = MonthDay(records.season.start.month, records.season.start.day)
    by_product = {str(row["product"]).casefold(): row for row in rows_by_place(labels).values()}
    rows: list[dict[str, Any]] = []
    season = treatments["date"].map(lambda day: label_on(day.date(), first_day))
    for (product, year), part in treatments.groupby([treatments["product"].str.casefold(), season], sort=True):
        if label := by_product.get(str(product)):
            rows += [found | {"product": label["product"], "season": year} for found in _breaches(part, label, records)]
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype({"since": "datetime64[us]", "recorded": "float64"})


def dose_in_label_unit(row: Row, label: Row, boxes: float) -> float:
    """One recorded dose in the unit of the label's limit: product or crystals, per hive or per brood box.

    `boxes` is the number of brood boxes that the dose was for. NaN where the units do not meet.

    Examples
    --------
    2.3 g of a product with 886 mg/g, on a limit in crystals for each brood box of a double hive:

    >>> label = {"dose_unit": "g oad per brood box", "strength_mg_per_g": 886.0}
    >>> round(dose_in_label_unit({"dose": 2.3, "unit": "g"}, label, boxes=2), 4)
    1.0189
    """
    amount, _, box = str(label["dose_unit"]).partition(" per ")
    unit, _, of = amount.partition(" ")
    if unit != row["unit"]:
        return math.nan
    dose = float(row["dose"]) * (float(label["strength_mg_per_g"]) / 1000 if of == "oad" else 1.0)
    return dose / boxes if box == "brood box" else dose


def _breaches(part: pd.DataFrame, label: Row, records: Records) -> list[dict[str, Any]]:
    found = [
        _dose(part, label, records),
        _rounds(part, label),
        _supers(part, label),
        _air(part, label, "min_c", "cold"),
        _air(part, label, "max_c", "warmth"),
    ]
    return [breach for breach in found if breach]


def _dose(part: pd.DataFrame, label: Row, records: Records) -> dict[str, Any]:
    limit = float(label["max_dose"])
    rows = rows_by_place(part).values()
    doses = pd.Series(
        [dose_in_label_unit(row, label, _boxes(row, records)) for row in rows], part.index, dtype="float64"
    )
    over = part[doses > limit * (1 + 1e-9)]
    unit = str(label["dose_unit"])
    said = f"up to {doses.max():.3g} {unit} of {label['product']} where its label allows {limit:.3g}"
    if unit.endswith("brood box"):
        said += " (one brood box where their number is not recorded)"
    return _found("dose", over, float(doses.max()), said)


def _boxes(row: Row, records: Records) -> float:
    """Fewest brood boxes among the colonies treated; one where nothing is recorded."""
    colonies = records.tables["colonies"]
    there = colonies[colonies["apiary"] == row["apiary"]]
    if named := colonies_named(str(row["colonies"])):
        there = there[there["colony"].isin(named)]
    fewest = there["brood_boxes"].min()
    return 1.0 if pd.isna(fewest) else float(fewest)


def _rounds(part: pd.DataFrame, label: Row) -> dict[str, Any]:
    limit = float(label["max_rounds_per_year"])
    days = part.drop_duplicates(["apiary", "date"]).sort_values("date", kind="stable")
    over = days[days.groupby("apiary").cumcount() + 1 > limit]
    most = days.groupby("apiary").size().max()
    said = f"up to {most} rounds of {label['product']} at one apiary where its label allows {limit:.0f} a year"
    return _found("rounds", over, float(most), said)


def _supers(part: pd.DataFrame, label: Row) -> dict[str, Any]:
    forbidden = part[(part["supers_on"] == "yes") & (label["supers_allowed"] == "no")]
    said = f"{label['product']} with supers on, which its label does not allow"
    return _found("supers", forbidden, math.nan, said)


def _air(part: pd.DataFrame, label: Row, bound: str, name: str) -> dict[str, Any]:
    limit, sign = float(label[bound]), 1 if bound == "max_c" else -1
    beyond = part[sign * part["air_c"] > sign * limit]
    furthest = sign * float((sign * part["air_c"]).max())
    side = "at most" if sign > 0 else "at least"
    said = f"{label['product']} at {furthest:.0f} °C where its label says {side} {limit:.0f}"
    return _found(name, beyond, furthest, said)


def _found(limit: str, over: pd.DataFrame, recorded: float, said: str) -> dict[str, Any]:
    if over.empty:
        return {}
    return {"limit": limit, "recorded": recorded, "lines": len(over), "since": over["date"].min(), "what": said}
