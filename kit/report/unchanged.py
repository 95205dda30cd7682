"""What need not be made again: a notebook and its page whose every ingredient is the same as when they were made."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, replace
from functools import cache
from importlib.metadata import version
from pathlib import Path

from kit.report.execute import PACKAGE, source
from kit.report.worklist import Work
from kit.season.findings import OPERATION

LIBRARIES = ("altair", "papermill", "pandas", "vl-convert-python")


def made_from(out: Path, work: Work) -> str:
    """A digest of everything a notebook and its page are made from, but for the day they are made on.

    Parameters
    ----------
    out : Path
        Where the computed season lies.
    work : Work
        The notebook.
    """
    stem = Path(work.target).parent.name if "apiary" in work.parameters else OPERATION
    seen = hashlib.sha256(_code().encode())
    seen.update(source(work.notebook).read_bytes())
    seen.update(json.dumps(work.parameters, sort_keys=True).encode())
    seen.update(json.dumps(asdict(replace(work.sheet, made="")), sort_keys=True).encode())
    for part in ("season", "plan"):
        saved = out / "review" / part / f"{stem}.json"
        seen.update(saved.read_bytes() if saved.exists() else b"none")
    return seen.hexdigest()


def is_made(out: Path, work: Work, digest: str) -> bool:
    """Whether the notebook stands and its page, written after it, says that it was made from the same."""
    page, notebook = out / work.page, out / work.target
    if not (page.is_file() and notebook.is_file()):
        return False
    return f'data-made-from="{digest}"' in page.read_text(encoding="utf-8")


@cache
def _code() -> str:
    """The kit's own code, its templates, and the libraries that draw and run."""
    seen = hashlib.sha256("".join(version(name) for name in LIBRARIES).encode())
    for path in sorted(path for path in PACKAGE.rglob("*.*") if path.suffix in (".py", ".j2", ".css", ".js")):
        seen.update(path.read_bytes())
    return seen.hexdigest()
