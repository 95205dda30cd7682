"""Hives in classes: a number of hives names the one keeper who has just so many, a class of them does not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np


class HiveClass(NamedTuple):
    """Hives from the least to the most of a class, and the number that stands for all of them."""

    least: int
    most: int
    middle: int


NO_END = 10**9
CLASSES = tuple(
    HiveClass(*one) for one in ((1, 9, 7), (10, 24, 16), (25, 49, 35), (50, 99, 70), (100, NO_END, 130))
)  # fmt: skip
"""Of an apiary."""
OPERATIONS = (HiveClass(1, 24, 16), *CLASSES[2:-1], HiveClass(100, NO_END, 160))
"""Of an operation: few have fewer than ten hives and send packs, and the few with very many would stand alone."""


def size_words(least: int, most: int) -> str:
    """Hives from the least to the most in words.

    Examples
    --------
    >>> size_words(25, 49), size_words(100, NO_END)
    ('25 to 49 hives', '100 hives and more')
    """
    return f"{least} hives and more" if most >= NO_END else f"{least} to {most} hives"


def class_of(hives: int, classes: Sequence[HiveClass] = OPERATIONS) -> HiveClass:
    """The class of so many hives, at least one.

    Examples
    --------
    >>> class_of(57)
    HiveClass(least=50, most=99, middle=70)
    """
    return next(one for one in classes if hives <= one.most)


def in_class(hives: int, classes: Sequence[HiveClass] = OPERATIONS) -> int:
    """The number that stands for so many hives; none stays none.

    Examples
    --------
    >>> in_class(57), in_class(0)
    (70, 0)
    """
    return class_of(hives, classes).middle if hives > 0 else 0


def in_proportion(part: int, whole: int, told: int) -> int:
    """A part of a whole as the like part of another number, rounded.

    Examples
    --------
    >>> in_proportion(6, 57, 70), in_proportion(57, 57, 70), in_proportion(0, 0, 0)
    (7, 70, 0)
    """
    return int(told * part / whole + 0.5) if whole else 0


def apportioned(parts: Sequence[int], told: int) -> list[int]:
    """Parts in proportion that add up to a number (largest remainders; of like ones the first).

    Examples
    --------
    >>> apportioned([3, 2, 1], 7), apportioned([0, 0], 0)
    ([4, 2, 1], [0, 0])
    """
    shares = np.array(parts, dtype=float) * told / max(sum(parts), 1)
    whole = np.floor(shares)
    first = np.argsort(whole - shares, kind="stable")[: round(float(shares.sum() - whole.sum()))]
    whole[first] += 1
    return [int(one) for one in whole]
