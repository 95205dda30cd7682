"""Another programme for one apiary, written in a line, read back, and refused in words."""

from __future__ import annotations

from datetime import date

import pytest

from kit.errors import ValidityError
from kit.plan.programme.supposed import Programme, Step, programme_from, programme_text

FIRST = date(2025, 4, 1)
SERIES = Step("oxalic sublimation", date(2025, 11, 3), 3, 6)


@pytest.mark.parametrize(
    "programme",
    [
        Programme("MILL", (Step("thymol", date(2025, 8, 5)), SERIES)),
        Programme("FAR: END", (Step("queen caging", date(2025, 7, 1)), Step("oxalic sublimation", date(2026, 1, 5)))),
    ],
)
def test_what_is_written_reads_back(programme: Programme) -> None:
    assert programme_from(programme_text(programme), apiaries=["MILL", "FAR", "FAR: END"], first=FIRST) == programme


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("thymol 5 Aug", "begins with one of MILL"),
        ("MILL:", "no treatment is named"),
        ("MILL: thymol", "not a treatment with its first day"),
        ("MILL: prayer 5 Aug", "no treatment the plan knows"),
        ("MILL: thymol 31 Feb", "is no day"),
        ("MILL: thymol 5 Xyz", "is no day"),
        ("MILL: oxalic sublimation 3 Nov x99", "1 to 12 rounds"),
        ("MILL: oxalic sublimation 3 Nov x0", "1 to 12 rounds"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(ValidityError, match=said):
        programme_from(text, apiaries=["MILL"], first=FIRST)
