"""The demo's review for a notebook opened on its own: computed once, kept in the user's cache folder."""

from __future__ import annotations

import hashlib
import shutil
from datetime import date
from pathlib import Path

from platformdirs import user_cache_path

import kit
from kit.errors import CannotGoOnError

AS_OF = date(2026, 3, 31)
"""The last day of the demo's records."""
PACKAGE = Path(kit.__file__).parent


def demo_records() -> Path:
    """The demo's record sheets, in a checkout or in an installed wheel.

    Raises
    ------
    CannotGoOnError
        When neither is there.
    """
    for place in (PACKAGE.parent / "data_demo" / "full", PACKAGE / "data_demo" / "full"):
        if place.is_dir():
            return place
    raise CannotGoOnError("the demo's records are not installed; give `review`, the folder of a saved review")


def demo_review() -> Path:
    """Folder of the demo's saved review; made when its records or the kit's version have changed."""
    from kit.report.compute import compute_demo

    records = demo_records()
    place = user_cache_path("season-kit") / f"demo-{kit.__version__}-{_fingerprint(records)}"
    if not place.exists():
        compute_demo(records, place, AS_OF)
        _forget_earlier(place)
    return place


def _forget_earlier(place: Path) -> None:
    """Reviews of other records or of another kit are not kept."""
    for other in place.parent.glob("demo-*"):
        if other != place:
            shutil.rmtree(other, ignore_errors=True)


def _fingerprint(folder: Path) -> str:
    """Of the records and of the kit's own code, so that a developer never reads yesterday's numbers."""
    seen = hashlib.sha256()
    for path in sorted([*folder.rglob("*.csv"), *PACKAGE.rglob("*.py")]):
        seen.update(path.read_bytes())
    return seen.hexdigest()[:16]
