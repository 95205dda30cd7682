"""The shape of a sourced number."""

from dataclasses import dataclass
from typing import Literal

from kit.errors import ValidityError
from kit.sources import SOURCES

Kind = Literal["defined", "measured", "fitted", "derived", "label", "common practice", "assumed"]
Seen = Literal["read", "second-hand", "memory"]


@dataclass(frozen=True, slots=True)
class Constant:
    """A number that says where it comes from.

    Parameters
    ----------
    value : float
        The value in use, in `unit`.
    unit : str
        As printed, "1" for a pure number.
    low, high : float
        The range it may lie in, in `unit`; equal to `value` only for defined numbers.
    source : str
        A key of `kit.sources.SOURCES`; "assumed" and "common practice" are keys too.
    kind : Kind
        What sort of number it is.
    seen : Seen
        How it was met: read in the source or its abstract, in a page that quotes it, or from memory.
    note : str
        What a reader should know before leaning on it.

    Raises
    ------
    ValidityError
        When the value lies outside its range or the source is unknown.
    """

    value: float
    unit: str
    low: float
    high: float
    source: str
    kind: Kind
    seen: Seen
    note: str = ""

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValidityError(f"value must lie in {self.low:g} to {self.high:g}: got {self.value:g}")
        if self.source not in SOURCES:
            raise ValidityError(f"source must be a key of kit.sources.SOURCES: got {self.source!r}")
