"""The source notebooks open anywhere: with nothing filled in they show the demo, under nbval too."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NAMES = ("season_review", "apiary_review", "season_plan", "apiary_plan", "association")


@pytest.mark.slow
@pytest.mark.xdist_group("report run")
def test_nbval_runs_every_source_notebook_without_an_error(tmp_path: Path) -> None:
    """The first of them computes the demo's review into the user's cache folder; the others find it there."""
    environment = os.environ | {"XDG_CACHE_HOME": str(tmp_path)}
    books = [str(ROOT / "notebooks" / f"{name}.ipynb") for name in NAMES]
    command = [sys.executable, "-m", "pytest", "--nbval-lax", "-p", "no:cacheprovider", "-n", "0", "-q", *books]
    done = subprocess.run(command, env=environment, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:]
    assert len(list((tmp_path / "season-kit").glob("demo-*"))) == 1
