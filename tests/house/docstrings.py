"""Numpy-style docstrings taken apart: parameters with their text, returns, references, and the units in a text."""

from __future__ import annotations

import inspect
import re
from dataclasses import dataclass, field

SECTIONS = ("Parameters", "Returns", "Raises", "Yields", "Notes", "References", "Examples", "See Also", "Attributes")
UNIT = re.compile(r"\[([^\[\]]+)\][.;]?(?=\s|$)")


@dataclass
class Docstring:
    """One docstring by its sections."""

    summary: str
    sections: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, thing: object) -> Docstring:
        """Of a function or class."""
        lines = (inspect.getdoc(thing) or "").splitlines()
        found, name, text = cls(lines[0].strip() if lines else ""), "", list[str]()
        for line, below in zip(lines, [*lines[1:], ""], strict=True):
            if line.strip() in SECTIONS and set(below.strip()) == {"-"}:
                found.sections[name], name, text = "\n".join(text), line.strip(), []
            elif not (name and set(line.strip()) == {"-"} and not text):
                text.append(line)
        found.sections[name] = "\n".join(text)
        return found

    def items(self, section: str) -> dict[str, str]:
        """Names of a section, each with its type and text; `a, b : float` counts for both."""
        found: dict[str, list[str]] = {}
        current: list[str] = []
        for line in self.sections.get(section, "").splitlines():
            if line.strip() and not line.startswith(" "):
                names, _, kind = line.partition(" : ")
                current = [name.strip().lstrip("*") for name in names.split(",")]
                found |= {name: [kind] for name in current}
            else:
                for name in current:
                    found[name].append(line.strip())
        return {name: "\n".join(text).strip() for name, text in found.items()}

    def source_keys(self) -> list[str]:
        """Source keys under References."""
        text = self.sections.get("References", "")
        return [key for part in text.split("\n\n")[0].replace(",", "\n").splitlines() if (key := part.strip())]


def units(text: str) -> list[str]:
    """The units in brackets in a text, without what they are of."""
    return [re.split(r" of | each|,", found)[0].strip() for found in UNIT.findall(text)]
