"""The interactive notebooks without a browser: run by papermill with what was tried, and by nbval as they stand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import papermill
import pytest
import yaml
from nbformat import NotebookNode

from kit.panels.panel import parameter_lines
from kit.report.copies import NAMES, copy_notebooks
from kit.report.execute import in_own_loop, source
from kit.report.kernels import forked_kernels
from tests.notebooks.conftest import DEMO

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("report run")]
TRIED = {
    "try_rounds": ({"apiary": "SLUICE", "rounds": 2, "interval_days": 7}, "2 rounds 7 days apart kill"),
    "try_mite_year": ({"apiary": "-", "mites": 300.0, "treatment_1": "thymol"}, "Mites on 1 Apr: 300"),
    "try_power": ({"air_c": -12.0, "battery_type": "lithium"}, "Air: -12 °C"),
    "try_round": ({"people": 2, "machines": 2, "apiaries": "HOME, PLUM"}, "Apiaries: HOME, PLUM"),
}


KEPT = json.dumps(
    {"left alone": {"apiary": "HOME", "treatment_1": "none", "treatment_2": "none", "treatment_3": "none"}}
)
REPORTED = {
    "try_mite_year": ({"apiary": "HOME", "kept": KEPT}, "left alone"),
    "try_round": ({"programme": "HOME: queen caging 1 Jul; oxalic sublimation 3 Nov x2 every 6"}, "HOME: queen caging"),
}
"""What the mite year saves of scenarios kept: to report them, and for the plan."""


def run(name: str, given: dict[str, Any], folder: Path) -> NotebookNode:
    target = str(folder / "out.ipynb")
    return in_own_loop(lambda: papermill.execute_notebook(str(source(name)), target, given, progress_bar=False))


@pytest.fixture(scope="module", autouse=True)
def warm() -> Iterator[None]:
    """What every notebook imports is imported once."""
    with forked_kernels():
        yield


@pytest.mark.parametrize("name", REPORTED)
def test_papermill_reports_scenarios_kept_and_plans_one(name: str, tmp_path: Path) -> None:
    parameters, said = REPORTED[name]
    file = tmp_path / "kept.yaml"
    file.write_text(parameter_lines({"folder": str(DEMO / "minimum"), **parameters}), encoding="utf-8")
    given = yaml.safe_load(file.read_text(encoding="utf-8"))
    book = run(name, given, tmp_path)
    shown = [str(o.data) for cell in book.cells for o in cell.get("outputs", []) if "data" in o]
    assert any(said in text for text in shown)


@pytest.mark.parametrize("name", NAMES)
def test_papermill_runs_it_with_what_was_tried(name: str, tmp_path: Path) -> None:
    parameters, said = TRIED[name]
    given = parameters | {"folder": str(DEMO / "minimum")}
    book = run(name, given, tmp_path)
    html = [o.data.get("text/html", "") for cell in book.cells for o in cell.get("outputs", []) if "data" in o]
    charts = [
        o for cell in book.cells for o in cell.get("outputs", []) if any("vegalite" in k for k in o.get("data", {}))
    ]
    assert any(said in str(text) for text in html), said
    assert charts


def test_nbval_runs_the_copies_on_the_records_beside_them(tmp_path: Path) -> None:
    for sheet in (DEMO / "minimum").glob("*.csv"):
        (tmp_path / sheet.name).write_bytes(sheet.read_bytes())
    place, _ = copy_notebooks(tmp_path)
    books = [str(place / f"{name}.ipynb") for name in REPORTED]
    command = [sys.executable, "-m", "pytest", "--nbval-lax", "-p", "no:cacheprovider", "-n", "0", "-q", *books]
    done = subprocess.run(command, env=os.environ, cwd=place, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:]
