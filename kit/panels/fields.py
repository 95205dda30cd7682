"""What a panel asks for: each control with its unit, its bounds and why they are there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

Values = Mapping[str, Any]
"""By field: a number, a word, or a date."""


@dataclass(frozen=True)
class Number:
    """A number: dragged, or typed.

    Parameters
    ----------
    name : str
        Of the notebook's parameter.
    label : str
        What it is, in words.
    unit : str
        Beside it; '' for a count that the label names.
    low, high, step : float
        Bounds of the slider and of what is accepted; its step.
    why : str
        Why those bounds.
    whole : bool
        Whether it counts something.
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    why: str
    whole: bool = False

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        if value is None or not math.isfinite(value):
            return f"{self.label}: a number is needed."
        if self.whole and value != round(value):
            return f"{self.label}: a whole number is needed, not {value:g}."
        if not self.low <= value <= self.high:
            return f"{self.label}: {self.low:g} to {self.high:g} {self.unit}, not {value:g} ({self.why}).".replace(
                "  ", " "
            )
        return ""

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return round(given) if self.whole and float(given).is_integer() else float(given)

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return int(value) if self.whole else float(value)

    def said(self, value: Any) -> str:
        """The value as a person reads it."""
        return f"{value:g} {self.unit}".strip()


@dataclass(frozen=True)
class Day:
    """A date: dragged, typed or picked. `low` and `high` are the first and last that are accepted, `why` says why."""

    name: str
    label: str
    low: date
    high: date
    why: str
    unit: str = ""

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        if not isinstance(value, date):
            return f"{self.label}: a date is needed."
        if not self.low <= value <= self.high:
            return f"{self.label}: {self.low:%-d %b %Y} to {self.high:%-d %b %Y}, not {value:%-d %b %Y} ({self.why})."
        return ""

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value; what is no date is refused later, in words."""
        try:
            return date.fromisoformat(given)
        except ValueError:
            return None

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return value.isoformat()

    def said(self, value: Any) -> str:
        """The value as a person reads it."""
        return f"{value:%-d %b %Y}"


@dataclass(frozen=True)
class Choice:
    """One of a few words; `options` pairs what is read with the value."""

    name: str
    label: str
    options: Sequence[tuple[str, str]]
    why: str
    unit: str = ""

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        known = [option for _, option in self.options]
        return "" if value in known else f"{self.label}: one of {', '.join(filter(None, known))}, not {value!r}."

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return given

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return value

    def said(self, value: Any) -> str:
        """The value as a person reads it."""
        return next((label for label, option in self.options if option == value), str(value))


@dataclass(frozen=True)
class Text:
    """A line of words that is checked when it is read; `example` shows its form."""

    name: str
    label: str
    example: str
    why: str
    unit: str = ""

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken: the panel's own check says more."""
        return "" if isinstance(value, str) else f"{self.label}: words are needed."

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return given

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return value

    def said(self, value: Any) -> str:
        """The value as a person reads it."""
        return value or "none"


Field = Number | Day | Choice | Text

UNSET = -999
"""As a parameter: take the number from the records."""


def starting(fields: Sequence[Field], recorded: Values, given: Values) -> dict[str, Any]:
    """The values a panel begins with: parameters where they were given, else what the records say.

    Parameters
    ----------
    fields : sequence of Field
        Of the panel.
    recorded : mapping
        A value for every field.
    given : mapping
        Parameters of the notebook; '' and `UNSET` stand for what is recorded.
    """
    return {
        field.name: recorded[field.name] if given.get(field.name, "") in ("", UNSET) else field.read(given[field.name])
        for field in fields
    }
