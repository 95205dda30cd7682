"""A notebook is the letter, not the calculation."""

from __future__ import annotations

import ast
import json
from pathlib import Path
from typing import Any

import pytest

from tests.house.tree import shown, told, with_suffix

CELL_LINES = 6
CELLS_A_QUESTION = 2
TYPES = {"str", "int", "float", "bool"}
CALCULATION = (
    ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.For, ast.AsyncFor, ast.While, ast.If, ast.IfExp,
    ast.Lambda, ast.BinOp, ast.AugAssign, ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp, ast.Try, ast.With,
    ast.Compare,
)  # fmt: skip
NOTEBOOKS = with_suffix(".ipynb", under="notebooks")
every_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=[path.stem for path in NOTEBOOKS])


def cells(path: Path) -> list[dict[str, Any]]:
    return [dict(cell, text="".join(cell["source"])) for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]


def code(path: Path) -> list[dict[str, Any]]:
    return [cell for cell in cells(path) if cell["cell_type"] == "code"]


def is_parameters(cell: dict[str, Any]) -> bool:
    return "parameters" in cell["metadata"].get("tags", [])


def test_the_four_notebooks_are_there() -> None:
    assert {"season_review", "apiary_review", "season_plan", "apiary_plan"} <= {path.stem for path in NOTEBOOKS}


@every_notebook
def test_it_calls_the_kit_and_calculates_nothing(path: Path) -> None:
    faults = []
    for number, cell in enumerate(code(path), start=1):
        for node in ast.walk(ast.parse(cell["text"])):
            if isinstance(node, CALCULATION):
                faults.append(f"code cell {number}: {type(node).__name__}")
    assert not faults, told(faults, f"{shown(path)}: move these into a function of kit and call it:")


@every_notebook
def test_its_cells_fit_a_glance(path: Path) -> None:
    sizes = {
        n: len(cell["text"].strip().splitlines()) for n, cell in enumerate(code(path), 1) if not is_parameters(cell)
    }
    faults = [f"code cell {number}: {size} lines" for number, size in sizes.items() if size > CELL_LINES]
    assert not faults, told(faults, f"{shown(path)}: at most {CELL_LINES} lines a cell:")


@every_notebook
def test_its_outputs_are_stripped(path: Path) -> None:
    faults = [
        f"code cell {number}"
        for number, cell in enumerate(code(path), start=1)
        if cell.get("outputs") or cell.get("execution_count")
    ]
    kept = set(json.loads(path.read_text(encoding="utf-8"))["metadata"]) & {"papermill", "widgets"}
    assert not faults, told(faults, f"{shown(path)}: clear all outputs before committing:")
    assert not kept, f"{shown(path)}: take {sorted(kept)} out of its metadata"


@every_notebook
def test_its_parameters_are_typed_and_explained(path: Path) -> None:
    tagged = [cell["text"] for cell in code(path) if is_parameters(cell)]
    assert len(tagged) == 1, f"{shown(path)}: tag exactly one cell `parameters`; it has {len(tagged)}"
    faults = []
    for line in filter(str.strip, tagged[0].splitlines()):
        if line.lstrip().startswith("#"):
            continue
        node = ast.parse(line).body[0]
        typed = isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) in TYPES and node.value is not None
        if not typed or "  # " not in line:
            faults.append(line)
    assert not faults, told(
        faults, f"{shown(path)}: write each as `name: str = value  # help` ({', '.join(sorted(TYPES))}):"
    )


@every_notebook
def test_it_opens_with_a_title_and_a_paragraph(path: Path) -> None:
    first = cells(path)[0]
    lines = [line for line in first["text"].splitlines() if line.strip()]
    opens = first["cell_type"] == "markdown" and lines[0].startswith("# ") and len(lines) > 1
    assert opens, f"{shown(path)}: begin with a cell that holds a title and one paragraph"


@every_notebook
def test_every_answer_stands_under_its_question(path: Path) -> None:
    all_cells = cells(path)
    setting_up = next(n for n, cell in enumerate(all_cells) if cell["cell_type"] == "code" and is_parameters(cell)) + 1
    answers, faults = 0, []
    for cell in all_cells[setting_up + 1 :]:
        answers = answers + 1 if cell["cell_type"] == "code" else 0
        if answers > CELLS_A_QUESTION:
            faults.append(cell["text"].splitlines()[0])
    assert not faults, told(
        faults, f"{shown(path)}: a heading that is the question above these; a chart and a table each:"
    )
