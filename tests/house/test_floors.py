"""The house stands: floors, sizes, and names that say something."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.tree import ROOT, shown, told, with_suffix

MODULE_LINES = 400
EMPTY_NAMES = {"utils", "util", "helpers", "helper", "common", "misc", "manager", "managers", "base", "core"}
CLOCK = {"today", "now", "utcnow", "perf_counter", "monotonic", "localtime", "time_ns"}
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "kit", "notebooks", "tests", "data_demo"}


def test_a_module_imports_from_its_own_floor_or_below() -> None:
    found = shutil.which("lint-imports", path=str(Path(sys.executable).parent)) or shutil.which("lint-imports")
    assert found, "import-linter is not installed: pip install -e '.[test]'"
    run = subprocess.run([found, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, (
        f"move the import to the floor above, or the code to the floor below:\n{run.stdout}{run.stderr}"
    )


def test_no_module_is_longer_than_one_can_read_at_a_sitting() -> None:
    sizes = {shown(path): len(path.read_text(encoding="utf-8").splitlines()) for path in with_suffix(".py")}
    faults = [f"{name}: {lines} lines" for name, lines in sizes.items() if lines > MODULE_LINES]
    assert not faults, told(faults, f"split these along a subject, to at most {MODULE_LINES} lines (300 is the aim):")


def test_a_module_is_named_after_its_subject() -> None:
    faults = [shown(path) for path in with_suffix(".py", under="kit") if path.stem in EMPTY_NAMES]
    assert not faults, told(faults, "name these after what they are about:")


def test_the_top_level_holds_only_what_it_should() -> None:
    names = {
        path.relative_to(ROOT).parts[0] for path in with_suffix(".py", ".md", ".toml", ".ipynb", ".csv", ".txt", ".cfg")
    }
    faults = sorted(name for name in names - TOP if not name.startswith("."))
    assert not faults, told(faults, "move these into kit/, notebooks/, tests/ or data_demo/:")


ALLOWED_CLOCK = {
    # `solve(seconds=…)` is the one call that may look at the clock.
    "kit/plan/solver/search.py": ("time.monotonic", "time.perf_counter"),
    "kit/plan/solver/schedule.py": ("time.monotonic", "time.perf_counter"),
}


def clocks(path: Path) -> list[str]:
    """Where a module reads the clock."""
    nodes = [node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Attribute)]
    reads = [
        (f"{node.value.id}.{node.attr}", node)
        for node in nodes
        if node.attr in CLOCK and isinstance(node.value, ast.Name)
    ]
    allowed = ALLOWED_CLOCK.get(shown(path), ())
    return [f"{shown(path)}:{node.lineno}: {read}" for read, node in reads if read not in allowed]


@pytest.mark.parametrize("floor", ["calc", "constants", "records", "season", "plan"])
def test_only_the_top_floor_reads_the_clock(floor: str) -> None:
    faults = [fault for path in with_suffix(".py", under=f"kit/{floor}") for fault in clocks(path)]
    assert not faults, told(faults, "take the date or time as an argument:")


def test_nothing_is_imported_with_a_star() -> None:
    faults = []
    for path in with_suffix(".py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and any(name.name == "*" for name in node.names):
                faults.append(f"{shown(path)}:{node.lineno}")
    assert not faults, told(faults, "import the names that are used:")


def test_the_ground_floor_opens_no_files() -> None:
    faults = []
    for path in with_suffix(".py", under="kit/calc"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in {"open", "print", "input"}
            ):
                faults.append(f"{shown(path)}:{node.lineno}: {node.func.id}()")
    assert not faults, told(faults, "the ground floor calculates; read, print and ask on the floors above:")
