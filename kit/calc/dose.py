"""Grams: product, crystals and acid; what a spoon does to them; what the label allows; what to weigh out.

`product_g` is what the tub holds, `dose_g` the crystals (oxalic acid dihydrate) in it, `oa_g` the anhydrous acid.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from kit.calc.ranges import Band
from kit.checks import not_negative, positive, within
from kit.constants import chemistry
from kit.errors import ValidityError

LABEL_UNITS = ("g product per hive", "g oad per hive", "g product per brood box", "g oad per brood box")
"""The four ways a label states its limit, as the sheet `labels` has them, lower case."""


def oa_from_crystals_g(dose_g: float) -> float:
    """Anhydrous acid in crystals.

    Parameters
    ----------
    dose_g : float
        Crystals [g].

    Returns
    -------
    float
        Acid [g].

    Raises
    ------
    ValidityError
        A negative dose.

    References
    ----------
    handbook chemistry

    Examples
    --------
    >>> round(oa_from_crystals_g(2.3), 3)
    1.643
    """
    return not_negative("dose_g", dose_g) * chemistry.OA_PER_OAD.value


def crystals_from_oa_g(oa_g: float) -> float:
    """Crystals that hold so much anhydrous acid: the inverse of `oa_from_crystals_g`.

    Parameters
    ----------
    oa_g : float
        Acid [g].

    Returns
    -------
    float
        Crystals [g].

    Raises
    ------
    ValidityError
        A negative mass.
    """
    return not_negative("oa_g", oa_g) / chemistry.OA_PER_OAD.value


def crystals_from_product_g(product_g: float, *, strength_mg_per_g: float) -> float:
    """Crystals in a product.

    Parameters
    ----------
    product_g : float
        Of the tub [g].
    strength_mg_per_g : float
        Crystals in it, by its label, above 0 to 1000 [mg/g].

    Returns
    -------
    float
        [g].

    Raises
    ------
    ValidityError
        A negative mass, or a strength outside its range.

    References
    ----------
    powder_spc2015

    Examples
    --------
    >>> round(crystals_from_product_g(2.3, strength_mg_per_g=886), 2)
    2.04
    """
    return not_negative("product_g", product_g) * _strength(strength_mg_per_g)


def product_from_crystals_g(dose_g: float, *, strength_mg_per_g: float) -> float:
    """Product to weigh for a dose of crystals: the inverse of `crystals_from_product_g`.

    Parameters
    ----------
    dose_g : float
        Crystals [g].
    strength_mg_per_g : float
        Crystals in the product, above 0 to 1000 [mg/g].

    Returns
    -------
    float
        [g].

    Raises
    ------
    ValidityError
        A negative dose, or a strength outside its range.
    """
    return not_negative("dose_g", dose_g) / _strength(strength_mg_per_g)


def _strength(strength_mg_per_g: float) -> float:
    return within("strength_mg_per_g", positive("strength_mg_per_g", strength_mg_per_g), 0, 1000) / 1000


def label_limit_g(max_dose: float, *, unit: str, brood_boxes: int = 1, strength_mg_per_g: float) -> float:
    """Most crystals a hive may get in one round, by the label in its own unit.

    Parameters
    ----------
    max_dose : float
        As printed, in `unit` [g].
    unit : str
        One of `LABEL_UNITS`; without regard to case.
    brood_boxes : int
        Of the hive, 1 or more; counts where the label goes by the brood box.
    strength_mg_per_g : float
        Crystals in the product [mg/g].

    Returns
    -------
    float
        Crystals [g].

    Raises
    ------
    ValidityError
        A limit or a number of boxes not above zero, or a unit that is none of the four.

    Examples
    --------
    >>> round(label_limit_g(2.3, unit="g product per hive", brood_boxes=2, strength_mg_per_g=886), 2)
    2.04
    """
    positive("max_dose", max_dose)
    positive("brood_boxes", brood_boxes)
    words = unit.casefold().split()
    if " ".join(words) not in LABEL_UNITS:
        raise ValidityError(f"unit must be one of {', '.join(LABEL_UNITS)}: got {unit!r}")
    boxes = brood_boxes if words[-1] == "box" else 1
    return max_dose * boxes * (_strength(strength_mg_per_g) if words[1] == "product" else 1.0)


def allowed_dose_g(wanted_g: float, limit_g: float) -> float:
    """The dose to plan with: what is wanted, never above the label.

    Parameters
    ----------
    wanted_g, limit_g : float
        Crystals [g].

    Returns
    -------
    float
        [g].
    """
    return min(not_negative("wanted_g", wanted_g), positive("limit_g", limit_g))


class Spoon(NamedTuple):
    """A measuring spoon: nominal grams, what it holds on average against that, and its scatter from one to the next.

    Parameters
    ----------
    nominal_g : float
        [g].
    bias_pct : float
        Mean over nominal, less one [%].
    scatter_pct : float
        Standard deviation of one spoon [%].
    """

    nominal_g: float
    bias_pct: float = 0.0
    scatter_pct: float = 6.0

    @property
    def dose(self) -> Band:
        """What one spoon gives [g]."""
        mean = self.nominal_g * (1 + self.bias_pct / 100)
        spread = 1.645 * mean * self.scatter_pct / 100
        return Band(max(mean - spread, 0.0), mean, mean + spread)


def spoon_from_weighing(grams: Sequence[float], *, nominal_g: float) -> Spoon:
    """A spoon's bias and scatter from weighing some spoons one by one.

    Parameters
    ----------
    grams : sequence of float
        At least three spoons [g].
    nominal_g : float
        What it is said to hold [g].

    Returns
    -------
    Spoon
        With the sample's mean and standard deviation.

    Raises
    ------
    ValidityError
        Fewer than three, or a mass not above zero.

    Examples
    --------
    >>> round(spoon_from_weighing([2.2, 2.3, 2.4], nominal_g=2.0).bias_pct, 1)
    15.0
    """
    if len(grams) < 3:
        raise ValidityError(f"grams must hold 3 spoons or more: got {len(grams)}; weigh some more, one by one")
    for gram in grams:
        positive("grams", gram)
    mean = math.fsum(grams) / len(grams)
    spread = math.sqrt(math.fsum((gram - mean) ** 2 for gram in grams) / (len(grams) - 1))
    return Spoon(nominal_g, 100 * (mean / positive("nominal_g", nominal_g) - 1), 100 * spread / mean)


def spoon_within_limit_g(limit_g: float, *, scatter_pct: float = Spoon(1.0).scatter_pct) -> float:
    """What a spoon may hold on average so that 19 of 20 spoonfuls stay within a limit.

    Parameters
    ----------
    limit_g : float
        By the label [g].
    scatter_pct : float
        Standard deviation of one spoonful [%].

    Returns
    -------
    float
        [g].

    Raises
    ------
    ValidityError
        A limit not above zero or a negative scatter.

    Examples
    --------
    >>> round(spoon_within_limit_g(2.3), 2)
    2.09
    """
    return positive("limit_g", limit_g) / (1 + 1.645 * not_negative("scatter_pct", scatter_pct) / 100)


def weigh_out_g(colonies: int, product_g: float, *, spoon: Spoon | None = None, spare_colonies: int = 1) -> float:
    """Product to take to a visit.

    Parameters
    ----------
    colonies : int
        To treat.
    product_g : float
        For each [g].
    spoon : Spoon, optional
        Its bias and scatter are allowed for, scatter at two standard deviations of the sum.
    spare_colonies : int
        Doses to spare for spills.

    Returns
    -------
    float
        [g]; zero when there is nothing to treat.

    Raises
    ------
    ValidityError
        A negative number.

    Examples
    --------
    >>> weigh_out_g(20, 2.5)
    52.5
    """
    not_negative("colonies", colonies)
    not_negative("product_g", product_g)
    if colonies == 0:
        return 0.0
    doses = colonies + not_negative("spare_colonies", spare_colonies)
    bias, scatter = (spoon.bias_pct, spoon.scatter_pct) if spoon else (0.0, 0.0)
    return product_g * (1 + bias / 100) * (doses + 2 * scatter / 100 * math.sqrt(doses))
