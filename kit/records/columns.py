"""Short ways to describe a column; the defaults of each kind of cell stand here once."""

import math

from kit.records.column import Column
from kit.records.words import YES_NO, YES_NO_ALSO


def day(name: str, text: str, example: str = "", *, required: bool = False) -> Column:
    """A date column."""
    return Column(name, "date", text, example, required=required)


def number(
    name: str, text: str, example: str = "", *, unit: str = "", low: float = 0.0, high: float = math.inf
) -> Column:
    """A number column, not negative unless said."""
    return Column(name, "number", text, example, unit=unit, low=low, high=high)


def whole(name: str, text: str, example: str = "", *, low: float = 0.0, high: float = 100_000.0) -> Column:
    """A column of whole numbers, not negative unless said."""
    return Column(name, "whole", text, example, low=low, high=high)


def word(name: str, text: str, words: tuple[str, ...], example: str = "", *, required: bool = False) -> Column:
    """A column of words from a list."""
    return Column(name, "word", text, example, words=words, required=required)


def yes_no(name: str, text: str, example: str = "") -> Column:
    """A column of yes and no."""
    return Column(name, "word", text, example, words=YES_NO, also=YES_NO_ALSO)


def text(name: str, help_text: str, example: str = "", *, required: bool = False) -> Column:
    """A column of free text."""
    return Column(name, "text", help_text, example, required=required)


def ident(name: str, help_text: str, example: str = "", *, names: str = "", required: bool = False) -> Column:
    """A column of ids; `names` is the table they point to."""
    return Column(name, "id", help_text, example, names=names, required=required)


def apiary(help_text: str = "The apiary, by its id in `apiaries`.", example: str = "MEADOW") -> Column:
    """The id of an apiary, without which the row cannot be placed."""
    return ident("apiary", help_text, example, names="apiaries", required=True)


def colony(help_text: str) -> Column:
    """The id of a colony, which may be left empty."""
    return ident("colony", help_text, "M3", names="colonies")


def notes() -> Column:
    """Free text at the end of a sheet."""
    return text("notes", "Anything else worth keeping, in your own words.")
