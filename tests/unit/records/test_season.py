"""Seasons, settings, the day of reading."""

from dataclasses import fields
from datetime import date

import pytest

from kit.errors import CannotGoOnError
from kit.records.setting_list import SETTINGS
from kit.records.settings import Settings

from .conftest import Read, said

LOG = "date,apiary,did,standing\n2024-08-02,MEADOW,heads,12\n2025-08-02,MEADOW,heads,11\n2026-08-02,MEADOW,heads,10\n"


def test_every_setting_is_described_once_and_has_one_attribute() -> None:
    assert [field.name for field in fields(Settings)] == list(SETTINGS)
    assert all(setting.reason and setting.column.help for setting in SETTINGS.values())


def test_a_folder_of_several_seasons_is_cut_by_the_settings(read: Read) -> None:
    records = read({"log": LOG})
    assert (records.season.label, records.as_of) == (2025, date(2026, 3, 31))
    assert records.in_season("log")["standing"].tolist() == [11.0]
    assert records.account.set_index("table").loc["log", ["used", "later"]].tolist() == [2, 1]


def test_another_season_moves_every_settings_date_by_whole_years(read: Read) -> None:
    settings = (
        "setting,value\nseason_start,2025-04-01\nseason_end,2026-03-31\ntreat_by,2025-08-20\nwinter_bees_to,10-05\n"
    )
    records = read({"log": LOG, "settings": settings}, season=2024)
    assert records.season == (2024, date(2024, 4, 1), date(2025, 3, 31))
    assert (records.settings.treat_by, records.settings.winter_bees_to) == (date(2024, 8, 20), date(2024, 10, 5))


def test_a_month_and_day_belongs_to_the_season_it_falls_in(read: Read) -> None:
    records = read({"settings": "setting,value\nseason_start,04-01\ntreat_by,01-15\n", "log": LOG}, season=2025)
    assert records.settings.treat_by == date(2026, 1, 15)


def test_without_a_year_the_latest_season_with_records_is_taken(read: Read) -> None:
    records = read({"settings": "setting,value\ntreat_by,08-20\n", "log": LOG}, today=date(2026, 5, 1))
    assert records.season.label == 2025


def test_as_of_hides_what_is_dated_later_and_reads_later_ends_as_empty(read: Read) -> None:
    colonies = "colony,apiary,from,to,outcome,cause\nM1,MEADOW,2024-05-01,2026-02-01,died,mites\n"
    records = read({"log": LOG, "colonies": colonies}, as_of=date(2025, 12, 1))
    stay = records.tables["colonies"].iloc[0]
    assert (str(stay["to"]), stay["outcome"], stay["cause"]) == ("NaT", "", "")
    assert records.as_of == date(2025, 12, 1)


def test_a_day_before_the_season_cannot_be_reported_on(read: Read) -> None:
    with pytest.raises(CannotGoOnError, match="before season 2025"):
        read({"log": LOG}, season=2025, as_of=date(2024, 1, 1))


def test_a_setting_given_twice_keeps_the_later_and_says_so(read: Read) -> None:
    records = read({"settings": "setting,value\nfew_max,12\nfew_max,15\n"})
    assert records.settings.few_max == 15
    assert len(said(records, file="settings.csv", row=2)) == 1
    assert records.account.set_index("table").loc["settings", "set_aside"] == 1


def test_a_value_that_cannot_be_read_leaves_the_default(read: Read) -> None:
    records = read({"settings": 'setting,value\nfew_max,lots\nmin_air_c,"6,5 °C"\n'})
    assert (records.settings.few_max, records.settings.min_air_c) == (20, 6.5)
    assert "default is used: 20" in said(records, column="value")["problem"].item()
