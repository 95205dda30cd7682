"""What a panel asks for: each control with its words, its bounds and what is refused."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from kit.report.words.trying import Said, trying

Values = Mapping[str, Any]
"""By field: a number, a word, or a date."""


@dataclass(frozen=True)
class Number:
    """A number: dragged, or typed.

    Parameters
    ----------
    name : str
        Of the notebook's parameter.
    said : Said
        What it is, in words; its unit; why its bounds.
    low, high, step : float
        Bounds of the slider and of what is accepted; its step.
    whole : bool
        Whether it counts something.
    more : bool
        Whether it is one of those that are shown when asked for.
    beside : bool
        Whether it stands beside the control before it, to be typed only.
    """

    name: str
    said: Said
    low: float
    high: float
    step: float
    whole: bool = False
    more: bool = False
    beside: bool = False

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        say, label = trying(), self.said.label
        if value is None or not math.isfinite(value):
            return say("control.number_needed", label=label)
        if self.whole and value != round(value):
            return say("control.whole_needed", label=label, value=f"{value:g}")
        if not self.low <= value <= self.high:
            bounds = {"low": f"{self.low:g}", "high": f"{self.high:g}", "value": f"{value:g}"}
            said = say("control.outside", label=label, unit=self.said.unit, why=self.said.why, **bounds)
            return said.replace(" ,", ",")
        return ""

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return round(given) if self.whole and float(given).is_integer() else float(given)

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return int(value) if self.whole else float(value)

    def told(self, value: Any) -> str:
        """The value as a person reads it."""
        return f"{value:g} {self.said.unit}".strip()


@dataclass(frozen=True)
class Day:
    """A date: dragged, typed or picked. `low` and `high` are the first and last that are accepted; rest as `Number`."""

    name: str
    said: Said
    low: date
    high: date
    more: bool = False
    beside: bool = False

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        label = self.said.label
        if not isinstance(value, date):
            return trying()("control.date_needed", label=label)
        if not self.low <= value <= self.high:
            days = {"low": self.told(self.low), "high": self.told(self.high), "value": self.told(value)}
            return trying()("control.day_outside", label=label, why=self.said.why, **days)
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

    def told(self, value: Any) -> str:
        """The value as a person reads it."""
        return trying().date(value.isoformat(), year=True)


@dataclass(frozen=True)
class Choice:
    """One of a few words; `options` pairs what is read with the value. The rest as `Number`."""

    name: str
    said: Said
    options: Sequence[tuple[str, str]]
    more: bool = False
    beside: bool = False

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken, in a sentence; '' when it can."""
        known = [option for _, option in self.options]
        if value in known:
            return ""
        listed = ", ".join(filter(None, known))
        return trying()("control.one_of", label=self.said.label, known=listed, value=repr(value))

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return given

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return value

    def told(self, value: Any) -> str:
        """The value as a person reads it."""
        return next((label for label, option in self.options if option == value), str(value))


@dataclass(frozen=True)
class Text:
    """A line of words that is checked when it is read; `example` shows its form. The rest as `Number`."""

    name: str
    said: Said
    example: str
    more: bool = False
    beside: bool = False

    def refuse(self, value: Any) -> str:
        """Why a value cannot be taken: the panel's own check says more."""
        return "" if isinstance(value, str) else trying()("control.words_needed", label=self.said.label)

    def read(self, given: Any) -> Any:
        """A parameter of the notebook as a value."""
        return given

    def written(self, value: Any) -> Any:
        """The value as a parameter of the notebook."""
        return value

    def told(self, value: Any) -> str:
        """The value as a person reads it."""
        return value or trying()("control.nothing")


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
