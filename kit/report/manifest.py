"""What a run stood on: enough to make the same reports again, and nothing that names a person's machine."""

from __future__ import annotations

import hashlib
import platform
from dataclasses import asdict
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import Any

import kit
from kit.records.records import Records
from kit.report.place import MADE_BY

LIBRARIES = ("numpy", "pandas", "scipy", "numba", "altair", "papermill", "jupyterlab", "vl-convert-python")
SHEETS = (".csv", ".tsv", ".txt", ".xlsx", ".ods")


def inputs(folder: Path) -> dict[str, str]:
    """The sha256 of every record sheet by its name within the folder."""
    files = [folder] if folder.is_file() else sorted(p for p in folder.iterdir() if p.suffix.lower() in SHEETS)
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def settings_in_force(records: Records) -> dict[str, dict[str, Any]]:
    """Every setting with its value and whether the user gave it."""
    values = asdict(records.settings)
    return {name: {"value": _plain(value), "given": name in records.given} for name, value in values.items()}


def describe(records: Records, folder: Path, seed: int) -> dict[str, Any]:
    """What decides the numbers: inputs, season, day, seed, settings and versions."""
    return {
        "made_by": MADE_BY,
        "kit": kit.__version__,
        "python": platform.python_version(),
        "libraries": {name: version(name) for name in LIBRARIES},
        "inputs": inputs(folder),
        "season": records.season.label,
        "as_of": records.as_of.isoformat(),
        "seed": seed,
        "settings": settings_in_force(records),
        "rows": records.account.to_dict("records"),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    return [_plain(v) for v in value] if isinstance(value, tuple | list) else value
