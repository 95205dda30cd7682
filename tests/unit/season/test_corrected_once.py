"""A treatment that was written down wrong and corrected enters the season once, as corrected."""

from datetime import date
from pathlib import Path

import pytest

from kit.records.load import load
from kit.season.open_points import strips_in
from kit.season.rounds import rounds

GIVEN = "date,apiary,treatment,dose,unit,removed,corrects\n"


@pytest.mark.parametrize(
    ("lines", "dose"),
    [
        ("2025-09-03,A,oxalic sublimation,3.2,g,,\n2025-09-03,A,oxalic sublimation,2.1,g,,row 2\n", 2.1),
        ("2025-09-03,A,oxalic sublimation,3.2,g,,\n2025-09-04,A,oxalic sublimation,2.1,g,,2025-09-03\n", 2.1),
        ("2025-03-30,A,oxalic sublimation,3.2,g,,row 3\n2025-09-04,A,oxalic sublimation,2.1,g,,\n", None),
    ],
)
def test_the_corrected_line_counts_and_the_struck_one_does_not(tmp_path: Path, lines: str, dose: float | None) -> None:
    (tmp_path / "apiaries.csv").write_text("apiary,hives\nA,10\n")
    (tmp_path / "settings.csv").write_text("setting,value\nseason_start,2025-04-01\n")
    (tmp_path / "treatments.csv").write_text(GIVEN + lines)
    found = rounds(load(tmp_path, today=date(2026, 3, 1)))
    assert found["dose_g"].tolist() == ([] if dose is None else [dose])  # a correction may lie outside the season


def test_strips_placed_by_mistake_are_not_still_in(tmp_path: Path) -> None:
    (tmp_path / "apiaries.csv").write_text("apiary,hives\nA,10\n")
    placed = "2025-08-20,A,amitraz strips,2,strips,,\n2025-08-20,A,amitraz strips,2,strips,2025-10-01,row 2\n"
    (tmp_path / "treatments.csv").write_text(GIVEN + placed)
    assert strips_in(load(tmp_path, today=date(2026, 3, 1))).empty
