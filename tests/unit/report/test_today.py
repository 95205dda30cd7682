"""`season today`: at most ten lines, the most pressing first, the forecast used where one is written down."""

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from kit.records.load import load
from kit.records.records import Records
from kit.report.today import MOST_DUE, today_lines, today_page, with_forecast
from kit.season.findings import Findings
from kit.season.forecast import fit_days
from kit.season.review import review

TODAY = date(2025, 10, 20)
SHEETS = {
    "settings": "setting,value\nseason_start,2025-04-01\nmin_air_c,5\nmax_wind,light\ncurrency,GBP\n",
    "apiaries": "apiary,name,hives\nMEADOW,Far Meadow,12\nBANK,The Bank,8\nWOOD,Wood End,6\nLANE,The Lane,4\n",
    "log": "date,apiary,did,standing,done\n2025-08-01,BANK,amitraz strips; strips in,8,8\n"
    "2025-10-15,MEADOW,oxalic sublimation 1,12,12\n2025-10-15,LANE,oxalic sublimation 2,4,4\n"
    "2025-10-01,WOOD,thymol; strips in,6,6\n",
    "weather": "date,min_c,max_c,rain_mm,wind_kmh\n2025-10-19,5,9,0,9\n2025-10-21,6,12,0,8\n2025-10-22,6,12,4,8\n"
    "2025-10-23,6,12,0,30\n2025-10-24,-2,3,0,3\n2025-10-25,6,11,,\n2025-12-25,6,11,0,0\n",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("sheets")
    for name, text in SHEETS.items():
        (place / f"{name}.csv").write_text(text)
    return place


@pytest.fixture(scope="module")
def records(folder: Path) -> Records:
    return load(folder, today=TODAY)


@pytest.fixture(scope="module")
def found(records: Records) -> Findings:
    return review(records, seed=1)


def test_overdue_strips_come_first_then_the_second_round_with_its_days(records: Records, found: Findings) -> None:
    lines = today_lines(records, found)
    assert len(lines) <= 10 and lines[0].startswith("20 Oct 2025, season 2025/26")
    assert lines[1].startswith("BANK: take amitraz strips out, due since 19 Sep")  # in for 49 days
    second = next(line for line in lines if line.startswith("MEADOW"))
    assert "oxalic sublimation round 2, between 20 Oct and 22 Oct" in second
    third = next(line for line in lines if line.startswith("LANE"))
    assert "oxalic sublimation round 3" in third and "round 2 was on 15 Oct 2025" in third  # by its own number
    assert any("WOOD (thymol, out by" in line for line in lines)
    gaps = (found.tables["open_points"]["kind"] == "record gap").sum()
    assert gaps and any(f"{gaps} gaps in the medicine record" in line for line in lines)


def test_a_season_that_has_ended_is_said_to_have(records: Records, found: Findings) -> None:
    assert "season 2025/26; that season has ended" in today_lines(records, found, today=date(2026, 11, 28))[0]
    assert "ended" not in today_lines(records, found, today=TODAY)[0]


def test_the_forecast_is_read_from_weather_rows_after_today(folder: Path, records: Records, found: Findings) -> None:
    ahead = with_forecast(folder, records, TODAY)
    assert ahead is not None
    assert fit_days(ahead, TODAY) == [date(2025, 10, 21), date(2025, 10, 25)]
    assert "Fit for sublimation by the forecast in weather: 21 Oct and 25 Oct." in today_lines(records, found, ahead)


def test_without_a_forecast_and_on_an_earlier_day_none_is_said(folder: Path, records: Records, found: Findings) -> None:
    assert with_forecast(folder, records, date(2025, 11, 1)) is None
    assert not any("forecast" in line for line in today_lines(records, found, records))


def test_however_much_is_due_there_are_ten_lines_and_the_rest_is_counted(records: Records, found: Findings) -> None:
    row = found.tables["today"].iloc[[0]]
    many = pd.concat([row.assign(apiary=f"P{n}", due=f"thing {n}") for n in range(30)], ignore_index=True)
    lines = today_lines(records, Findings(found.facts, found.apiary_facts, {**found.tables, "today": many}))
    assert len(lines) <= 10 and f"And {30 - MOST_DUE + 1} lines more on the page." in lines


def test_nothing_due_is_said(records: Records, found: Findings) -> None:
    nothing = {**found.tables, "today": found.tables["today"].iloc[:0]}
    assert "Nothing is due by these records." in today_lines(records, Findings({}, {}, nothing))


def test_the_page_holds_the_lines_and_the_lists_behind_them(records: Records, found: Findings) -> None:
    page = today_page(records, found, None, "2025-10-20")
    assert "BANK: take amitraz strips out" in page and "Where are strips or trays of medicine in?" in page
    assert page.count("<h1>") == 1 and 'href="index.html"' in page


EVENTS = "date,kind,from,to,hives\n2025-05-13,split,MEADOW,MEADOW,2\n2025-05-16,split,MEADOW,M9,1\n"
EVENTS += "2025-05-20,swarm,BANK,,1\n2025-05-01,split,LANE,LANE,1\n2025-05-25,swarm,WOOD,,1\n"


def test_hives_raising_a_queen_are_named_while_they_have_no_capped_brood(tmp_path: Path) -> None:
    """24 days after the last egg the last drone is out, 24 + 9 days after it the first new cell is capped (Winston
    1987, second-hand; a young queen's laying after 24 days is common practice, no source). LANE's days are over,
    WOOD's more than a week ahead."""
    stays = "colony,apiary,from\nM9,MEADOW,2025-05-16\n"
    for name, text in (SHEETS | {"log": "date,apiary,did\n", "events": EVENTS, "colonies": stays}).items():
        (tmp_path / f"{name}.csv").write_text(text)
    known = load(tmp_path, today=date(2025, 6, 8))
    lines = [line for line in today_lines(known, review(known, seed=1)) if "raise a queen" in line]
    assert {line.split(";")[0] for line in lines} == {
        "MEADOW: one oxalic round in hives split off (2 hives, M9), between 9 Jun and 14 Jun",
        "BANK: one oxalic round in hives that swarmed (1 hive), between 13 Jun and 21 Jun",
    }


@pytest.fixture(scope="module")
def november(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The lines of 2 November in a rush: a round cut short, one finished next day, strips forgotten since last year."""
    log = (
        "date,apiary,did,standing,done,wrong\n2024-09-05,WOOD,amitraz strips; strips in,6,6,\n"
        "2025-10-24,MEADOW,oxalic sublimation 1,12,12,\n2025-10-30,MEADOW,oxalic sublimation 2,12,9,power\n"
        "2025-10-30,BANK,oxalic sublimation 2,8,5,\n2025-10-31,BANK,oxalic sublimation 2,8,3,\n"
    )
    place = tmp_path_factory.mktemp("november")
    for name, text in (SHEETS | {"log": log, "weather": None}).items():
        if text is not None:
            (place / f"{name}.csv").write_text(text)
    records = load(place, today=date(2025, 11, 2))
    return today_lines(records, review(records, seed=1))


def line_of(lines: list[str], apiary: str) -> str:
    return next(line for line in lines if line.startswith(f"{apiary}:"))


def test_hives_left_over_by_a_round_come_before_its_next_one(november: list[str]) -> None:
    line = line_of(november, "MEADOW")
    assert "oxalic sublimation at the 3 hives left over, due until 3 Nov; 9 of 12 done by 30 Oct 2025; power" in line
    assert "also oxalic sublimation round 3" in line


def test_a_series_begun_in_autumn_goes_on_in_november(november: list[str]) -> None:
    assert line_of(november, "BANK").startswith("BANK: oxalic sublimation round 3, between 5 Nov and 7 Nov")


def test_strips_forgotten_last_season_are_asked_after(november: list[str]) -> None:
    assert "take amitraz strips out" in line_of(november, "WOOD")


def test_among_treatments_the_one_whose_waiting_costs_most_goes_first(tmp_path: Path) -> None:
    """A main treatment two months late at a big apiary before a second round in time at a small one."""
    log = "date,apiary,did,standing,done\n2025-10-01,MEADOW,heads,40,\n2025-08-12,BANK,amitraz strips; strips in,8,8\n"
    log += "2025-09-25,BANK,strips out,8,8\n2025-10-20,BANK,oxalic sublimation 1,8,8\n"
    for name, text in (SHEETS | {"log": log}).items():
        (tmp_path / f"{name}.csv").write_text(text)
    known = load(tmp_path, today=date(2025, 10, 25))
    table = review(known, seed=1).tables["today"].set_index("apiary")
    assert table.loc["MEADOW", "wait_cost_p50"] > table.loc["BANK", "wait_cost_p50"] > 0
    assert list(table.index).index("MEADOW") < list(table.index).index("BANK")
    assert table.loc["BANK", "due"] == "oxalic sublimation round 2"
