"""The pages for users and developers name only files and modules that are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PATH = re.compile(r"`((?:kit|tests|notebooks|data_demo)/[\w/.]+)`")
DOTTED = re.compile(r"`(?:kit\.)?((?:calc|records|season|plan|report|panels)(?:\.(?!html|csv)\w+)+)")


def _there(dotted: str) -> bool:
    """A module, a package, or a name in one."""
    place = ROOT / "kit" / Path(*dotted.split("."))
    return any(one.with_suffix(".py").is_file() for one in (place, place.parent)) or place.is_dir()


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_file_and_module_named_is_there(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    lost = {path for path in PATH.findall(text) if not (ROOT / path).exists()}
    lost |= {dotted for dotted in DOTTED.findall(text) if not _there(dotted)}
    assert lost == set()
    assert page == "README.md" or (len(PATH.findall(text)) > 10 and len(DOTTED.findall(text)) > 10)
