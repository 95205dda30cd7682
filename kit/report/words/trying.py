"""What the interactive notebooks say: sentences, and each control with its unit and why its bounds."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from kit.calc.ranges import Band
from kit.report.words.language import ENGLISH, Language, language

FOLDER = "trying"


class Said(NamedTuple):
    """A control in words.

    Parameters
    ----------
    label : str
        What it is.
    unit : str
        Beside it; '' for a count that the label names.
    why : str
        Why its bounds, or what it does.
    """

    label: str
    unit: str
    why: str

    @property
    def full(self) -> str:
        """The label with its unit."""
        return f"{self.label} ({self.unit})" if self.unit else self.label


@cache
def trying(code: str = "") -> Language:
    """The language with what the interactive notebooks say; a sentence it lacks stays English.

    Raises
    ------
    CannotGoOnError
        When there is no file for the language.

    Examples
    --------
    >>> trying()("rounds.driving", hours="1.5")
    '1.5 hours of driving'
    """
    spoken = language(code)
    return Language(spoken.code, {**spoken.file, **_sentences(ENGLISH), **_sentences(spoken.code)})


def control(panel: str, name: str, **parts: object) -> Said:
    """A control of a panel, its {parts} filled in.

    Examples
    --------
    >>> control("rounds", "dose_g", why="the label decides").full
    'Dose (g crystals a hive)'
    """
    label, unit, why = (str(text).format(**parts) for text in trying().file[f"{panel}_controls"][name])
    return Said(label, unit, why)


def all_of(section: str) -> tuple[str, ...]:
    """Every sentence of a section, in the order of the file."""
    return tuple(str(text) for text in trying().file[section].values())


def few(value: float) -> str:
    """A number of mites, which are whole: no finer than it is known, and never a part of one.

    Examples
    --------
    >>> few(0.27), few(1.4), few(347.2)
    ('under 1', '1.4', '350')
    """
    return trying()("rounds.under_one") if value < 1 else trying().number(value)


def likely(middle: str, low: str, high: str, unit: str = "") -> str:
    """What is said after a number of how far it may be off; nothing where all of it reads the same.

    Examples
    --------
    >>> likely("87", "80", "93", " %"), likely("under 1", "under 1", "under 1")
    (', likely 80 to 93 %', '')
    """
    return "" if low == middle == high else trying()("panel.likely", low=low, high=high, unit=unit)


def few_likely(band: Band) -> str:
    """A number of mites with its range.

    Examples
    --------
    >>> few_likely(Band(0.2, 12, 30)), few_likely(Band(0.1, 0.2, 0.3))
    ('12, likely under 1 to 30', 'under 1')
    """
    low, middle, high = (few(point) for point in (band.p05, band.p50, band.p95))
    return middle + likely(middle, low, high)


def share(pct: float) -> str:
    """A share in per cent, near the whole not rounded up to it: some mites are left.

    Examples
    --------
    >>> share(97.6), share(99.62), share(99.99)
    ('98', '99.6', '99.9')
    """
    return f"{pct:.0f}" if pct < 99 else f"{min(pct, 99.9):.1f}"


def _sentences(code: str) -> dict[str, Any]:
    file = files("kit.report.words") / FOLDER / f"{code}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}
