"""The sheets of a simulated operation are read without a word of complaint."""

from datetime import date
from pathlib import Path

import pytest

from kit.records.load import load
from tests.simulator.operations import KINDS, operation
from tests.simulator.sheets import write


@pytest.mark.parametrize("name", list(KINDS))
def test_a_simulated_operation_loads_without_a_problem(name: str, tmp_path: Path) -> None:
    write(operation(KINDS[name], 3), tmp_path)
    records = load(tmp_path / "records", today=date(2026, 4, 10))
    assert records.problems.empty, records.problems.to_string()
    assert len(records.tables["counts"])
