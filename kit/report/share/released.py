"""What two reports together would tell: a report that differs from an earlier one by few members gives those away.

The association keeps a list of what it has released, by fingerprints of the operations' keys. It stands beside the
report's folder, not in it, and is not to be published.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from kit.errors import CannotGoOnError
from kit.report.share.member import Member
from kit.report.write import write_text

LEDGER = "pool_releases.json"
ABOUT = "Who was in which pooled report, by fingerprints. Keep it, do not publish it."
Release = dict[str, Any]


def read_releases(path: Path) -> list[Release]:
    """Earlier releases, none where there is no such file.

    Raises
    ------
    CannotGoOnError
        When the file is not one of ours.
    """
    try:
        held = json.loads(path.read_text(encoding="utf-8"))["releases"]
        return [{"season": r["season"], "members": dict(r["members"]), "name": str(r["name"])} for r in held]
    except FileNotFoundError:
        return []
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise CannotGoOnError(
            f"{path.name} is not a list of releases of this kit; give another with --releases"
        ) from error


def release_of(members: Sequence[Member], season: int, name: str) -> Release:
    """What is kept of a report: its season, its name, and each member's fingerprint with that of the pack."""
    found = {_fingerprint(m.operation): m.digest[:16] for m in members}
    return {"season": season, "name": name, "members": dict(sorted(found.items()))}


def keep(path: Path, earlier: list[Release], now: Release) -> None:
    """Put a release into the list, once."""
    if now not in earlier:
        held = {"about": ABOUT, "releases": [*earlier, now]}
        write_text(path, json.dumps(held, indent=1, sort_keys=True) + "\n")


def warnings(earlier: Sequence[Release], now: Release, *, minimum: int) -> list[str]:
    """A sentence for each earlier report of the season that differs from this one by fewer members than the minimum."""
    said = []
    for before in earlier:
        one, other = before["members"], now["members"]
        apart = sum(one.get(key) != other.get(key) for key in one.keys() | other.keys())
        if before["season"] == now["season"] and 0 < apart < minimum:
            said.append(
                f"this report and {before['name']} differ by {apart} member{'s' * (apart != 1)}: whoever holds both "
                f"can work out what {'they' if apart > 1 else 'that one'} sent. Publish one of them only, or wait "
                f"until at least {minimum} have come, gone or sent anew"
            )
    return said


def _fingerprint(operation: str) -> str:
    return hashlib.sha256(operation.encode()).hexdigest()[:24]
