"""The plan's reasons: every template of the file is asked for, and none is asked for that the file lacks."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import kit.plan

FOLDER = Path(next(iter(kit.plan.__path__)))


def test_templates_and_what_is_asked_for_are_the_same() -> None:
    words = tomllib.loads((FOLDER / "words.toml").read_text(encoding="utf-8"))
    held = {f"{section}.{key}" for section, templates in words.items() for key in templates}
    sections = "|".join(words)
    code = "\n".join(path.read_text(encoding="utf-8") for path in FOLDER.rglob("*.py"))
    asked = set(re.findall(rf'"((?:{sections})\.\w+)"', code))
    assert asked == held
