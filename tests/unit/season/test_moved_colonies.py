"""A colony moved to a crop and back is one colony: what was counted and given elsewhere is known at home."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from kit.records.records import Records
from kit.season.fit import read_season
from kit.season.review import review
from kit.season.rounds import rounds
from kit.season.units import units
from tests.unit.season.by_the_law import apiaries
from tests.unit.season.sheets import boards, records

WENT, CAME = "2025-08-01", "2025-09-10"
STAYS = [
    {"colony": "H1", "apiary": "HOME", "to": WENT, "outcome": "moved"},
    {"colony": "H1", "apiary": "MOOR", "from": WENT, "to": CAME, "outcome": "moved"},
    {"colony": "H1", "apiary": "HOME", "from": CAME},
    {"colony": "H2", "apiary": "HOME"},
]


def _records(stays: list[dict[str, Any]] = STAYS, **more: Any) -> Records:
    return records({"HOME": 2, "MOOR": 1}, colonies=stays, **more)


def _strips(apiary: str, on: str, off: str) -> dict[str, Any]:
    return {"date": on, "apiary": apiary, "colonies": "all", "treatment": "amitraz strips", "removed": off}


def test_it_is_a_unit_at_each_apiary_and_stands_at_one_a_day() -> None:
    home = {u.colony: u for u in units(_records()) if u.apiary == "HOME"}["H1"]
    moor = next(u for u in units(_records()) if u.apiary == "MOOR" and u.colony)
    for on in pd.date_range("2025-04-01", "2026-03-31", freq="7D"):
        assert home.stands(on.date()) != moor.stands(on.date())
    assert home.stands(date(2025, 9, 10)) and moor.stands(date(2025, 9, 9))


def test_what_was_counted_on_the_moor_is_known_at_home_and_the_other_way_round() -> None:
    counts = boards("MOOR", "H1", ("2025-08-20", 70, 7)) + boards("HOME", "H1", ("2025-07-10", 12, 7))
    places = {place.apiary: place for place in apiaries(_records(counts=counts))}
    for name, place in places.items():
        at = [n for n, u in enumerate(place.hives.units) if u.colony == "H1"]
        assert [len(place.sights[n].looks) for n in at] == [2], name


def test_strips_given_on_the_moor_reached_it_and_those_given_at_home_meanwhile_did_not() -> None:
    given = [_strips("MOOR", "2025-08-05", "2025-09-09"), _strips("HOME", "2025-08-20", "2025-10-01")]
    home = next(p for p in apiaries(_records(treatments=given)) if p.apiary == "HOME").hives
    colonies = [u.colony for u in home.units]
    share = {(one.dose.day, c): one.share[n] for one in home.given for n, c in enumerate(colonies)}
    assert share[date(2025, 8, 5), "H1"] == 1 and share[date(2025, 8, 5), "H2"] == 0
    assert share[date(2025, 8, 20), "H1"] == 0 and share[date(2025, 8, 20), "H2"] == 1


def test_two_colonies_under_one_id_at_the_same_time_stay_two() -> None:
    stays = [{"colony": "1", "apiary": "HOME"}, {"colony": "1", "apiary": "MOOR"}]
    found = [u for u in units(_records(stays)) if u.colony]
    assert [u.path for u in found] == [(), ()]


@pytest.mark.parametrize("many", [6])
def test_mites_at_home_after_the_moor_are_those_that_came_back(many: int) -> None:
    stays = [dict(stay, colony=f"H{n}") for n in range(many) for stay in STAYS[:3]]
    treated = records(
        {"HOME": many, "MOOR": 0}, colonies=stays, treatments=[_strips("MOOR", "2025-08-03", "2025-09-08")]
    )
    left = records({"HOME": many, "MOOR": 0}, colonies=stays)
    loads = []
    for given in (treated, left):
        season = read_season(given, rounds(given), seed=1)
        here = season.readings["HOME"]
        loads.append(float(here.mean(here.mites[:, :, 170], 170).mean()))
    assert loads[0] < 0.4 * loads[1]


def test_the_review_names_the_treatment_where_it_was_given_and_each_day_once() -> None:
    found = review(_records(treatments=[_strips("MOOR", "2025-08-05", "2025-09-09")]), seed=1)
    kills = found.tables["efficacy"]
    assert set(kills["apiary"]) == {"MOOR"}
    mine = found.tables["loads"].query("colony == 'H1'")
    assert not mine.duplicated(["date", "colony"]).any()
