"""What the label in force allows, and what follows when no label entry was made."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Any, NamedTuple

import pandas as pd

from kit.constants.treatment_words import BY_WORD, NO_MEDICINE

IF_ALLOWED = "if your label or vet allows it"


class Label(NamedTuple):
    """One entry of the sheet `labels`; None where it says nothing.

    Parameters
    ----------
    product : str
        Its name.
    authorised : str
        yes, no, vet or ''.
    max_crystals_g : float or None
        Most oxalic crystals (OAD) a hive may get at one time [g].
    max_product_g : float or None
        The same in product [g].
    max_amount : float or None
        Most of it in `amount_unit` (strips, ml, trays, g), as it reads.
    amount_unit : str
        Unit of it.
    max_rounds : int or None
        Rounds a year.
    brood_free_only, supers_allowed : bool or None
        As it reads.
    withdrawal_days : float or None
        As it reads [days].
    min_c, max_c : float or None
        Coldest and hottest air it is for [°C].
    """

    product: str
    authorised: str
    max_crystals_g: float | None
    max_product_g: float | None
    max_amount: float | None
    amount_unit: str
    max_rounds: int | None
    brood_free_only: bool | None
    supers_allowed: bool | None
    withdrawal_days: float | None
    min_c: float | None = None
    max_c: float | None = None


Read = Callable[[str, str], Label | None]
"""The entry for a treatment and a product."""


def needs_label(word: str) -> bool:
    """Whether a treatment word stands for a medicine."""
    return word not in NO_MEDICINE


def label_for(labels: pd.DataFrame, word: str, product: str) -> Label | None:
    """The entry for a treatment: by the product's name, else the last one read whose active substance fits the word."""
    if labels.empty:
        return None
    named = labels[(labels["product"].str.casefold() == product.casefold()) & (product != "")]
    if not named.empty:
        return _label(named.iloc[-1])
    actives = BY_WORD[word].actives if word in BY_WORD else ()
    fits = labels["active"].str.casefold().map(lambda active: any(name in active for name in actives))
    rows = labels[fits & (labels["authorised"] != "no")] if not product else labels[fits].iloc[:0]
    return None if rows.empty else _label(rows.sort_values("read_on", kind="stable", na_position="first").iloc[-1])


def reader(labels: pd.DataFrame) -> Read:
    """`label_for` of these labels, each treatment and product looked up once."""
    return cache(partial(label_for, labels))


def authorised_for(read: Read, word: str, product: str) -> str:
    """The product to plan: the one given, or another of the same substance where its entry says it is no medicine here.

    The one given stays where no other entry was read.
    """
    label = read(word, product) if product else None
    if label is None or label.authorised != "no":
        return product
    other = read(word, "")
    return product if other is None else other.product


def strength_mg_per_g(labels: pd.DataFrame, product: str) -> float | None:
    """Crystals in a product [mg/g], None when no entry says."""
    named = labels[labels["product"].str.casefold() == product.casefold()]["strength_mg_per_g"].dropna()
    return float(named.iloc[-1]) if len(named) and product else None


def _label(row: Any) -> Label:
    strength = _number(row["strength_mg_per_g"])
    crystals, product = _most(_number(row["max_dose"]), str(row["dose_unit"]), strength)
    rounds = _number(row["max_rounds_per_year"])
    return Label(
        product=str(row["product"]),
        authorised=str(row["authorised"]),
        max_crystals_g=crystals,
        max_product_g=product,
        max_amount=_number(row["max_dose"]),
        amount_unit=str(row["dose_unit"]).split(" ")[0],
        max_rounds=None if rounds is None else int(rounds),
        brood_free_only=_yes_no(row["brood_free_only"]),
        supers_allowed=_yes_no(row["supers_allowed"]),
        withdrawal_days=_number(row["withdrawal_days"]),
        min_c=_number(row["min_c"]),
        max_c=_number(row["max_c"]),
    )


def _most(dose: float | None, unit: str, strength: float | None) -> tuple[float | None, float | None]:
    """The limit in crystals and in product; per brood box is read for one box, the careful way."""
    if dose is None:
        return None, None
    if "oad" in unit.casefold():
        return dose, dose * 1000 / strength if strength else None
    return dose * strength / 1000 if strength else None, dose


def _number(value: Any) -> float | None:
    return None if pd.isna(value) else float(value)


def _yes_no(value: Any) -> bool | None:
    return {"yes": True, "no": False}.get(str(value).strip().casefold())
