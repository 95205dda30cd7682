"""The plan's reasons in words, from `words.toml` beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files


def said(name: str, **parts: object) -> str:
    """A template, `section.name`, filled in.

    Examples
    --------
    >>> said("changed.later", days=days(2))
    '2 days later'
    """
    section, _, key = name.partition(".")
    return _words()[section][key].format(**parts)


def days(n: int) -> str:
    """A number of days."""
    return said("changed.day") if n == 1 else said("changed.days", n=n)


@cache
def _words() -> dict[str, dict[str, str]]:
    return tomllib.loads((files("kit.plan") / "words.toml").read_text(encoding="utf-8"))
