"""The season and the plan, computed once and saved for every page to read."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, partial
from pathlib import Path

from kit.plan.again.earlier import before
from kit.plan.make import make
from kit.records.load import load
from kit.records.records import Records
from kit.report.kept import Kept
from kit.report.write import cannot_write, write_text
from kit.season.findings import INDEX, OPERATION, Findings, file_names, read, save
from kit.season.medicine.record import MedicineRecord, medicine_record
from kit.season.review import review as review_season

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Computed:
    """Records with what was found in them; `plan` None when none was asked for."""

    records: Records
    review: Findings
    plan: Findings | None

    @property
    def files(self) -> dict[str, str]:
        """Apiary to the safe name of its files and folders."""
        return file_names(self.review.apiary_facts)

    @cached_property
    def medicine(self) -> MedicineRecord:
        """The medicine record, made once for its tables, its page and the histories of what is sold."""
        return medicine_record(self.records)


def save_computed(computed: Computed, place: Path) -> None:
    """Write `season/`, `plan/` and the index of their files under `place`; an earlier `place` is replaced whole."""
    part = place.with_name(f".{place.name}.{os.getpid()}.part")
    try:
        _write(computed, part)
        if place.exists():
            shutil.rmtree(place)
        part.replace(place)
    except OSError as error:
        raise cannot_write(place, error) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _write(computed: Computed, place: Path) -> None:
    weather = {"weather": computed.records.in_season("weather")}
    save(replace(computed.review, tables={**computed.review.tables, **weather}), place / "season")
    if computed.plan is not None:
        save(computed.plan, place / "plan")
    write_text(place / INDEX, json.dumps(computed.files, ensure_ascii=False, indent=1) + "\n")


def reviewed(
    records: Records, kept: Kept, *, seed: int, jobs: int = 1, cluster: str = "", progress: Progress | None = None
) -> Findings:
    """The season review, taken from an earlier run that worked it out from the same.

    Its draws are kept by themselves: what touches neither hives, counts nor treatments leaves them as they are.
    """
    draws = partial(kept.arrays, "draws")
    return kept.findings(
        "season",
        (records, seed),
        lambda: review_season(records, seed=seed, jobs=jobs, cluster=cluster, progress=progress, keep=draws),
    )


def planned(
    records: Records,
    review: Findings,
    kept: Kept,
    *,
    seed: int,
    last: Findings | None = None,
    progress: Progress | None = None,
) -> Findings:
    """The plan, taken from an earlier run that made it from the same."""
    given = (records, review, seed, last)
    return kept.findings("plan", given, lambda: make(records, review, seed=seed, last=last, progress=progress))


def last_plan(place: Path, as_of: date) -> Findings | None:
    """The plan saved under `place` that a new one is compared with; None without one."""
    saved = place / "plan" / f"{OPERATION}.json"
    return before(read(saved), as_of) if saved.exists() else None


def compute_demo(records: Path, place: Path, as_of: date) -> None:
    """The demo's review and plan, saved under `place` for a notebook opened on its own."""
    read, kept = load(records, as_of=as_of, today=as_of), Kept()
    review = reviewed(read, kept, seed=1)
    save_computed(Computed(read, review, planned(read, review, kept, seed=1)), place)
