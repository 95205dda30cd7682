"""The page of the numbers: each that the kit leans on, its range, how it is known, and its source in full."""

from __future__ import annotations

import re
from calendar import month_name
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from kit.constants import Constant, all_constants
from kit.report.export import Link, Sheet, render
from kit.report.words.phrases import a_count, capital, stop
from kit.sources import SOURCES

NUMBERS = "numbers.html"
"""The page, under OUT."""
SUBJECTS = {
    "bees": "Bees and brood",
    "mites": "Mites",
    "treatments": "Treatments",
    "efficacy": "What a treatment should reach",
    "counts": "Counts",
    "hives": "How far hives differ",
    "reading": "Reading the season",
    "losses": "Winter losses",
    "effort": "Minutes and money",
    "plan": "The plan",
    "weather": "Weather",
    "wind": "Words for wind",
    "chemistry": "Oxalic acid and its crystals",
    "heat": "The heated chamber",
    "supply": "Batteries, inverters, cables",
    "causes": "What slows vapour",
    "law": "The medicine record",
}
"""Module of `kit.constants` to its heading, in the order of the page."""

NO_SOURCE = {"assumed": "assumed here", "common practice": "a fact of the trade without a source"}
"""Source that is none to how such a number is known."""
SEEN = {
    "read": "read in its source or the abstract of it",
    "second-hand": "read in a page that prints it, not in its source",
    "memory": "from memory",
}
"""How a number with a source was met, in words."""
TALLY = {
    "read": "{} were read in their source or its abstract",
    "second-hand": "{} in a page that prints them",
    "memory": "{} are from memory",
    "assumed": "{} are assumed here",
    "common practice": "{} are facts of the trade without a source",
}
"""How many numbers are known how."""
UNIT_TAIL = re.compile(r"_((KJ|J|G|MG|W|OHM|KM|PCT)_PER_[A-Z_]+|PCT|G|C|W|S|V|AH|H|MIN|MM2?|KMH|KM|L|M)$")
"""The end of a name that only repeats the unit."""
MONTHS = {name.upper()[:n]: name for name in month_name[1:] for n in (3, len(name))}
SPELT = {"oa": "OA", "oad": "OAD", "agm": "AGM", "co2": "CO₂", "sd": "scatter", "rel": "scatter"}
"""Words of a name that are written otherwise."""
UNITS = {"1": "", "d": "days", "1/d": "a day", "1/day": "a day", "%/d": "% a day", "1/g": "a gram", "1/°C": "per °C"}
"""Units as they are said beside a value, where they are not as written."""
LEADS = {
    "hives": "Without a unit: the standard deviation of a natural logarithm, between operations, apiaries or colonies.",
}
"""What holds for the numbers of one subject."""


@dataclass(frozen=True)
class Line:
    """One number as the page has it.

    Parameters
    ----------
    name, value, unit, span, known, note : str
        What it is called, its value, unit and range, how it is known, what a reader should know.
    source : str
        Key of its source, '' where it has none.
    """

    name: str
    value: str
    unit: str
    span: str
    known: str
    note: str
    source: str


def numbers_page(kicker: str, made: str) -> str:
    """Every number by subject, then the sources they name.

    Parameters
    ----------
    kicker : str
        The line above the title.
    made : str
        When and from what the page was made.
    """
    known = all_constants()
    subjects = [
        (name, heading, LEADS.get(name, ""), [line_of(name.split(".")[1], one) for name, one in lines])
        for (name, heading), lines in _by_subject(known)
    ]
    named = sorted({one.source for one in known.values()} - set(NO_SOURCE))
    sources = [(key, stop(SOURCES[key])) for key in named]
    sheet = Sheet("Where the numbers come from", kicker, "", "", [Link("All apiaries", "index.html")], made)
    return render("numbers.html.j2", sheet, points=in_short(known.values()), subjects=subjects, sources=sources)


def _by_subject(known: dict[str, Constant]) -> Iterable[tuple[tuple[str, str], list[tuple[str, Constant]]]]:
    order = list(SUBJECTS)
    sorted_ = sorted(known.items(), key=lambda item: order.index(item[0].split(".")[0]))
    for subject, lines in groupby(sorted_, key=lambda item: item[0].split(".")[0]):
        yield (subject, SUBJECTS[subject]), list(lines)


def line_of(name: str, one: Constant) -> Line:
    """A number in words.

    Examples
    --------
    >>> from kit.constants import counts
    >>> line_of("PART_BOARD_SD", counts.PART_BOARD_SD)  # doctest: +NORMALIZE_WHITESPACE
    Line(name='Part board scatter', value='9.5', unit='%', span='0 to 15',
         known='measured; read in its source or the abstract of it',
         note='Scatter of a third of the board against the whole: 0.4 ± 9.5 %.', source='ostiguy2000')
    """
    span = "" if one.low == one.high else f"{_plain(one.low)} to {_plain(one.high)}"
    unit = one.unit.replace("degC", "°C")
    unit = UNITS.get(unit, unit)
    known = NO_SOURCE.get(one.source, f"{one.kind}; {SEEN[one.seen]}")
    source = "" if one.source in NO_SOURCE else one.source
    return Line(
        spoken_name(name), _plain(one.value), unit, span, known, stop(capital(one.note)) if one.note else "", source
    )


def spoken_name(name: str) -> str:
    """The name of a constant as it is said: without its unit, months in full.

    Examples
    --------
    >>> spoken_name("SPLIT_PCT"), spoken_name("MAX_C_JAN"), spoken_name("COPPER_1_5_OHM_PER_KM")
    ('Split', 'Max, January', 'Copper 1.5')
    """
    stem, _, last = name.rpartition("_")
    whole, month = (stem, f", {MONTHS[last]}") if last in MONTHS else (name, "")
    words = UNIT_TAIL.sub("", whole).lower().split("_")
    said = " ".join(SPELT.get(word, word) for word in words)
    return capital(re.sub(r"(\d) (\d)", r"\1.\2", said)) + month


def _plain(value: float) -> str:
    """A number in full: six digits, thousands apart, a true minus."""
    return f"{float(f'{value:.6g}'):,.10g}".replace("-", "−")


def in_short(known: Iterable[Constant]) -> list[str]:
    """How many numbers stand on what."""
    count = Counter(one.source if one.source in NO_SOURCE else one.seen for one in known)
    told = ", ".join(says.format(count[how]) for how, says in TALLY.items())
    return [
        f"Of {a_count(count.total(), 'number')}, {told}.",
        "The range beside a value is where the number may lie.",
        "Your own records, settings and labels go before any of them.",
    ]
