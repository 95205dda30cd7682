"""What is installed with the kit is what its code asks for, no more and no less."""

from __future__ import annotations

import ast
import re
import sys
import tomllib

from tests.house.tree import ROOT, told, with_suffix

INSTALLED_AS = {"vl_convert": "vl-convert-python", "python_calamine": "python-calamine", "IPython": "ipython"}
"""Module to the name it is installed by, where they differ by more than a line or dash."""
RUN_NOT_IMPORTED = {"jupyterlab"}
"""Started as programs."""


def declared() -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"], *project["optional-dependencies"]["cluster"]]
    return {re.split(r"[<>=\[]", line)[0].lower() for line in lines}


def imported() -> set[str]:
    found: set[str] = set()
    for path in with_suffix(".py", under="kit"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    outside = found - set(sys.stdlib_module_names) - {"kit"}
    return {INSTALLED_AS.get(name, name.replace("_", "-")).lower() for name in outside}


def test_every_library_that_the_code_imports_is_asked_for() -> None:
    missing = imported() - declared()
    assert not missing, told(sorted(missing), "name these in pyproject.toml:")


def test_every_library_asked_for_is_used() -> None:
    idle = declared() - imported() - RUN_NOT_IMPORTED
    assert not idle, told(sorted(idle), "nothing in kit/ imports these; take them out of pyproject.toml:")
