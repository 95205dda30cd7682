"""What reports together would tell: any combination of what this one and all earlier ones tell, about few members.

The association keeps a list of what it has released, by fingerprints of the operations' keys. It stands beside the
report's folder, not in it, and is not to be published.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from kit.calc.differencing import adds, fewest_behind
from kit.errors import CannotGoOnError
from kit.report.share.form import ALL
from kit.report.share.told import Row, Told
from kit.report.write import write_text

LEDGER = "pool_releases.json"
ABOUT = "Who was in which pooled report, by fingerprints. Keep it, do not publish it."
EVERYTHING = "losses"
"""What a report of which only its members are known is taken to have told of all of them."""
MOST_KINDS = 3
"""So many kinds are named in a sentence."""


@dataclass(frozen=True)
class Release:
    """A report as the list keeps it.

    Parameters
    ----------
    season : int
        Start year.
    name : str
        Of its folder.
    told : mapping
        Kind to row to parts, members by their fingerprints.
    """

    season: int
    name: str
    told: Told


def read_releases(path: Path) -> list[Release]:
    """Earlier releases, none where there is no such file.

    Raises
    ------
    CannotGoOnError
        When the file is not one of ours.
    """
    try:
        held = json.loads(path.read_text(encoding="utf-8"))["releases"]
        return [_opened(release) for release in held]
    except FileNotFoundError:
        return []
    except (OSError, ValueError, KeyError, TypeError, IndexError, AttributeError) as error:
        raise CannotGoOnError(
            f"{path.name} is not a list of releases of this kit; give another with --releases"
        ) from error


def release_of(told: Told, season: int, name: str) -> Release:
    """What is kept of a report.

    Parameters
    ----------
    told : mapping
        As `told_sums` gives it.
    season : int
        Start year.
    name : str
        Of its folder.
    """
    marked = {
        kind: {
            row: frozenset((_fingerprint(who), _shortened(part)) for who, part in parts) for row, parts in rows.items()
        }
        for kind, rows in told.items()
    }
    return Release(season, name, marked)


def keep(path: Path, earlier: list[Release], now: Release) -> None:
    """Put a release into the list, once."""
    if now not in earlier:
        held = {"about": ABOUT, "releases": [_closed(release) for release in (*earlier, now)]}
        write_text(path, json.dumps(held, sort_keys=True) + "\n")


def warnings(earlier: Sequence[Release], now: Release, *, minimum: int) -> list[str]:
    """A sentence where this report, with any number of earlier ones of its season, tells of fewer than the minimum.

    Parameters
    ----------
    earlier : sequence of Release
        All that are kept.
    now : Release
        About to be published.
    minimum : int
        Smallest group of members told.
    """
    before = [release for release in earlier if release.season == now.season and release.told != now.told]
    few: dict[int, list[str]] = {}
    seen: dict[tuple[Row, ...], int | None] = {}
    for kind, rows in now.told.items():
        known = [row for release in before for row in release.told.get(kind, {}).values()]
        key = (*known, *rows.values())
        if key not in seen:
            seen[key] = _fewest(known, list(rows.values()), minimum) if known else None
        if (found := seen[key]) is not None:
            few.setdefault(found, []).append(kind)
    return [_said(before, count, kinds, minimum) for count, kinds in sorted(few.items())[:1]]


def _fewest(known: Sequence[Row], new: Sequence[Row], minimum: int) -> int | None:
    """Behind any combination, where the new rows add to what was known."""
    parts = {part: at for at, part in enumerate(sorted({part for row in (*known, *new) for part in row}))}
    vectors = [np.isin(np.arange(len(parts)), [parts[part] for part in row]).astype(float) for row in (*known, *new)]
    if not adds(vectors[len(known) :], vectors[: len(known)]):
        return None
    return fewest_behind([*known, *new], below=minimum)


def _said(before: Sequence[Release], count: int, kinds: Sequence[str], minimum: int) -> str:
    names = " and ".join(dict.fromkeys(release.name for release in before))
    more = f" and {len(kinds) - MOST_KINDS} more" if len(kinds) > MOST_KINDS else ""
    whose = "that one" if count == 1 else "those"
    return (
        f"whoever holds this report and {names} can work out what is told of {count} member{'s' * (count != 1)} alone "
        f"({', '.join(kinds[:MOST_KINDS])}{more}): by adding and subtracting, what {whose} sent. Publish one of them "
        f"only, or wait until at least {minimum} of every group have come, gone or sent anew"
    )


def _closed(release: Release) -> dict[str, Any]:
    """As it is written: every set of parts once, members by their place in the list."""
    rows = sorted({row for kind in release.told.values() for row in kind.values()}, key=sorted)
    parts = sorted({part for row in rows for part in row})
    place = {part: at for at, part in enumerate(parts)}
    at_row = {row: at for at, row in enumerate(rows)}
    return {
        "season": release.season,
        "name": release.name,
        "parts": [list(part) for part in parts],
        "sets": [sorted(place[part] for part in row) for row in rows],
        "told": {kind: {name: at_row[row] for name, row in named.items()} for kind, named in release.told.items()},
    }


def _opened(held: Mapping[str, Any]) -> Release:
    season, name = int(held["season"]), str(held["name"])
    if "told" not in held:  # a list of the first form knew members and their packs only
        return Release(season, name, {EVERYTHING: {ALL: frozenset(dict(held["members"]).items())}})
    parts = [(str(who), str(part)) for who, part in held["parts"]]
    sets = [frozenset(parts[at] for at in row) for row in held["sets"]]
    return Release(season, name, {k: {row: sets[at] for row, at in named.items()} for k, named in held["told"].items()})


def _shortened(part: str) -> str:
    """The part with the pack's digest cut short: it need only be told from others."""
    digest, *cell = part.split("|")
    return "|".join([digest[:16], *cell])


def _fingerprint(operation: str) -> str:
    return hashlib.sha256(operation.encode()).hexdigest()[:24]
