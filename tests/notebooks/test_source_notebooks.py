"""The source notebooks open anywhere: with nothing filled in they show the demo, under nbval too."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

from kit.report.kept import kept_place
from kit.report.run import Outcome

ROOT = Path(__file__).parents[2]
NAMES = ("season_review", "apiary_review", "season_plan", "apiary_plan", "association")


@pytest.mark.slow
@pytest.mark.xdist_group("report run")
def test_nbval_runs_every_source_notebook_without_an_error(tmp_path: Path) -> None:
    """The first of them saves the demo's review in the user's cache folder; the others find it there."""
    environment, mine = os.environ | {"XDG_CACHE_HOME": str(tmp_path)}, tmp_path / "season-kit"
    mine.mkdir()
    kept_place().mkdir(parents=True, exist_ok=True)
    (mine / kept_place().name).symlink_to(kept_place())  # what an earlier run worked out from the same
    books = [str(ROOT / "notebooks" / f"{name}.ipynb") for name in NAMES]
    command = [sys.executable, "-m", "pytest", "--nbval-lax", "-p", "no:cacheprovider", "-n", "0", "-q", *books]
    done = subprocess.run(command, env=environment, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:]
    assert len(list(mine.glob("demo-*"))) == 1


@pytest.mark.slow
@pytest.mark.xdist_group("report run")
def test_nbval_finds_every_stored_output_again_and_one_that_was_altered(made: Outcome) -> None:
    """An executed notebook of a run, output by output, and a copy with another sentence stored."""
    folder = made.out / "notebooks" / "HOME"
    golden, altered = folder / "apiary_review.ipynb", folder / "other.ipynb"
    book = nbformat.read(golden, as_version=4)
    cell = next(cell for cell in book.cells if cell.get("outputs") and "text/html" in cell.outputs[0].get("data", {}))
    cell.outputs[0].data["text/html"] = "<p>something else</p>"
    nbformat.write(book, altered)
    command = [sys.executable, "-m", "pytest", "--nbval", "-p", "no:cacheprovider", "-n", "0", "-q"]
    done = subprocess.run(
        [*command, str(golden), str(altered)], cwd=folder, capture_output=True, text=True, check=False
    )
    altered.unlink()
    assert "1 failed" in done.stdout and "something else" in done.stdout, done.stdout[-3000:]
