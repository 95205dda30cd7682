"""The tree as the house tests see it: files that git knows, modules, notebooks."""

from __future__ import annotations

import subprocess
from functools import lru_cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@lru_cache
def tracked() -> tuple[Path, ...]:
    """Files under version control, or every file but hidden ones where there is no git."""
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout
        names = [name for name in listed.decode().split("\0") if name]
    except (OSError, subprocess.CalledProcessError):
        found = (path.relative_to(ROOT) for path in ROOT.rglob("*") if path.is_file())
        names = [path.as_posix() for path in found if not any(part.startswith(".") for part in path.parts)]
    return tuple(ROOT / name for name in sorted(names) if (ROOT / name).is_file())


def with_suffix(*suffixes: str, under: str = "") -> list[Path]:
    """Tracked files of these kinds in a folder of the tree."""
    return [path for path in tracked() if path.suffix in suffixes and path.is_relative_to(ROOT / under)]


def shown(path: Path) -> str:
    """A path as it reads in a message."""
    return path.relative_to(ROOT).as_posix()


def told(faults: list[str], remedy: str) -> str:
    """All faults with what to do about them, for the message of an assertion."""
    return "\n".join([remedy, *(f"  {fault}" for fault in faults)])
