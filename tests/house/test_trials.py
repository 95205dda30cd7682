"""The one command for all faults and measures names files that are there, and every benchmark is among them."""

from __future__ import annotations

import platform
from datetime import date
from pathlib import Path

from tests.trials import TRIALS, Row, table, where

TESTS = Path(__file__).parents[1]
ELSEWHERE = {"benchmarks/test_mite_sensitivity.py"}
"""What the year is most sensitive to is no trial: it has no outcome to hold."""


def test_every_file_is_there_and_no_benchmark_is_missing() -> None:
    assert [path for path in TRIALS.values() if not (TESTS / path).is_file()] == []
    benchmarks = {f"benchmarks/{path.name}" for path in (TESTS / "benchmarks").glob("test_*.py")}
    assert benchmarks - set(TRIALS.values()) == ELSEWHERE


def test_a_trial_is_a_row_with_what_it_measured() -> None:
    assert table({"notes": Row(passed=3, failed=1, said=["ratio 2"])}).endswith("| notes | 3 | 1 | 0 | ratio 2 |")


def test_the_table_is_headed_by_the_day_and_the_kind_of_machine_and_by_no_name_of_it() -> None:
    said = where(date(2026, 3, 7))
    assert said.startswith("7 March 2026, ") and "cores" in said and platform.node() not in said
