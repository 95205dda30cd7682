"""What `season check` and the printed reference say, and the contract of names they rest on."""

import re

import numpy as np
import pytest

from kit.errors import KitError
from kit.records import words
from kit.records.account import account_of, check_text
from kit.records.advice import worth_writing
from kit.records.reference import settings_reference, tables_reference
from kit.records.setting_list import SETTINGS
from kit.records.tables import MINIMUM, TABLES
from kit.records.typed import Typed

from .conftest import APIARIES, Read

CONTRACT = """
settings: setting value
apiaries: apiary name grid_ref latitude longitude access drive_min carry_min hives floor supply_dry supply_wet emergency
 mites_notified notes
log: date apiary who did standing done dead cause weak light trays tray_days crumbs seals_out seals_in wrong
 why_late notes
crops: apiary crop supers_on supers_off
labels: product active authorised strength_mg_per_g max_dose dose_unit max_rounds_per_year brood_free_only
 supers_allowed min_c max_c withdrawal_days read_on
events: date kind from to hives notes
colonies: colony apiary from to outcome cause hive material brood_boxes queen_year notes
inspections: date apiary colony strength bee_frames brood_frames drone_brood_pct queen supers dead_bees
 deformed_wings notes
counts: date apiary colony method mites level days bees share_counted_pct notes
treatments: date apiary colonies treatment product batch dose unit round removed supers_on sublimator expel_s seal air_c
 wind follow_up written_on corrects notes
visits: date apiary start end people colonies_done supply warm_up_min volts_before volts_after ground notes
medicines: date event product active batch expiry quantity unit supplier supplier_address evidence cost prescriber
 how_disposed where_disposed written_on corrects
gear: item kind type volts amp_hours watts idle_watts efficiency_pct warm_up_min expel_s cool_down_min spoon_g opened
 expires cost bought notes
weather: date apiary min_c max_c rain_mm wind_kmh
"""
"""Table and column names of the record sheets, as they were agreed; other rooms and users' files rely on each."""

SETTING_NAMES = """
keeper season_start season_end currency labour_per_hour vehicle_per_hour colony_value
work_hours_per_day work_days people last_supers_off winter_bees_from winter_bees_to treat_by treat_above_pct
winter_limit_pct wanted_chance min_air_c max_wind group_size few_max climate date_order jurisdiction base_latitude
base_longitude plan_may_use
"""


def agreed() -> dict[str, list[str]]:
    lines = re.sub(r"\n ", " ", CONTRACT).strip().splitlines()
    return {line.partition(":")[0]: line.partition(":")[2].split() for line in lines}


@pytest.mark.parametrize(("table", "columns"), agreed().items())
def test_every_agreed_column_stands_in_its_sheet_in_order(table: str, columns: list[str]) -> None:
    names = [name for name in TABLES[table].names if name != "meaning"]
    assert names == columns


def test_every_agreed_table_and_setting_is_described_and_no_other() -> None:
    assert set(TABLES) == set(agreed())
    assert list(SETTINGS) == SETTING_NAMES.split()


def test_every_column_has_help_and_every_word_is_lower_case() -> None:
    for table in TABLES.values():
        assert table.adds and table.row_is
        for column in table.columns:
            assert column.help.endswith((".", "?")), (table.name, column.name)
            assert all(word == word.casefold() for word in column.words)
            assert not column.words or column.example in ("", *column.words) or column.kind in {"did", "trays"}


def test_the_printed_reference_names_every_column_word_and_setting() -> None:
    printed = tables_reference() + settings_reference()
    for table in TABLES.values():
        assert f"### `{table.name}`" in printed
        assert all(f"`{name}`" in printed for name in table.names)
    assert all(word in printed for word in (*words.TREATMENTS, *words.CAUSES, *words.WHY_LATE))
    assert all(f"| `{name}` |" in printed for name in SETTINGS)


def test_check_says_what_was_read_and_set_aside_and_what_is_missing(read: Read) -> None:
    log = "date,apiary,did,standing\n2025-08-02,MEADOW,heads,12\n2025-08-02,MEDOW,heads,8\n2027-08-02,BANK,heads,8\n"
    text = check_text(read({"log": log}))
    assert re.search(r"log +3 rows = 1 used \+ 1 set aside \+ 1 dated later", text)
    assert re.search(r"in all +6 rows = 4 used \+ 1 set aside \+ 1 dated later", text)
    assert "log.csv, row 3 (apiary: MEDOW)" in text
    assert 'did you mean "MEADOW"?' in text
    assert all(f"{name}: {TABLES[name].adds}" in text for name in TABLES if name not in MINIMUM)
    assert "few_max = 20  (default, assumed: more than that is rarely called few)" in text
    assert "season_start = 2025-04-01  (yours)" in text


def test_check_ends_with_three_things_to_write_down_whatever_is_lacking(read: Read) -> None:
    lacking = check_text(read({})).splitlines()[-3:]
    assert [line.strip()[:2] for line in lacking] == ["1.", "2.", "3."]


def test_a_forgotten_strip_is_the_first_thing_to_write_down(read: Read) -> None:
    log = "date,apiary,did,standing\n2025-08-02,MEADOW,amitraz strips; strips in,12\n"
    first = check_text(read({"log": log})).splitlines()[-3]
    assert "strips came out at MEADOW" in first


HEADS = "date,apiary,did,standing,trays,tray_days,why_late\n"
WRITTEN: dict[str, str] = {
    "log": HEADS + "2025-09-20,MEADOW,oxalic sublimation 1; heads,12,4,7,ground\n2025-09-20,BANK,heads,8,5,7,\n",
    "apiaries": APIARIES.replace("floor\n", "floor,drive_min\n").replace("mesh\n", "mesh,20\n").replace("d\n", "d,9\n"),
    "crops": "apiary,crop,supers_on,supers_off\nMEADOW,lime,2025-06-01,2025-07-20\nBANK,lime,2025-06-01,2025-07-20\n",
    "labels": "product,authorised\npowder,yes\n",
    "treatments": "date,apiary,treatment,product,batch\n2025-09-20,MEADOW,oxalic sublimation,powder,B1\n",
}
"""Records that lack nothing that is asked for by name."""


def test_when_nothing_is_lacking_the_cheapest_number_of_the_year_is_asked_for(read: Read) -> None:
    assert worth_writing(read(WRITTEN), 10) == [
        "An early tray on three hives an apiary in spring: the cheapest number of the year."
    ]


@pytest.mark.parametrize(
    ("sheet", "old", "new", "asked"),
    [
        ("log", "2025-09-20,BANK", "2025-09-20,BNAK", "Mend the 1 row set aside above"),
        ("treatments", ",B1\n", ",B1\n2025-08-01,BANK,amitraz strips,powder,B2\n", "The day the strips came"),
        ("log", "heads,8", "look,", "Heads at BANK"),
        ("log", ",8,5,7,", ",8,,,", "Mites on three trays at BANK"),
        ("labels", "powder,yes\n", "", "What the label of your oxalic product allows"),
        ("treatments", ",B1\n", ",\n", "Product and batch of each treatment"),
        ("crops", "BANK,lime,2025-06-01,2025-07-20\n", "", "Supers on and supers off at BANK"),
        ("apiaries", "d,9\n", "d,\n", "Minutes to drive to BANK"),
        ("log", "7,ground", "7,", "Why MEADOW was late"),
    ],
)  # fmt: skip
def test_each_thing_that_is_lacking_is_asked_for_before_any_that_is_not(
    read: Read, sheet: str, old: str, new: str, asked: str
) -> None:
    assert old in WRITTEN[sheet]
    first = worth_writing(read(WRITTEN | {sheet: WRITTEN[sheet].replace(old, new)}), 10)[0]
    assert first.startswith(asked)


@pytest.mark.parametrize("lost", [True, False])
def test_a_row_lost_or_made_on_the_way_stops_the_run(read: Read, lost: bool) -> None:
    records = read({"log": HEADS + "2025-09-20,MEADOW,look,,,,\n2025-09-21,BANK,look,,,,\n"})
    table = records.tables["log"]
    none = np.zeros(2, dtype=bool)
    sheet = Typed(TABLES["log"], table, none, none)
    assert account_of([sheet], {"log": table})["used"].tolist() == [2]
    with pytest.raises(KitError, match="the rows of log do not add up"):
        account_of([sheet], {"log": table.iloc[:1] if lost else table.iloc[[0, 1, 1]]})
