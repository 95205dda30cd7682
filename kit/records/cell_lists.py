"""Cells that hold several things: what was done, the trays of a visit, a list of colonies."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import cache
from typing import NamedTuple

from kit.records.cells import Reading, plain, suggestion
from kit.records.column import Column
from kit.records.words import ALL, DEEDS, TREATMENTS


class Deed(NamedTuple):
    """One thing done at a visit.

    Parameters
    ----------
    word : str
        A treatment word or another of the `did` words.
    round : int or None
        The round number written after it.
    """

    word: str
    round: int | None = None

    @property
    def is_treatment(self) -> bool:
        """Whether it is a treatment: a known one, or an unknown word that carries a round number."""
        return self.word in TREATMENTS or (self.word not in DEEDS and self.round is not None)

    def __str__(self) -> str:
        return self.word if self.round is None else f"{self.word} {self.round}"


_ROUND = re.compile(r"^(.*?)\s*(?:\(|round|no\.?|#)*\s*(\d{1,2})\)?$")


@cache
def deeds_of(text: str) -> tuple[Deed, ...]:
    """What a `did` cell says was done, in its order.

    Examples
    --------
    >>> deeds_of("Oxalic sublimation 2; trays read")
    (Deed(word='oxalic sublimation', round=2), Deed(word='trays read', round=None))
    """
    return tuple(_deed(plain(part)) for part in re.split(r"[;,+&\n]", text) if part.strip())


@cache
def words_of(text: str) -> frozenset[str]:
    """The words of what a `did` cell says was done."""
    return frozenset(deed.word for deed in deeds_of(text))


def _deed(text: str) -> Deed:
    match = _ROUND.match(text)
    if match and match[1]:
        return Deed(match[1], int(match[2]))
    return Deed(text)


def read_did(text: str, column: Column) -> Reading:
    """What was done, in plain words parted by `; `; an unknown word is kept and reported.

    Examples
    --------
    >>> from kit.records.tables import TABLES
    >>> read_did("oxalic sublimaton 2", TABLES["log"].column("did")).remedy
    'did you mean "oxalic sublimation"?'
    """
    deeds = deeds_of(text)
    kept = "; ".join(str(deed) for deed in deeds)
    unknown = [deed for deed in deeds if deed.word not in column.words]
    if not unknown:
        return Reading(kept)
    done = "taken as a treatment with no kill assumed" if unknown[0].is_treatment else "kept, and nothing made of it"
    return Reading(
        kept, f"the kit does not know {unknown[0].word!r}: {done}", suggestion(unknown[0].word, column.words)
    )


def read_trays(text: str, column: Column) -> Reading:
    """Mites on each tray, numbers or none / few / many, parted by `; `; a tray that cannot be read is left out.

    Examples
    --------
    >>> from kit.records.tables import TABLES
    >>> read_trays("12, Few ;31", TABLES["log"].column("trays")).value
    '12; few; 31'
    """
    parts = [part for part in re.split(r"[;,/\s]+", text.casefold()) if part]
    good = [part.removesuffix(".0") for part in parts if part in column.words or re.match(r"^\d{1,5}(\.0)?$", part)]
    if len(good) == len(parts):
        return Reading("; ".join(good))
    bad = next(part for part in parts if part not in good)
    value = "; ".join(good) or None
    return Reading(value, f"not a number of mites, nor none, few or many: {bad}", "write them as 12; few; 31")


class ColonyList(NamedTuple):
    """A list of colonies resolved.

    Parameters
    ----------
    text : str
        `all`, or ids parted by `;`.
    unknown : tuple of str
        Ids in it that are not among the known ones.
    """

    text: str
    unknown: tuple[str, ...] = ()


LONGEST_RANGE = 500


def read_colonies(text: str, known: Collection[str]) -> ColonyList:
    """A cell of colonies: `all`, one id, or a list with ranges; a whole known id wins over reading it as a range.

    Examples
    --------
    >>> read_colonies("A1, A3-A5", ["A1", "A3", "A4", "A5"]).text
    'A1;A3;A4;A5'
    >>> read_colonies("S01-03", ["S01-03"]).text
    'S01-03'
    >>> read_colonies("all but A3", ["A1", "A3", "A4"]).text
    'A1;A4'
    """
    if plain(text) in {"", ALL, "every", "all hives", "all colonies"}:
        return ColonyList(ALL)
    spelled = {one.casefold(): one for one in known} | {one: one for one in known}
    if match := _ALL_BUT.match(text.strip()):
        return _all_but(read_colonies(match[1], known), known)
    found: list[str] = []
    for part in (part.strip() for part in re.split(r"[,;\n]| and | & ", text) if part.strip()):
        found.extend(_ids(part, spelled))
    unique = tuple(dict.fromkeys(found))
    return ColonyList(";".join(unique), tuple(one for one in unique if one not in spelled))


_ALL_BUT = re.compile(
    r"(?:all|every one|everything)\s+(?:but|except(?:\s+for)?|apart\s+from|without)\s+(.+)$", re.IGNORECASE
)


def _all_but(out: ColonyList, known: Collection[str]) -> ColonyList:
    """Every known colony but those; all of them, with the ids that are unknown, when one of those is not known."""
    if out.unknown or not known:
        return ColonyList(ALL, out.unknown or tuple(out.text.split(";")))
    return ColonyList(";".join(one for one in known if one not in out.text.split(";")))


def _ids(part: str, spelled: dict[str, str]) -> list[str]:
    known = spelled.get(part) or spelled.get(part.casefold())
    if known:
        return [known]
    listed = _range(part)
    there = [spelled.get(one) or spelled.get(one.casefold(), "") for one in listed]
    return [one for one in there if one] or listed or [part]


_SPAN = re.compile(r"^(?P<head>.*?)(?P<first>\d+)\s*(?:-|–|—|\.\.|\bto\b)\s*(?P<again>.*?)(?P<last>\d+)$")


def _range(part: str) -> list[str]:
    match = _SPAN.match(part)
    if match is None or match["again"].strip().casefold() not in {"", match["head"].strip().casefold()}:
        return []
    first, last = int(match["first"]), int(match["last"])
    if not first <= last <= first + LONGEST_RANGE:
        return []
    width = len(match["first"]) if match["first"].startswith("0") else 0
    return [f"{match['head'].strip()}{n:0{width}d}" for n in range(first, last + 1)]
