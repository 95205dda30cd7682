"""The demo is made by its generator, holds the mess it is meant to hold and no other, and tells its story."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from kit.records.load import load
from kit.records.records import Records
from tests.demo import mess, year
from tests.demo.make import ROOT, files
from tests.demo.places import LANES
from tests.demo.world import World, world

TODAY = date(2026, 4, 10)
pytestmark = pytest.mark.xdist_group("demo")


@pytest.fixture(scope="module")
def grown() -> World:
    return world()


@pytest.fixture(scope="module")
def story() -> dict[str, Any]:
    return json.loads((ROOT / "tests/demo/truth.json").read_text(encoding="utf-8"))


def read(folder: str) -> Records:
    return load(ROOT / "data_demo" / folder, today=TODAY)


def rows(table: str) -> list[dict[str, str]]:
    text = (ROOT / f"data_demo/full/{table}.csv").read_bytes().decode("cp1252" if table == "log" else "utf-8-sig")
    return list(csv.DictReader(io.StringIO(text), delimiter=";" if table == "weather" else ","))


def test_the_generator_makes_the_demo_again_byte_for_byte(grown: World) -> None:
    changed = [path for path, content in files(grown).items() if (ROOT / path).read_bytes() != content]
    assert not changed, f"run `python -m tests.demo.make` (a new numpy may draw other numbers): {changed}"


def test_no_file_stands_in_the_demo_that_the_generator_does_not_write(grown: World) -> None:
    there = {str(path.relative_to(ROOT).as_posix()) for path in (ROOT / "data_demo").rglob("*") if path.is_file()}
    assert there == {path for path in files(grown) if path.startswith("data_demo/")}


def test_exactly_the_rows_meant_to_be_unusable_are_set_aside() -> None:
    problems = read("full").problems
    aside = problems[problems["problem"].str.contains("set aside")]
    found = set(zip(aside["file"], aside["row"], strict=True))
    assert found == {(file, row) for file, row, _ in mess.spoiled(set_aside=True)}


def test_nothing_else_is_reported_but_bad_cells_an_extra_column_a_product_without_a_label_and_forgotten_strips() -> (
    None
):
    problems = read("full").problems
    spoiled = {(file, row) for aside in (True, False) for file, row, _ in mess.spoiled(set_aside=aside)}
    rest = [p for p in problems.itertuples() if (p.file, p.row) not in spoiled]
    assert {(p.file, p.column, p.value) for p in rest} == {
        ("inspections.csv", "temper", "temper"),
        ("medicines.csv", "product", "thymol trays C"),
        ("treatments.csv", "product", "thymol trays C"),
        ("treatments.csv", "removed", ""),
    }


def test_the_forgotten_strips_are_told_where_they_were_placed() -> None:
    records = read("full")
    told = records.problems[records.problems["problem"].str.contains("never taken out")]
    placed = records.tables["treatments"].set_index("from_row").loc[int(told["row"].item())]
    truth = json.loads((ROOT / "tests/demo/truth.json").read_text(encoding="utf-8"))["forgotten_strips"]
    assert (placed["apiary"], f"{placed['date']:%Y-%m-%d}") == (truth["apiary"], truth["in"])


def test_the_bare_minimum_is_three_sheets_whose_remarks_are_forgotten_strips_and_deaths_nobody_wrote_down() -> None:
    records = read("minimum")
    assert sorted(records.account["table"]) == ["apiaries", "log", "settings"]
    assert records.set_aside == 0
    told = [(row.file, row.column, row.problem) for row in records.problems.itertuples()]
    assert sorted(told)[0][:2] == ("log.csv", "removed") and "never taken out" in sorted(told)[0][2]
    assert [(file, column) for file, column, _ in told if column != "removed"] == [("log.csv", "standing")]
    assert "16 on 2025-10-10 with what was written down since makes 12" in sorted(told)[1][2]


def test_the_negative_dose_is_of_the_one_hive_its_own_line_leaves_out(grown: World) -> None:
    when = year.ROUNDS_2025[0]["PLUM"]
    bad = next(one.row for one in mess.BAD["treatments"] if one.column == "dose")
    assert bad["colonies"] == LANES[grown.standing("PLUM", when)[-1]].colony


def test_nobody_drives_on_a_sunday_or_after_the_seasons_end() -> None:
    days = [date(int(d[6:]), int(d[3:5]), int(d[:2])) for d in (row["date"] for row in rows("log"))]
    assert all(day.weekday() < 6 for day in days)
    assert max(days) <= date(2026, 3, 31)


def test_the_late_apiary_loses_most_and_the_winter_is_an_ordinary_one(story: dict[str, Any]) -> None:
    winter = story["winter"]
    share = {a: w["lost"] / w["wintered"] for a, w in winter.items()}
    assert max(share, key=lambda a: share[a]) == "SLUICE"
    assert winter["SLUICE"]["by_cause"]["mites"] >= 5
    assert 0.12 <= sum(w["lost"] for w in winter.values()) / sum(w["wintered"] for w in winter.values()) <= 0.20
    assert story["late"] == {"SLUICE": {"days": 27, "why": "ground"}, "HEATHER": {"days": 14, "why": "supers"}}


def test_poor_seals_kill_least_of_the_three_rounds(story: dict[str, Any]) -> None:
    rounds = {k["apiary"]: k["efficacy_pct"] for k in story["kill_pct"].values() if k["what"] == "vapour-2025"}
    others = [kill for apiary, kill in rounds.items() if apiary != "KILN"]
    assert rounds["KILN"] < min(others) - 8


def test_every_batch_was_bought_in_the_amount_it_was_used() -> None:
    bought: dict[tuple[str, str], float] = {}
    for row in rows("medicines"):
        if row["event"] == "bought":
            key = (row["product"], row["batch"])
            bought[key] = bought.get(key, 0.0) + float(row["quantity"])
    used: dict[tuple[str, str], float] = {}
    for row in read("full").tables["treatments"].itertuples():
        if row.dose > 0 and row.batch:
            hives = row.done if row.done > 0 else 1
            used[row.product, row.batch] = used.get((row.product, row.batch), 0.0) + row.dose * hives
    assert used
    assert {key: (used[key], bought[key]) for key in used if used[key] > bought[key]} == {}


def test_one_round_alone_is_over_the_label() -> None:
    over = [r for r in rows("treatments") if r["unit"] == "g" and float(r["dose"]) > 2.3]
    assert [(r["apiary"], r["round"], r["dose"]) for r in over] == [("HEATHER", "3", "3")]


def test_the_strips_that_were_forgotten_have_no_way_out_in_any_sheet() -> None:
    placed = read("full").tables["treatments"]
    stays = placed[(placed["treatment"] == "amitraz strips") & placed["removed"].isna()]
    assert list(stays["apiary"]) == ["ROOK"]


def test_no_name_of_a_file_or_folder_of_the_workplace_is_in_the_demo() -> None:
    for path in sorted((ROOT / "data_demo").rglob("*.csv")):
        assert b"/work" not in path.read_bytes(), Path(path).name
