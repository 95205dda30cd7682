"""Every fault, hostile input and ratio that was tried, in one run and one table: `python -m tests.trials [WORD ...]`.

A word picks the rows whose subject holds it; none runs them all, long ones too (more than an hour on two cores).
"""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TRIALS: dict[str, str] = {
    "sheets damaged at random": "unit/records/test_mutations.py",
    "notes under kill, full disk, two writers": "unit/records/test_note_kept.py",
    "errors of tables, class by class": "published/test_frictionless_errors.py",
    "a hundred thousand rows": "benchmarks/test_large_sheets.py",
    "the fit on outside seasons": "unit/season/test_calibration.py",
    "the fit against years of the law": "benchmarks/test_reading_speed.py",
    "the mite law against plain C": "benchmarks/test_mite_kernel.py",
    "doses of a charge": "benchmarks/test_doses_per_charge.py",
    "plans against time and a general solver": "benchmarks/test_plan.py",
    "runs under kill, full disk, read-only folders": "notebooks/test_faults.py",
    "hostile names and notes in pages": "browser/test_hostile_names.py",
    "pages by axe and rendered contrast": "browser/test_accessibility.py",
    "pages against stock tools": "benchmarks/test_report_speed.py",
    "panels: hostile values, memory": "browser/test_panels.py",
    "panels: slider to chart": "benchmarks/test_panel_speed.py",
    "hostile packs": "unit/share/test_attacks.py",
    "packs searched for private words": "unit/share/test_pack.py",
    "who might be recognised": "unit/share/test_reidentification.py",
    "reports subtracted from each other": "unit/share/test_subtraction.py",
    "two thousand packs": "benchmarks/test_pool_scale.py",
}
"""What was tried, and the tests that try it."""


@dataclass
class Row:
    """What came of one trial."""

    passed: int = 0
    failed: int = 0
    skipped: int = 0
    said: list[str] = field(default_factory=list)


class Told:
    """Gathers what each test printed and how it ended, by file."""

    def __init__(self) -> None:
        self.rows: dict[str, Row] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        row = self.rows.setdefault(report.nodeid.split("::")[0].removeprefix("tests/"), Row())
        if report.when == "call" or report.outcome != "passed":
            setattr(row, report.outcome, getattr(row, report.outcome) + 1)
        if report.when == "call":
            row.said += [line.strip() for line in report.capstdout.splitlines() if line.strip()]


def tried(words: Sequence[str]) -> dict[str, Row]:
    """Run the trials whose subject holds one of the words, all of them when there is none."""
    picked = {what: path for what, path in TRIALS.items() if not words or any(word in what for word in words)}
    told = Told()
    files = [str(ROOT / "tests" / path) for path in picked.values()]
    pytest.main(["-n", "0", "-q", "-m", "slow or long or not slow", "--rootdir", str(ROOT), *files], plugins=[told])
    return {what: told.rows.get(path, Row()) for what, path in picked.items()}


def table(rows: dict[str, Row]) -> str:
    """The rows in Markdown."""
    lines = ["| tried | held | failed | left out | measured |", "|---|---|---|---|---|"]
    for what, row in rows.items():
        lines.append(f"| {what} | {row.passed} | {row.failed} | {row.skipped} | {'; '.join(row.said)} |")
    return "\n".join(lines)


def where(on: date) -> str:
    """The day and the kind of machine, as the table is headed."""
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    python = ".".join(platform.python_version_tuple()[:2])
    return f"{on:%-d %B %Y}, {os.cpu_count()} cores, {memory:.0f} GB, {platform.system()}, Python {python}"


if __name__ == "__main__":
    outcome = tried(sys.argv[1:])
    print(where(datetime.now(UTC).date()), table(outcome), sep="\n\n")
    sys.exit(any(row.failed or not row.passed for row in outcome.values()))
