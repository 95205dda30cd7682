"""What next season promises: each thing moved moves the chance and the loss the way it must."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from kit.plan.ahead import ahead_of
from kit.plan.futures import Futures, Given, futures_of
from kit.plan.jobs import Means, jobs_of
from kit.plan.make import make, means_of
from kit.plan.odds import holds_pct
from kit.plan.programmes import wanted
from kit.plan.rota import Work, plan_with
from kit.plan.sites import ground_of
from kit.season.findings import Findings
from tests.unit.plan.operation import records_of, review_of


@pytest.fixture(scope="module")
def ash(tmp_path_factory: pytest.TempPathFactory) -> Futures:
    records = records_of(tmp_path_factory.mktemp("operation"))
    return futures_of(records, review_of(records), ahead_of(records), seed=1)["ASH"]


def strips(day: date) -> list[Given]:
    return [Given("amitraz strips", (day,), day + timedelta(days=45))]


def test_each_fortnight_later_loses_more_and_nothing_loses_most(ash: Futures) -> None:
    losses = [ash.loss_pct(strips(date(2026, 8, 10) + timedelta(days=14 * k))) for k in range(4)]
    assert losses == sorted(losses)
    assert ash.loss_pct([]) > losses[-1]


def test_a_round_more_without_brood_never_lowers_the_chance(ash: Futures) -> None:
    main = strips(date(2026, 8, 10))
    more = [*main, Given("oxalic sublimation", (date(2026, 12, 5),), dose_g=2.0)]
    alone, both = ash.outlook(main), ash.outlook(more)
    assert alone is not None
    assert both is not None
    assert both.chance_pct >= alone.chance_pct


def test_what_acts_through_the_queen_is_not_reckoned_rather_than_guessed(ash: Futures) -> None:
    assert ash.outlook([Given("queen caging", (date(2026, 7, 10),), date(2026, 8, 4))]) is None


def test_fewer_mites_at_the_start_are_a_better_outlook(tmp_path: Path) -> None:
    records = records_of(tmp_path)
    review, ahead = review_of(records), ahead_of(records)
    found = []
    for load in (10.0, 200.0):
        facts = {a: {"load_p05": load / 2, "load_p50": load, "load_p95": load * 2} for a in records.apiaries}
        read = Findings({}, facts, review.tables)
        found.append(futures_of(records, read, ahead, seed=1)["ASH"].loss_pct(strips(date(2026, 8, 20))))
    assert found[0] < found[1]


def test_the_order_of_apiaries_does_not_move_the_draws(tmp_path: Path, ash: Futures) -> None:
    from tests.unit.plan.operation import SHEETS

    head, *rows = SHEETS["apiaries"].splitlines()
    records = records_of(tmp_path, apiaries="\n".join([head, *rows[::-1]]) + "\n")
    other = futures_of(records, review_of(records), ahead_of(records), seed=1)["ASH"]
    assert other.loss_pct([]) == ash.loss_pct([])


def test_room_to_bend_makes_the_plan_hold(tmp_path: Path) -> None:
    chances = []
    for treat_by in ("08-06", "08-31"):
        sheet = f"setting,value\nwork_hours_per_day,6\ntreat_by,{treat_by}\nlast_supers_off,08-05\n"
        records = records_of(tmp_path, settings=sheet, crops=None)
        facts = make(records, review_of(records), seed=1).facts
        assert 0 <= facts["holds_pct"] <= 100
        chances.append(facts["holds_pct"])
    assert chances[0] < chances[1]


def test_without_a_main_treatment_there_is_nothing_to_hold(tmp_path: Path) -> None:
    records = records_of(tmp_path)
    review, ahead = review_of(records), ahead_of(records)
    ground = ground_of(records, review.tables["rounds"], ahead)
    treatments = [t for t in wanted(records, review.tables["rounds"], ahead)[0] if t.window == "winter"]
    means: Means = means_of(records, review, seed=1)
    rota = plan_with(treatments, ground, ahead, means, {}, Work(200, 0, 1))
    assert jobs_of(treatments, ground, ahead, means)
    assert holds_pct(rota, means, seed=1) is None
