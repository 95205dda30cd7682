"""Whatever stands in the sheets: nothing raises, and rows in = rows used + rows set aside + rows dated later."""

import csv
import random
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.errors import CannotGoOnError
from kit.records.load import load
from kit.records.records import Records
from kit.records.tables import TABLES

DEMO = Path(__file__).parents[2] / "data_demo" / "full"
TODAY = date(2026, 3, 31)

CELLS = """|A1|a1|B2|2025-08-02|03/09/2025|04/13/2025|13/04/2025|3 Sep 25|2205-01-01|2027-01-01|12|2,3 g|-4|1,234|all|
A1-A3|few; 12|board|alcohol wash|oxalic sublimation 2; strips out|strips in|could not|amitraz strips; strips in|
trays in|mites|yes|#example|=1+1|total|NaN|None"""
PLAUSIBLE = st.sampled_from([cell.strip() for cell in CELLS.split("|")])
ANYTHING = st.text(st.characters(exclude_characters="\r\n\0", exclude_categories=["Cs"]), max_size=12)
CELL = st.one_of(PLAUSIBLE, PLAUSIBLE, ANYTHING)


@st.composite
def messy_sheets(draw: st.DrawFn) -> dict[str, list[list[str]]]:
    """Some sheets with their headings, some cut or doubled, and rows of any length."""
    sheets: dict[str, list[list[str]]] = {}
    for name in draw(st.lists(st.sampled_from(list(TABLES)), unique=True, min_size=1, max_size=6)):
        columns = draw(st.lists(st.sampled_from([*TABLES[name].names, "odd"]), min_size=1, max_size=8))
        cells = draw(st.lists(st.lists(CELL, min_size=1, max_size=len(columns) + 1), max_size=8))
        sheets[name] = [columns, *cells]
    return sheets


def write(folder: Path, sheets: dict[str, list[list[str]]]) -> None:
    for old in folder.glob("*.csv"):
        old.unlink()
    for name, rows in sheets.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)


def adds_up(records: Records) -> None:
    account = records.account
    assert (account["rows"] == account["used"] + account["set_aside"] + account["later"]).all()
    for row in account.itertuples():
        assert (records.tables[str(row.table)]["from_table"] == row.table).sum() == row.used
        reasons = records.problems[records.problems["problem"].str.contains("set aside")]
        files = set(records.tables[str(row.table)]["from_file"]) | {f"{row.table}.csv"}
        assert reasons.loc[reasons["file"].isin(files), "row"].nunique() >= row.set_aside


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60, derandomize=True)
@given(sheets=messy_sheets())
def test_rows_in_are_rows_used_set_aside_or_dated_later(tmp_path: Path, sheets: dict[str, list[list[str]]]) -> None:
    write(tmp_path, sheets)
    records = load(tmp_path, today=TODAY)
    adds_up(records)
    marked = ("#help", "#unit", "#example")
    for name, rows in sheets.items():
        firsts = [next((cell for cell in row if cell.strip()), "") for row in rows[1:]]
        data = [first for first in firsts if first and not first.lstrip().casefold().startswith(marked)]
        counted = records.account.set_index("table").loc[name, "rows"]
        above = records.problems[records.problems["problem"] == "above the headings: not read"]
        titles = (above["file"] == f"{name}.csv").sum()
        assert counted + titles >= len(data)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=25, derandomize=True)
@given(seed=st.integers(0, 10_000))
def test_swapped_cut_and_random_cells_of_the_demo_never_raise_and_never_lose_a_row(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    for old in tmp_path.glob("*.csv"):
        old.unlink()
    for sheet in DEMO.glob("*.csv"):
        (tmp_path / sheet.name).write_bytes(mutated(sheet.read_bytes(), chance))
    try:
        adds_up(load(tmp_path, today=TODAY))
    except CannotGoOnError as error:
        assert "\n" not in str(error)


def mutated(data: bytes, chance: random.Random) -> bytes:
    """The bytes of a sheet, with one of a few kinds of damage, or none."""
    at = chance.randrange(len(data))
    end = min(len(data), at + chance.randrange(1, 40))
    kinds = {
        "whole": data,
        "cut": data[:at],
        "noise": data[:at] + chance.randbytes(end - at) + data[end:],
        "nul": data[:at] + b"\0\0" + data[at:],
        "quote": data[:at] + b'"' + data[at:],
        "lost headings": data.partition(b"\n")[2],
        "twice": data + data,
        "huge cell": data[:at] + b"x" * 200_000 + data[at:],
        "wide": data.replace(b"\n", b"," * 300 + b"\n", 3),
        "formula": data[:at] + b"\n=cmd|' /C calc'!A0,1,2\n" + data[at:],
    }
    return kinds[chance.choice(list(kinds))]


@pytest.mark.parametrize("season", [2024, 2025])
def test_the_demo_adds_up_in_both_seasons(season: int) -> None:
    adds_up(load(DEMO, season=season, today=TODAY))
