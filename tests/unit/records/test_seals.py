"""Seals counted out and back: a hive left sealed is a dead hive (common practice, no source)."""

from datetime import date
from pathlib import Path

import pytest

from kit.records.note import doubts
from kit.records.seals import not_home

from .conftest import Read, said

LOG = "date,apiary,did,seals_out,seals_in\n"


def lines(*told: str) -> dict[str, str]:
    return {"log": LOG + "".join(f"{line}\n" for line in told)}


def test_a_seal_that_did_not_come_back_is_named_with_its_place_and_day(read: Read) -> None:
    records = read(lines("2025-11-12,BANK,oxalic sublimation,4,3", "2025-11-12,MEADOW,oxalic sublimation,4,4"))
    told = said(records, column="seals_in")
    assert told["row"].tolist() == [2]
    assert told["problem"].iloc[0].startswith("1 seal of 4 not brought home from BANK on 2025-11-12")
    assert told["remedy"].iloc[0].startswith("look at once")
    assert records.account["set_aside"].sum() == 0


@pytest.mark.parametrize(
    ("told", "missing"),
    [
        (["2025-11-12,BANK,look,4,4"], []),
        (["2025-11-12,BANK,look,4,5"], []),
        (["2025-11-12,BANK,look,,3"], []),
        (["2025-11-12,BANK,look,4,"], []),
        (["2025-11-12,BANK,look,4,0"], [4]),
        (["2025-11-12,BANK,look,4,", "2025-11-12,BANK,look,,4"], []),
        (["2025-11-12,BANK,look,4,", "2025-11-12,BANK,look,,2"], [2]),
        (["2025-11-12,BANK,look,4,4", "2025-11-12,BANK,look,4,"], []),
        (["2025-11-12,BANK,look,4,3", "2025-11-12,BANK,look,,1"], []),
        (["2025-11-12,BANK,look,4,3", "2025-11-13,BANK,look,,1"], []),
        (["2025-11-12,BANK,look,4,3", "2025-11-13,MEADOW,look,,1"], [1]),
        (["2025-11-12,BANK,look,4,2", "2025-11-13,BANK,look,4,5"], [1]),
        (["2025-11-11,BANK,look,,1", "2025-11-12,BANK,look,4,3"], [1]),
        (["2025-10-12,BANK,look,4,3", "2025-11-12,BANK,look,4,2", "2025-11-13,BANK,look,,2"], [1]),
    ],
)
def test_what_came_home_later_is_not_missing_and_a_blank_is_unknown(
    read: Read, told: list[str], missing: list[float]
) -> None:
    assert not_home(read(lines(*told)).tables["log"])["missing"].tolist() == missing


def test_it_is_doubtful_when_nobody_wrote_how_many_came_back(read: Read) -> None:
    told = said(read(lines("2025-11-12,BANK,look,4,", "2025-11-12,MEADOW,look,0,")), column="seals_in")
    assert told["problem"].tolist() == ["not written how many of 4 seals came back"] and told["row"].tolist() == [2]


def test_a_line_just_noted_is_doubted_though_the_season_of_the_settings_is_over(folder: Path) -> None:
    (folder / "settings.csv").write_text("setting,value\nseason_start,2024-04-01\nseason_end,2025-03-31\n")
    (folder / "log.csv").write_text(LOG + "2025-11-12,BANK,look,4,3\n")
    assert "1 seal of 4 not brought home from BANK" in doubts(folder, {2}, today=date(2025, 11, 12))[2][0]
