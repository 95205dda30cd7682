"""Text of a cell to a number, a word, a clock time: one reading for each, with what is wrong when it is not one."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from functools import cache
from typing import Any, NamedTuple

from kit.records.column import Column


class Reading(NamedTuple):
    """What a cell says.

    Parameters
    ----------
    value : object
        The typed value; None when the cell could not be read.
    wrong : str
        What is wrong, or doubtful although it was read; "" when nothing is.
    remedy : str
        What to write instead.
    """

    value: Any
    wrong: str = ""
    remedy: str = ""


_NUMBER = re.compile(
    r"^(?P<about>~|≈|ca\.?|c\.|about|approx\.?)?\s*(?P<money>[£$€])?\s*"
    r"(?P<digits>[-+−–]?(?:\d[\d\s'’]*(?:[.,]\d+)*[.,]?|[.,]\d+))\s*(?P<unit>[^\d\s].*)?$",
    re.IGNORECASE,
)
_THOUSANDS = {",": re.compile(r"^\d{1,3}(,\d{3})+$"), ".": re.compile(r"^\d{1,3}(\.\d{3})+$")}

UNITS: dict[str, dict[str, float]] = {
    "min": {"min": 1, "mins": 1, "minute": 1, "minutes": 1, "h": 60, "hr": 60, "hour": 60, "hours": 60},
    "s": {"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1, "min": 60, "minutes": 60},
    "days": {"d": 1, "day": 1, "days": 1, "week": 7, "weeks": 7},
    "°C": {"°c": 1, "c": 1, "°": 1, "deg c": 1, "degc": 1, "º": 1, "ºc": 1},
    "°": {"°": 1, "deg": 1, "º": 1},
    "%": {"%": 1, "pct": 1, "percent": 1, "per cent": 1},
    "V": {"v": 1, "volt": 1, "volts": 1},
    "W": {"w": 1, "watt": 1, "watts": 1, "kw": 1000},
    "Ah": {"ah": 1, "amp hours": 1},
    "g": {"g": 1, "gram": 1, "grams": 1, "gr": 1, "kg": 1000, "mg": 0.001},
    "mg/g": {"mg/g": 1, "mg per g": 1},
    "mm": {"mm": 1, "cm": 10},
    "km/h": {"km/h": 1, "kmh": 1, "kph": 1, "m/s": 3.6, "mph": 1.609344},
    "frames": {"frame": 1, "frames": 1, "f": 1},
    "h": {"h": 1, "hr": 1, "hour": 1, "hours": 1, "min": 1 / 60},
    "": {"mites": 1, "mite": 1, "hives": 1, "hive": 1, "colonies": 1, "bees": 1, "boxes": 1, "x": 1},
}
"""Spellings of each unit that may be typed beside a number, with the factor to the column's own unit."""

ELSEWHERE = {"°f", "f", "fahrenheit", "lb", "lbs", "oz", "miles", "mi", "in", "inch", "inches", "ft"}
"""Units that no column holds, so that a heading that carries one is not taken for a remark."""


def is_unit(text: str) -> bool:
    """Whether a text is the spelling of some unit."""
    return text.casefold() in ELSEWHERE or any(text.casefold() in spelled for spelled in UNITS.values())


def plain(text: str) -> str:
    """Lower-case with every run of spaces, hyphens and underscores as one space.

    Examples
    --------
    >>> plain("  Oxalic-Sublimation ")
    'oxalic sublimation'
    """
    return " ".join(re.sub(r"[\s_\-‐-―]+", " ", text.casefold()).split())


def read_number(text: str, column: Column) -> Reading:
    """A number with a decimal point or comma, a unit typed in, within the column's range.

    Examples
    --------
    >>> from kit.records.column import Column
    >>> read_number("2,3 g", Column("spoon_g", "number", "", unit="g")).value
    2.3
    """
    match = _NUMBER.match(text.strip())
    if match is None:
        return Reading(None, "not a number", _number_remedy(column))
    factor = _factor(match["unit"] or match["money"] or "", column)
    if factor is None:
        wrong = f"not a number in {column.unit}" if column.unit else "not a number"
        return Reading(None, wrong, _number_remedy(column))
    values = [value * factor for value in _values(match["digits"])]
    fitting = [value for value in values if _fits(value, column)]
    if len(fitting) == 2:
        return Reading(None, "a comma that may part thousands or decimals", f"write {values[0]:g} or {values[1]:g}")
    if not fitting:
        return Reading(None, *_misfit(values, column))
    about = f"an estimate, read as {fitting[0]:g}" if match["about"] else ""
    return Reading(fitting[0], about, "nothing, if that is what you meant" if about else "")


def _values(digits: str) -> list[float]:
    """The one or two numbers these digits can stand for."""
    text = re.sub(r"[\s'’]", "", digits).replace("−", "-").replace("–", "-")
    sign, body = (-1.0, text[1:]) if text.startswith("-") else (1.0, text.lstrip("+"))
    readings = _points_and_commas(body)
    return [sign * float(reading) for reading in readings]


def _points_and_commas(body: str) -> list[str]:
    if "," in body and "." in body:
        decimal, thousands = (",", ".") if body.rfind(",") > body.rfind(".") else (".", ",")
        whole, _, rest = body.rpartition(decimal)
        return [f"{whole.replace(thousands, '')}.{rest}"] if _THOUSANDS[thousands].match(whole) else []
    for mark in (",", "."):
        if body.count(mark) > 1:
            return [body.replace(mark, "")] if _THOUSANDS[mark].match(body) else []
    if _THOUSANDS[","].match(body) and not body.startswith("0"):
        return [body.replace(",", "."), body.replace(",", "")]
    return [body.replace(",", ".")]


def _fits(value: float, column: Column) -> bool:
    return column.low <= value <= column.high and (column.kind != "whole" or value == int(value))


def _misfit(values: list[float], column: Column) -> tuple[str, str]:
    if not values:
        return "not a number: points and commas are mixed", _number_remedy(column)
    if column.kind == "whole" and column.low <= values[0] <= column.high:
        return "not a whole number", "write a whole number, or leave it empty"
    return f"{column.name} must be {span(column)}: got {values[0]:g}", "check the number against your notebook"


def span(column: Column) -> str:
    """The range of a number in words, as `between 0 and 100 %`."""
    unit = f" {column.unit}" if column.unit else ""
    if column.high == float("inf"):
        return f"at least {column.low:g}{unit}" if column.low > float("-inf") else "a number"
    return f"between {column.low:g} and {column.high:g}{unit}"


def _factor(unit: str, column: Column) -> float | None:
    spelled = unit.casefold().strip().rstrip(".")
    if spelled in {"", "£", "$", "€"}:
        return 1.0
    return UNITS.get(column.unit, {column.unit.casefold(): 1.0}).get(spelled)


def _number_remedy(column: Column) -> str:
    return f"write a number in {column.unit}, or leave it empty" if column.unit else "write a number, or leave it empty"


def read_word(text: str, column: Column) -> Reading:
    """One of the column's words in any case; a near miss is suggested, never taken.

    Examples
    --------
    >>> from kit.records.column import Column
    >>> read_word("Por", Column("seal", "word", "", words=("good", "fair", "poor"))).remedy
    'did you mean "poor"?'
    """
    known = _known_words(column)
    spelled = plain(re.sub(r"[.,;:!?]+$", "", text.strip()).replace(", ", " "))
    if spelled in known:
        return Reading(known[spelled])
    kept = spelled if column.keeps_unknown else None
    return Reading(kept, _unknown(column), suggestion(spelled, column.words))


@cache
def _known_words(column: Column) -> dict[str, str]:
    return {plain(word): word for word in column.words} | dict(column.also)


def _unknown(column: Column) -> str:
    return "a word the kit does not know" + (": kept, with no kill assumed" if column.keeps_unknown else "")


def suggestion(text: str, words: Sequence[str], otherwise: str = "") -> str:
    """The nearest of the words as a question; else `otherwise`, or the words as a choice."""
    near = difflib.get_close_matches(text.casefold(), [word.casefold() for word in words], n=1, cutoff=0.7)
    if near:
        meant = next(word for word in words if word.casefold() == near[0])
        return f'did you mean "{meant}"?'
    shown = ", ".join(words[:12]) + (", …" if len(words) > 12 else "")
    return otherwise or (f"write one of: {shown}" if words else "check the spelling")


_CLOCK = re.compile(
    r"^(?:\S+[T\s]+)?(\d{1,2})(?:[:.h]\s?(\d{2}))?(?:[:.]\d{2}(?:\.\d+)?)?\s*(am|pm|a\.m\.|p\.m\.|h|uhr)?$", re.I
)


def read_clock(text: str, _column: Column) -> Reading:
    """A clock time as `HH:MM`.

    Examples
    --------
    >>> from kit.records.column import Column
    >>> read_clock("9.05 pm", Column("start", "clock", "")).value
    '21:05'
    """
    compact = re.sub(r"^(\d{2})(\d{2})$", r"\1:\2", text.strip())
    match = _CLOCK.match(compact)
    hour, minute = (int(match[1]), int(match[2] or 0)) if match else (99, 0)
    half = (match[3] or "").casefold().replace(".", "") if match else ""
    if half in {"am", "pm"} and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 23 or minute > 59:
        return Reading(None, "not a clock time", "write it as 09:30")
    return Reading(f"{hour:02d}:{minute:02d}")


CUT_AT = 255
"""Letters after which some programs cut a cell off without a word."""


def read_text(text: str, _column: Column) -> Reading:
    """The text as it stands, doubtful when it is just as long as a cell that was cut off."""
    if len(text) != CUT_AT:
        return Reading(text)
    return Reading(text, f"exactly {CUT_AT} letters long: the end may have been cut off", "look at its end")
