"""What a run has made so far: its pages, its failures and its seconds; and what it may keep of an earlier run."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from kit.report.progress import bar
from kit.report.write import write_text

SAME = ("inputs", "season", "as_of", "seed", "settings", "kit", "libraries")
"""What must not have changed for the pages of an earlier run to stand beside those of this one."""


@dataclass
class Ledger:
    """One run as it goes along.

    Parameters
    ----------
    out : Path
        The folder written into.
    today : date
        The day of the run.
    jobs : int
        Notebooks executed at once.
    fresh : bool
        Nothing of an earlier run is taken as made.
    cluster : str
        Address of a cluster that draws for the review; '' draws here.
    seconds : dict
        Seconds of each stage.
    pages : list of str
        Addresses under `out`.
    failed : dict
        Page to a sentence on what went wrong with it.
    carried : bool
        Whether an earlier run stood on the same records, so that its pages stay.
    """

    out: Path
    today: date
    jobs: int
    fresh: bool = False
    cluster: str = ""
    seconds: dict[str, float] = field(default_factory=dict)
    pages: list[str] = field(default_factory=list)
    failed: dict[str, str] = field(default_factory=dict)
    carried: bool = False

    @contextmanager
    def stage(self, name: str, words: str = "") -> Iterator[Callable[[int, int, str], None]]:
        """A stage that is timed, with a bar to tell how far it is."""
        start = time.perf_counter()
        with bar(words or name) as progress:
            yield progress
        self.seconds[name] = self.seconds.get(name, 0.0) + time.perf_counter() - start

    def write(self, page: str, text: str) -> None:
        """Write a page and count it."""
        write_text(self.out / page, text)
        self.pages.append(page)

    def carry(self, earlier: Mapping[str, Any], facts: Mapping[str, Any]) -> None:
        """Keep the pages of an earlier run of the same records in mind."""
        plain = json.loads(json.dumps(facts))
        whole = bool(earlier.get("complete")) and not self.fresh
        self.carried = whole and all(earlier.get(key) == plain[key] for key in SAME)
        if self.carried:
            self.pages.extend(page for page in earlier.get("pages", []) if (self.out / page).exists())

    def drop_stale(self, earlier: Mapping[str, Any]) -> None:
        """Take away the pages of an earlier run of other records that this run did not make."""
        for page in set(earlier.get("pages", [])) - set(self.pages):
            (self.out / page).unlink(missing_ok=True)
            (self.out / page).with_suffix(".pdf").unlink(missing_ok=True)

    def unprinted(self) -> list[Path]:
        """Pages that no PDF shows as they are now; a PDF of what a page was before is taken away."""
        made = [self.out / page for page in sorted(set(self.pages)) if page.endswith(".html")]
        stale = [page for page in made if not _is_newer(page.with_suffix(".pdf"), page)]
        for page in stale:
            page.with_suffix(".pdf").unlink(missing_ok=True)
        return stale

    def outcome(self) -> dict[str, Any]:
        """What the run left, for the manifest."""
        return {
            "complete": True,
            "seconds": {stage: round(taken, 2) for stage, taken in self.seconds.items()},
            "pages": sorted(set(self.pages)),
            "failed": sorted(self.failed.values()),
        }


def _is_newer(later: Path, earlier: Path) -> bool:
    return later.exists() and later.stat().st_mtime_ns > earlier.stat().st_mtime_ns
