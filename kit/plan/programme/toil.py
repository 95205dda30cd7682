"""What a programme asks for at one apiary: visits, minutes, acid and money, as ranges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import pandas as pd

from kit.calc.ranges import Band
from kit.constants import Constant, plan
from kit.constants.treatment_words import NO_MEDICINE, OXALIC
from kit.plan.jobs import Means
from kit.plan.programme.wishes import IN_SPLITS, Wanted
from kit.plan.sites import Ground, Site
from kit.plan.work import minutes_at


class Toil(NamedTuple):
    """Work, acid and money of a programme.

    Parameters
    ----------
    visits : int
        Drives there and back alone.
    minutes : Band
        At the hives, carrying and driving [min].
    acid_g : Band
        Oxalic crystals, spills with the upper end [g]; NaN where no dose is recorded.
    cost : Band
        Labour and vehicle, without medicines [currency].
    medicine_cost : float
        At the prices last paid [currency]; NaN where one of them is not recorded.
    """

    visits: int
    minutes: Band
    acid_g: Band
    cost: Band
    medicine_cost: float


def toil_of(wishes: Sequence[Wanted], site: Site, ground: Ground, means: Means, prices: dict[str, float]) -> Toil:
    """What the treatments ask for at an apiary.

    Parameters
    ----------
    wishes : sequence of Wanted
        The treatments.
    site : Site
        The apiary.
    ground : Ground
        For the way there.
    means : Means
        Hands and what an hour costs.
    prices : dict
        By product, money for one unit as it was bought.
    """
    pace = plan.PACE_KNOWN if means.hands.paced_on else plan.PACE_GUESSED
    drive = 2 * float(ground.roads.minutes[0, ground.at(site.apiary) + 1])
    asked = _splits_asked(wishes, site)
    visits = sum(wish.visits for wish in wishes) + (asked > 0)
    there = asked * plan.SPLIT_MIN.value + sum(
        w.visits * minutes_at(w.word, w.at(site.hives), site.carry(w.window), means.hands) for w in wishes
    )
    labour = means.labour_per_hour / 60 * means.hands.crew.people
    at_hives, on_road = _band(there, pace), _band(visits * drive, plan.DRIVE_SPREAD)
    doses = sum(wish.rounds * wish.at(site.hives) * _crystals(wish) for wish in wishes)
    return Toil(
        visits,
        Band(*(a + b for a, b in zip(at_hives, on_road, strict=True))),
        Band(doses, doses, doses * (1 + plan.SPARE_DOSES_PCT.high / 100)),
        Band(*(a * labour + b * means.money_per_min for a, b in zip(at_hives, on_road, strict=True))),
        sum((_price(wish, site, prices) for wish in wishes), 0.0),
    )


def _splits_asked(wishes: Sequence[Wanted], site: Site) -> int:
    """Splits that the programme asks for and that would not be made without it."""
    made_for_it = site.splits is not None and not site.splits.anyway
    return sum(wish.at(site.hives) for wish in wishes if wish.basis == IN_SPLITS) if made_for_it else 0


def _band(middle: float, spread: Constant) -> Band:
    return Band(middle * spread.low, middle * spread.value, middle * spread.high)


def _crystals(wish: Wanted) -> float:
    if wish.word not in OXALIC:
        return 0.0
    return math.nan if wish.dose_g is None else wish.dose_g


def _price(wish: Wanted, site: Site, prices: dict[str, float]) -> float:
    """Of the medicine of one treatment."""
    if wish.label is None and not wish.product:
        return 0.0 if wish.word in NO_MEDICINE else math.nan
    each = _grams_of_product(wish) if wish.word in OXALIC else wish.amount
    price = prices.get(wish.product.casefold())
    return math.nan if each is None or price is None else wish.rounds * wish.at(site.hives) * each * price


def _grams_of_product(wish: Wanted) -> float | None:
    label = wish.label
    if wish.dose_g is None or label is None or label.max_product_g is None or not label.max_crystals_g:
        return None
    return wish.dose_g * label.max_product_g / label.max_crystals_g


def prices_of(medicines: pd.DataFrame) -> dict[str, float]:
    """By product, small letters, what one unit of it cost when it was last bought."""
    bought = medicines[(medicines["event"] == "bought") & (medicines["quantity"] > 0)].dropna(subset=["cost"])
    ordered = bought.sort_values("date", kind="stable")
    return {
        str(row["product"]).casefold(): float(row["cost"]) / float(row["quantity"])
        for row in ordered.to_dict("records")
    }
