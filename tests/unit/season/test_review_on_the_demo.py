"""The demo's true story, known from its generator, stands in the review."""

from __future__ import annotations

import json
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.records.load import load
from kit.report.kept import Kept
from kit.season.findings import Findings
from kit.season.review import review

ROOT = Path(__file__).parents[3]
TRUTH: dict[str, Any] = json.loads((ROOT / "tests/demo/truth.json").read_text(encoding="utf-8"))


@cache
def reviewed(demo: str) -> Findings:
    """From the draws that a run of the demo left, where there was one; that they are those of a fresh fit is held by
    `tests/notebooks/test_run.py`."""
    records = load(ROOT / "data_demo" / demo, today=date(2026, 7, 1))
    return review(records, seed=1, jobs=2, keep=partial(Kept().arrays, "draws"))


@pytest.fixture(params=["full", "minimum"])
def found(request: pytest.FixtureRequest) -> Findings:
    return reviewed(request.param)


@pytest.fixture
def full() -> Findings:
    return reviewed("full")


def test_who_was_late_by_how_many_days_and_why(found: Findings) -> None:
    told = {row["apiary"]: {"days": row["days_late"], "why": row["why_late"]} for row in found.facts["late"]}
    assert told == TRUTH["late"]


def test_the_main_treatment_of_every_apiary_and_its_day(found: Findings) -> None:
    table = found.tables["timing"].set_index("apiary")
    for apiary, told in TRUTH["main_treatment"].items():
        assert table.loc[apiary, "treatment"] == told["what"]
        assert str(table.loc[apiary, "treated_on"].date()) == told["on"]
        assert table.loc[apiary, "days_late"] == told["days_late"]


def test_heads_of_every_apiary(found: Findings) -> None:
    for apiary, told in TRUTH["winter"].items():
        facts = found.apiary_facts[apiary]
        assert (facts["wintered"], facts["lost"]) == (told["wintered"], told["lost"])


def test_lateness_cost_most_where_most_was_lost_to_mites(full: Findings) -> None:
    assert full.facts["late"][0]["apiary"] == "SLUICE"
    assert full.facts["late"][0]["extra_loss_pct_p05"] > 2
    assert full.facts["late_extra_colonies_p50"] > 1


def test_the_poor_seals_are_the_weak_kill_and_the_cause(full: Findings) -> None:
    where = TRUTH["poor_seals"]["apiary"]
    worst = full.facts["weak"][0]
    assert (worst["apiary"], worst["cause"], worst["counted"]) == (where, "poor seal", True)


def test_forgotten_strips_are_open_and_the_first_thing_to_do(found: Findings) -> None:
    where = TRUTH["forgotten_strips"]["apiary"]
    assert [row["apiary"] for row in found.facts["strips_in"]] == [where]
    assert found.facts["first"]["apiary"] == where


def test_slow_machine_and_weak_generator_are_found_where_they_worked(full: Findings) -> None:
    slow = {row["apiary"]: row["cause"] for row in full.facts["slow_vapour"]}
    assert slow[TRUTH["weak_generator"]["apiary"]] == "supply low"
    assert "worn element" in slow.values()


def test_apiaries_never_counted_are_named(full: Findings) -> None:
    assert sorted(full.facts["uncounted_apiaries"]) == sorted(TRUTH["never_counted"])


def test_the_mean_hive_of_each_apiary_is_mostly_in_its_band(full: Findings) -> None:
    """Not a proof of the bands (tests/simulator is): three quarters of apiary-months inside."""
    loads = full.tables["loads"]
    loads = loads[loads["scope"] == "apiary"]
    inside = []
    for apiary, by_day in TRUTH["mean_mites"].items():
        for day, told in by_day.items():
            here = loads[loads["apiary"] == apiary]
            row = here.loc[(here["date"] - pd.Timestamp(day)).abs().idxmin()]
            inside.append(row["mites_p05"] / 1.2 <= told["mites"] <= row["mites_p95"] * 1.2)
    assert sum(inside) >= 0.75 * len(inside)
