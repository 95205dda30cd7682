"""A language: templates of sentences from `languages/<code>.toml`; numbers, dates and lists as it writes them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from importlib.resources import files
from typing import Any

from kit.errors import CannotGoOnError
from kit.report.words.phrases import Facts, no_finer, rounded, spoken

ENGLISH = "en"
FOLDER = "languages"


@dataclass(frozen=True)
class Language:
    """Says things in one language.

    Parameters
    ----------
    code : str
        As in the `lang` attribute of a page.
    file : mapping
        The parsed file of the language.
    """

    code: str
    file: Mapping[str, Any]

    def __call__(self, name: str, **parts: object) -> str:
        """A template, `section.name`, filled in; a stop behind a stop falls away."""
        section, _, key = name.partition(".")
        return re.sub(r"([.?!])\.(?=\s|$)", r"\1", str(self.file[section][key]).format(**parts))

    def number(self, value: float, *, whole: bool = False) -> str:
        """A number no finer than it is known, or to the whole."""
        marks = self.file["number"]
        text = f"{value:,.0f}" if whole else rounded(value)
        return text.translate({ord(","): marks["thousands"], ord("."): marks["decimal"]})

    def count(self, noun: str, n: float) -> str:
        """A number with its noun: none, one or many."""
        none, one, many = self.file["count"][noun]
        return none if n == 0 else one if n == 1 else str(many).format(n=self.number(n, whole=True))

    def date(self, text: str | None, *, year: bool = False) -> str:
        """An ISO date as it is said."""
        if not text:
            return str(self.file["date"]["missing"])
        day = date.fromisoformat(text)
        month = self.file["date"]["months"][day.month - 1]
        return self("date.day_and_year" if year else "date.day", day=day.day, month=month, year=day.year)

    def listed(self, parts: Sequence[str], *, most: int = 0) -> str:
        """A list, the rest counted when it is long."""
        shown = list(parts[:most]) if most else list(parts)
        if len(shown) < len(parts):
            shown.append(self("list.more", n=len(parts) - len(shown)))
        if len(shown) < 2:
            return shown[0] if shown else str(self.file["list"]["empty"])
        return self("list.last", most=", ".join(shown[:-1]), last=shown[-1])

    def range(self, facts: Facts, name: str, unit: str, *, whole: bool = False, step: float = 0.0) -> str:
        """A likely range of a fact with its `_p05 _p50 _p95`, no finer than `step`; '' when it was not reckoned."""
        values = [facts.get(f"{name}_{point}") for point in ("p05", "p50", "p95")]
        if None in values:
            return ""
        known = [no_finer(float(value), step) for value in values if value is not None]
        low, middle, high = (self.number(value, whole=whole) for value in known)
        said = self.file["units"][unit]
        return self("range.one" if low == high else "range.band", low=low, middle=middle, high=high, unit=said)

    def lost_to(self, cause: str, n: float) -> str:
        """Hives lost, behind their number."""
        known = cause or "unknown"
        name = known if known in self.file["lost_to"] else "else"
        return self(f"lost_to.{name}", n=self.number(n, whole=True), cause=self.word(cause))

    def word(self, word: str) -> str:
        """A word of the record sheets; what the file does not hold stays as it was written."""
        return str(self.file["words"].get(word, word))

    def text(self, text: str) -> str:
        """A text of the review or plan; what the file does not hold stays as it was written, its dates as said."""
        for pattern, template in self._texts:
            if found := pattern.fullmatch(text):
                return str(template).format(**{name: self.text(part) for name, part in found.groupdict().items()})
        parts = re.split(r", | and ", text)
        if len(parts) > 1 and all(part in self.file["words"] for part in parts):
            return self.listed([self.word(part) for part in parts])
        return spoken(self.word(text), lambda day: self.date(day, year=True))

    @cached_property
    def _texts(self) -> list[tuple[re.Pattern[str], str]]:
        return [(_pattern(english), template) for english, template in self.file["texts"].items()]


def _pattern(english: str) -> re.Pattern[str]:
    """The English template as a pattern that finds its parts."""
    pieces = re.split(r"\{(\w+)\}", english)
    return re.compile("".join(f"(?P<{p}>.+?)" if n % 2 else re.escape(p) for n, p in enumerate(pieces)))


def known() -> tuple[str, ...]:
    """The codes of the languages there are files for."""
    return tuple(sorted(f.name.removesuffix(".toml") for f in _folder().iterdir() if f.name.endswith(".toml")))


@cache
def language(code: str = "") -> Language:
    """A language by its code; '' for English.

    Raises
    ------
    CannotGoOnError
        When there is no file for it.

    Examples
    --------
    >>> language("de").number(1234.5), language("de").date("2025-09-03"), language().count("hives", 1)
    ('1.200', '3. September', '1 hive')
    """
    code = code or ENGLISH
    if code not in known():
        raise CannotGoOnError(f"there are no sentences in language {code!r}; there are: {', '.join(known())}")
    return Language(code, tomllib.loads((_folder() / f"{code}.toml").read_text(encoding="utf-8")))


def _folder() -> Any:
    return files("kit.report.words") / FOLDER


__all__ = ["ENGLISH", "Language", "known", "language"]
