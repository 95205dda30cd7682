"""The parts of speech: numbers, ranges, dates and lists as a person would say them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import floor, log10
from typing import Any, NamedTuple

Facts = Mapping[str, Any]

NOT_RECORDED = "not recorded"


class Sentence(NamedTuple):
    """A sentence of the first page and where its numbers stand.

    Parameters
    ----------
    text : str
        Plain text; escaped where it is shown.
    why : str
        Anchor of the chart or rows it comes from (see `ANCHORS`), "" when there is none.
    """

    text: str
    why: str = ""


ANCHORS = ("losses", "lateness", "kill", "loads", "first", "open", "effort", "gear", "trust", "plan")
"""Anchors a page may be asked for; `plan` stands on the page of the plan."""


MOST_NAMED = 3
"""How many apiaries or points a sentence names before it counts the rest."""


def a_count(n: float, one: str, many: str = "") -> str:
    """A number with its noun.

    Examples
    --------
    >>> a_count(1, "hive"), a_count(12, "hive"), a_count(0, "colony", "colonies")
    ('1 hive', '12 hives', 'no colonies')
    """
    noun = one if n == 1 else many or f"{one}s"
    return f"no {noun}" if n == 0 else f"{n:,.0f} {noun}"


def rounded(value: float, digits: int = 2) -> str:
    """A number no finer than it is known.

    Examples
    --------
    >>> rounded(347.2), rounded(12345), rounded(0.034), rounded(0)
    ('350', '12,000', '0.034', '0')
    """
    if value == 0:
        return "0"
    places = digits - 1 - floor(log10(abs(value)))
    shown = round(value, places)
    return f"{shown:.{max(places, 0)}f}".rstrip("0").rstrip(".") if abs(shown) < 10 else f"{shown:,.0f}"


def no_finer(value: float, step: float) -> float:
    """A value in whole steps, as it is where `step` is 0.

    Examples
    --------
    >>> no_finer(6.2, 1), no_finer(0.045, 0.1), no_finer(0.045, 0)
    (6.0, 0.0, 0.045)
    """
    return float(round(value / step) * step) if step else value


def a_range(facts: Facts, name: str, *, unit: str = "", whole: bool = False, step: float = 0.0) -> str:
    """A band in words: "about 300 mites, likely 180 to 520"; "" when it was not reckoned.

    Parameters
    ----------
    facts : mapping
        Holding `name_p05`, `name_p50`, `name_p95`.
    name : str
        The quantity.
    unit : str
        Said after the middle, with its leading space.
    whole : bool
        Whole numbers, as for percentages.
    step : float
        Nothing finer is said, such as a part of a mite; 0 for no bound.

    Examples
    --------
    >>> a_range({"load_p05": 180, "load_p50": 304, "load_p95": 521}, "load", unit=" mites")
    'about 300 mites (likely 180 to 520)'
    """
    values = [facts.get(f"{name}_{point}") for point in ("p05", "p50", "p95")]
    if None in values:
        return ""
    known = [no_finer(float(value), step) for value in values if value is not None]
    low, middle, high = (f"{value:,.0f}" if whole else rounded(value) for value in known)
    return f"about {middle}{unit}" if low == high else f"about {middle}{unit} (likely {low} to {high})"


def a_date(text: str | None, *, year: bool = False) -> str:
    """A date as spoken.

    Examples
    --------
    >>> a_date("2025-09-03"), a_date("2025-09-03", year=True), a_date(None)
    ('3 Sep', '3 Sep 2025', 'not recorded')
    """
    if not text:
        return NOT_RECORDED
    day = date.fromisoformat(text)
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{day.day} {months[day.month - 1]}" + (f" {day.year}" if year else "")


def money(value: float, currency: str) -> str:
    """A sum no finer than it is known.

    Examples
    --------
    >>> money(1234.5, "GBP")
    'GBP 1,200'
    """
    return f"{currency} {rounded(value)}".strip()


def listed(parts: Sequence[str], *, most: int = 0) -> str:
    """A list as spoken, the rest counted when it is long.

    Examples
    --------
    >>> listed(["A", "B", "C"]), listed(["A", "B", "C"], most=2), listed([])
    ('A, B and C', 'A, B and 1 more', 'none')
    """
    shown = list(parts[:most]) if most else list(parts)
    if len(shown) < len(parts):
        shown.append(f"{len(parts) - len(shown)} more")
    if len(shown) < 2:
        return shown[0] if shown else "none"
    return f"{', '.join(shown[:-1])} and {shown[-1]}"


SAVED = {
    "colonies_saved": ("colony", "colonies"),
    "late_days_saved": ("late day", "late days"),
    "hours_saved": ("hour", "hours"),
}
"""What a mend may save, one and many."""


def what_it_saves(mend: Mapping[Any, Any]) -> list[str]:
    """The savings of a mend, in words; what it does not save is not told.

    Examples
    --------
    >>> what_it_saves({"colonies_saved": 0.25, "late_days_saved": 1, "hours_saved": 0})
    ['0.2 colonies', '1 late day']
    """
    known = {key: mend[key] for key in SAVED if mend[key] and mend[key] > 0}
    said = {key: rounded(value, 1 if value < 1 else 2) for key, value in known.items()}
    return [f"{text} {SAVED[key][text != '1']}" for key, text in said.items()]


def capital(text: str) -> str:
    """The text with a capital at its start; a name keeps its own letters.

    Examples
    --------
    >>> capital("amitraz strips"), capital("")
    ('Amitraz strips', '')
    """
    return text[:1].upper() + text[1:]


def spoken(text: str, say: Callable[[str], str] | None = None) -> str:
    """Text from the floors below as it is said: its ISO dates as days and months.

    Parameters
    ----------
    text : str
        What looks like a date and is none stays as it is.
    say : callable, optional
        An ISO date as it is said; English when left out.

    Examples
    --------
    >>> spoken("strips in since 2025-08-09; look again"), spoken("batch 2025-99-99")
    ('strips in since 9 Aug 2025; look again', 'batch 2025-99-99')
    """

    def one(found: re.Match[str]) -> str:
        try:
            return (say or _english)(found.group())
        except ValueError:
            return found.group()

    return re.sub(r"\b\d{4}-\d{2}-\d{2}\b", one, text)


def _english(day: str) -> str:
    return a_date(day, year=True)


def rows_aside(set_aside: int, remarks: int) -> str:
    """How many rows of the records could not be used, and how many were used with a doubt.

    Examples
    --------
    >>> rows_aside(3, 5), rows_aside(1, 0), rows_aside(0, 0)
    ('3 rows set aside, 5 remarks on others', '1 row set aside', 'no rows set aside')
    """
    doubts = f", {a_count(remarks, 'remark')} on others" if remarks else ""
    return f"{a_count(set_aside, 'row')} set aside{doubts}"


def of_cause(cause: str) -> str:
    """A cause of loss behind its number.

    Examples
    --------
    >>> f"3 {of_cause('mites')}", f"2 {of_cause('starved')}", f"1 {of_cause('')}", f"1 {of_cause('bears')}"
    ('3 to mites', '2 starved', '1 of unknown cause', '1 to bears')
    """
    return _CAUSES.get(cause, f"to {cause}")


_CAUSES = {
    "": "of unknown cause",
    "unknown": "of unknown cause",
    "starved": "starved",
    "small then starved": "grew small and starved",
    "queen": "to a failed queen",
    "robbed": "robbed out",
}


def stop(text: str) -> str:
    """The text ended by one full stop.

    Examples
    --------
    >>> stop("look again"), stop("look again.")
    ('look again.', 'look again.')
    """
    return text if text.endswith((".", "?", "!")) else f"{text}."


def number_of(value: object) -> int:
    """A number given as one or as the list of what it counts.

    Examples
    --------
    >>> number_of(3), number_of(["A", "B"])
    (3, 2)
    """
    return len(value) if isinstance(value, list) else int(str(value))


def places(value: object) -> list[str]:
    """Apiaries by name, or their number where no names are given.

    Examples
    --------
    >>> places(["A", "B"]), places(2)
    (['A', 'B'], ['2 apiaries'])
    """
    return [str(v) for v in value] if isinstance(value, list) else [a_count(number_of(value), "apiary", "apiaries")]
