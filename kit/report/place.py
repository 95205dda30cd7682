"""The folder a run writes into: ours or empty, never somebody else's."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

from kit.errors import CannotGoOnError
from kit.report.write import write_text

MANIFEST = "manifest.json"
MADE_BY = "season-kit"


def claim(out: Path) -> dict[str, Any]:
    """Make `out` ours and give the manifest of the last run in it, empty when there was none.

    Raises
    ------
    CannotGoOnError
        When it holds files that are not ours, or cannot be written to.
    """
    if out.exists() and not out.is_dir():
        raise CannotGoOnError(f"{out} is a file; give a folder with --out")
    earlier = _manifest(out)
    if not earlier and out.exists() and any(out.iterdir()):
        raise CannotGoOnError(f"{out} is not empty and was not written by `season`; give another folder with --out")
    _sweep(out)
    write_text(out / MANIFEST, manifest_text(earlier | {"made_by": MADE_BY, "complete": False}))
    return earlier


def _sweep(out: Path) -> None:
    """Take away what a run that was killed had half written."""
    for left in [*out.rglob(".*.part"), *out.rglob(".*.part.ipynb")]:
        shutil.rmtree(left) if left.is_dir() else left.unlink(missing_ok=True)


def manifest_text(manifest: dict[str, Any]) -> str:
    """The manifest as it is written."""
    return json.dumps(manifest, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def _manifest(out: Path) -> dict[str, Any]:
    try:
        found = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) and found.get("made_by") == MADE_BY else {}
