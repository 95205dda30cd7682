"""Whose numbers a panel begins with: the records in a folder, the pages of an earlier run, or the demo."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

import IPython.display
from platformdirs import user_cache_path

from kit.records.load import load
from kit.records.records import Records
from kit.report.compute import compute_demo
from kit.report.demo import AS_OF, demo_records, demo_review
from kit.report.fingerprint import code_below
from kit.report.manifest import inputs, settings_in_force
from kit.report.place import MANIFEST
from kit.report.show import Note
from kit.report.words.trying import trying
from kit.season.findings import OPERATION, Findings, read

_output: Any = IPython.display  # ships no types

MOST_KEPT = 5
FREE = "-"
"""In place of an apiary: a free case, with the trade's usual numbers."""


@dataclass(frozen=True)
class Own:
    """What is known to begin with.

    Parameters
    ----------
    said : str
        Where the numbers are from, as a sentence.
    settings : mapping
        Settings in force by name; dates as ISO text.
    records : Records or None
        None where only the pages of an earlier run were given.
    find : callable
        Gives the review of the season and the plan of the next one, None where there is none; called once, and only
        when one of them is asked for, because it may take a minute.
    """

    said: str
    settings: Mapping[str, Any]
    records: Records | None
    find: Callable[[], tuple[Findings, Findings | None]]

    @cached_property
    def _found(self) -> tuple[Findings, Findings | None]:
        return self.find()

    @property
    def review(self) -> Findings:
        """Of the season."""
        return self._found[0]

    @property
    def plan(self) -> Findings | None:
        """Of the next one, where there is one."""
        return self._found[1]

    @property
    def apiaries(self) -> tuple[str, ...]:
        """In the order of the sheet."""
        return tuple(self.review.apiary_facts)

    @property
    def jurisdiction(self) -> str:
        """As in the settings."""
        return str(self.settings.get("jurisdiction", ""))

    def apiary(self, given: str) -> str:
        """The apiary meant: the one given, the first where none is, '' for a free case."""
        if given == FREE:
            return ""
        return given or next(iter(self.apiaries), "")


def own(folder: str) -> Own:
    """What is recorded in a folder; the demo's where none is given.

    Parameters
    ----------
    folder : str
        Record sheets (a folder or one workbook), or the OUT of an earlier run; '' for the demo.

    Raises
    ------
    CannotGoOnError
        When there is nothing to read.
    """
    if not folder:
        records = load(demo_records(), as_of=AS_OF, today=AS_OF)
        return _recorded(trying()("panel.demo"), records, demo_review)
    path = Path(folder)
    if (path / "review" / "season" / f"{OPERATION}.json").exists():
        return _of_run(path)
    records = load(path, today=date.today())  # noqa: DTZ011  records are local and naive by the day
    said = trying()("panel.records", day=trying().date(records.as_of.isoformat(), year=True))
    return _recorded(said, records, lambda: _computed(path, records))


def _computed(path: Path, records: Records) -> Path:
    """The folder of the records' saved review and plan, computed when they, or the code that computes, have changed."""
    sheets = "".join(f"{name}{digest}" for name, digest in sorted(inputs(path).items()))
    place = user_cache_path("season-kit") / f"own-{_hash_of(sheets + code_below())}-{records.as_of:%Y%m%d}"
    if not place.exists():
        said = _output.display(Note(trying()("panel.reading")), display_id=True)
        compute_demo(path, place, records.as_of)
        if said is not None:
            said.update(Note(""))
        _forget_earlier(place.parent)
    return place


def _forget_earlier(cache: Path) -> None:
    """Only the last few are kept."""
    made = sorted(cache.glob("own-*"), key=lambda place: place.stat().st_mtime)
    for place in made[:-MOST_KEPT]:
        shutil.rmtree(place, ignore_errors=True)


def _hash_of(text: str) -> str:
    """A short name for a text."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _of_run(path: Path) -> Own:
    manifest = json.loads((path / MANIFEST).read_text(encoding="utf-8"))
    settings = {name: held["value"] for name, held in manifest["settings"].items()}
    said = trying()("panel.run", folder=path.resolve().name)
    return Own(said, settings, None, lambda: _findings(path / "review"))


def _recorded(said: str, records: Records, place: Callable[[], Path]) -> Own:
    settings = {name: held["value"] for name, held in settings_in_force(records).items()}
    return Own(said, settings, records, lambda: _findings(place()))


def _findings(place: Path) -> tuple[Findings, Findings | None]:
    plan = place / "plan" / f"{OPERATION}.json"
    return read(place / "season" / f"{OPERATION}.json"), read(plan) if plan.exists() else None
