"""Which batch of a product to use first, and what is left, out of date or lacking."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from kit.checks import not_negative


@dataclass(frozen=True)
class Batch:
    """What is left of one batch.

    Parameters
    ----------
    batch : str
        As printed.
    left_g : float
        Product [g].
    expires : date or None
        Last day it may be used; None when not recorded.
    """

    batch: str
    left_g: float
    expires: date | None = None


class BatchUse(NamedTuple):
    """How a need is met from the batches at hand [g]."""

    taken_g: dict[str, float]
    left_g: dict[str, float]
    expired_g: dict[str, float]
    short_g: float


def use_batches(batches: Sequence[Batch], *, need_g: float, on: date) -> BatchUse:
    """Which batch to use: the one that expires first, none after its day; what is left, out of date, or lacking.

    Parameters
    ----------
    batches : sequence of Batch
        Each batch once.
    need_g : float
        Product [g].
    on : date
        Day of use.

    Returns
    -------
    BatchUse
        `taken_g` in the order to use; batches without a date come last.

    Raises
    ------
    ValidityError
        A negative number.
    """
    need = not_negative("need_g", need_g)
    good = [b for b in batches if b.expires is None or b.expires >= on]
    taken: dict[str, float] = {}
    left = {b.batch: not_negative("left_g", b.left_g) for b in batches}
    for batch in sorted(good, key=lambda b: (b.expires or date.max, b.batch)):
        take = min(left[batch.batch], need)
        if take > 0:
            taken[batch.batch] = take
        left[batch.batch] -= take
        need -= take
    expired = {b.batch: left[b.batch] for b in batches if b not in good}
    return BatchUse(taken, left, expired, need)
