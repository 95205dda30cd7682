"""An installed wheel holds the notebooks and the demo beside the code, where the kit looks for them."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

from kit.errors import CannotGoOnError
from kit.report import execute

ROOT = Path(__file__).parents[3]
LAID = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"][
    "wheel"
]


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder laid out as the wheel lays it out, but for the code."""
    for source, target in LAID["force-include"].items():
        shutil.copytree(ROOT / source, tmp_path / target)
    monkeypatch.setattr(execute, "PACKAGE", tmp_path / "kit")
    return tmp_path


def test_every_notebook_is_found_in_an_installed_wheel(installed: Path) -> None:
    names = [path.stem for path in (ROOT / "notebooks").glob("*.ipynb")]
    assert len(names) == 10
    assert all(execute.source(name).is_relative_to(installed) for name in names)


def test_a_notebook_that_is_not_installed_is_named_with_what_to_do(installed: Path) -> None:
    shutil.rmtree(installed / "kit" / "notebooks")
    with pytest.raises(CannotGoOnError, match="notebook season_review is not installed; install the kit again"):
        execute.source("season_review")
