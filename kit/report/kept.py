"""Results kept in the user's cache folder under everything they were worked out from, so that none is worked out twice.

Plain JSON and plain arrays, never code; each file begins with the digest of the rest, so that a damaged one is worked
out again. What was used least lately goes first when the folder grows.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from platformdirs import user_cache_path

from kit.errors import CannotGoOnError
from kit.report.fingerprint import code_below, fingerprint
from kit.report.write import write_bytes
from kit.season.findings import Findings, from_text, to_text

Arrays = Mapping[str, NDArray[Any]]
MOST_BYTES = 200_000_000
LOADED = code_below()
"""The code as this process loaded it; where the files have changed since, nothing is kept or taken."""


def kept_place() -> Path:
    """The folder of kept results."""
    return user_cache_path("season-kit") / "kept"


@dataclass(frozen=True)
class Kept:
    """Results of earlier runs.

    Parameters
    ----------
    fresh : bool
        Work everything out again, and keep that.
    place : Path
        The folder.
    """

    fresh: bool = False
    place: Path = field(default_factory=kept_place)

    def findings(self, name: str, given: object, work: Callable[[], Findings]) -> Findings:
        """What `work` finds out of `given`; always as it reads back, whether it was kept or is new."""
        content = self._content(f"{name}-{_key(given)}.json", lambda: to_text(work()).encode())
        return from_text(content.decode())

    def arrays(self, name: str, given: object, work: Callable[[], Arrays]) -> Arrays:
        """The arrays that `work` makes of `given`."""
        content = self._content(f"{name}-{_key(given)}.npz", lambda: _packed(work()))
        with np.load(io.BytesIO(content), allow_pickle=False) as held:
            return dict(held)

    def _content(self, name: str, work: Callable[[], bytes]) -> bytes:
        path = self.place / name
        content = None if self.fresh or code_below() != LOADED else _whole(path)
        if content is not None:
            with suppress(OSError):
                path.touch()
            return content
        content = work()
        if code_below() == LOADED:
            self._keep(path, content)
        return content

    def _keep(self, path: Path, content: bytes) -> None:
        """Kept where the cache folder allows it; a run does not hang on it."""
        with suppress(CannotGoOnError, OSError):
            write_bytes(path, _digest(content) + b"\n" + content)
            _make_room(self.place)


def _key(given: object) -> str:
    return fingerprint(LOADED, given)[:32]


def _digest(content: bytes) -> bytes:
    return hashlib.sha256(content).hexdigest().encode()


def _whole(path: Path) -> bytes | None:
    """The content of a kept file, None when there is none or it is damaged."""
    try:
        said, _, content = path.read_bytes().partition(b"\n")
    except OSError:
        return None
    return content if said == _digest(content) else None


def _packed(arrays: Arrays) -> bytes:
    held, plain = io.BytesIO(), dict[str, Any](arrays)
    np.savez(held, **plain)
    return held.getvalue()


def _make_room(place: Path) -> None:
    room = MOST_BYTES
    for path in sorted(place.iterdir(), key=lambda path: path.stat().st_mtime_ns, reverse=True):
        room -= path.stat().st_size
        if room < 0:
            path.unlink(missing_ok=True)
