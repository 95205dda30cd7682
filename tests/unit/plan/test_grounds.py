"""Mends that change the ground: an apiary moved to an all-weather place, a generator for batteries; and charges."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.calc.battery import Battery
from kit.calc.inverter import Inverter
from kit.calc.ranges import Band
from kit.calc.sublimator import Sublimator
from kit.constants import plan as numbers
from kit.plan.ahead import ahead_of
from kit.plan.grounds import moved, powered
from kit.plan.jobs import Means
from kit.plan.make import means_of
from kit.plan.programme.curve import USUAL, loss_of
from kit.plan.programme.programmes import wanted
from kit.plan.rota import Rota, Work, plan_with
from kit.plan.sites import Ground, ground_of
from kit.plan.work import Charge, Kept
from kit.records.records import Records
from kit.season.loss_curve import NUMBERS, OTHER_CAUSES
from tests.unit.plan.operation import SHEETS, records_of, review_of


def planned(folder: Path, **sheets: str) -> tuple[Records, Rota, Ground, Means]:
    records = records_of(folder, 2025, **sheets)
    review, ahead = review_of(records), ahead_of(records)
    ground, means = ground_of(records, review.tables["rounds"], ahead), means_of(records, review, seed=1)
    wishes = wanted(records, review.tables["rounds"], ahead)[0]
    return records, plan_with(wishes, ground, ahead, means, {}, Work(200, 1, 1)), ground, means


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> tuple[Records, Rota, Ground, Means]:
    return planned(tmp_path_factory.mktemp("ground"))


def test_the_far_apiary_on_foot_moves_to_the_nearest_place_in_all_weather(
    plan: tuple[Records, Rota, Ground, Means],
) -> None:
    """CEDAR lies 35 minutes off and nine on foot from the vehicle; DAMSON is the nearest all-weather place by road."""
    _, rota, ground, means = plan
    found = moved(rota, ground, means)
    assert found is not None
    here, there = ground.at("CEDAR") + 1, ground.at(found.name.rsplit(" ", 1)[1]) + 1
    assert found.name.startswith("moving the hives of CEDAR to ")
    others = [ground.at(apiary) + 1 for apiary in ("ASH", "DAMSON")]
    assert ground.roads.minutes[here, there] == min(ground.roads.minutes[here, n] for n in others)
    ways = found.ground.roads.minutes
    assert ways[here, there] == 0
    np.testing.assert_array_equal(ways[0], np.where(np.arange(5) == here, ground.roads.minutes[0, there],
                                                    ground.roads.minutes[0]))  # fmt: skip
    site = found.ground.sites[here - 1]
    assert (site.access, site.carry("winter")) == ("all weather", 0)


def test_moving_is_priced_by_lifting_and_driving(plan: tuple[Records, Rota, Ground, Means]) -> None:
    _, rota, ground, means = plan
    found = moved(rota, ground, means)
    assert found is not None
    lifting = 18 * numbers.MOVE_MIN_PER_HIVE.value / 60 * means.labour_per_hour
    assert lifting < found.price < lifting + 3 * 35 * means.money_per_min + 1


def test_where_every_apiary_is_in_one_yard_nothing_is_moved(tmp_path: Path) -> None:
    one_yard = "apiary,access,drive_min,hives\n" + "".join(f"{a},all weather,0,9\n" for a in ("ASH", "BIRCH", "CEDAR"))
    _, rota, ground, means = planned(tmp_path, apiaries=one_yard)
    assert moved(rota, ground, means) is None


def test_a_generator_takes_the_place_of_batteries_and_of_nothing_else(
    plan: tuple[Records, Rota, Ground, Means],
) -> None:
    records, rota, ground, _ = plan
    found = powered(rota, ground, records.tables["gear"])
    assert found is not None
    supplies = [(site.apiary, site.supply_dry, site.supply_wet) for site in found.ground.sites]
    assert ("BIRCH", "vehicle", "generator") in supplies
    assert ("ASH", "generator", "generator") in supplies
    assert found.price == numbers.GENERATOR_PRICE.value


def test_a_generator_in_gear_costs_nothing(tmp_path: Path) -> None:
    records, rota, ground, _ = planned(tmp_path, gear=SHEETS["gear"] + "G1,generator,,230,,1000,,400\n")
    found = powered(rota, ground, records.tables["gear"])
    assert found is not None
    assert found.price == 0
    assert found.note.startswith("yours by gear")


def test_a_days_batteries_are_counted_the_best_one_first() -> None:
    """One battery of 30 doses and one of 12: the mean of 21 would send two to thirty hives, where the best one does."""
    objects = Battery(), Inverter(), Sublimator()
    kept = tuple(Kept(item, *objects, Band(n / 2, n, 2.0 * n)) for item, n in (("B1", 30.0), ("B2", 12.0)))
    charge = Charge(Band(10.5, 21, 42), 2, "", "", kept)
    assert [charge.needed(hives) for hives in (0, 30, 31, 42, 43)] == [0, 1, 2, 2, 3]
    assert charge.needed(30, poor=True) == 4  # 15, then three of six
    assert charge.best == kept[0].doses


def test_the_plan_goes_by_the_loss_curve_refitted_to_own_deaths(tmp_path: Path) -> None:
    review = review_of(records_of(tmp_path))
    assert loss_of(review) == USUAL
    own = {"half_infestation_pct": 4.0, "top_pct": 80.0, "steepness": 3.0, "exposure_weight": 0.5}
    table = pd.DataFrame(
        {
            "number": [*(text for _, text, _ in NUMBERS), OTHER_CAUSES],
            "own_p50": [*(own[n] for n, _, _ in NUMBERS), 5.0],
        }
    )
    refitted = replace(review, facts={"loss_curve": {"refitted": True}}, tables={**review.tables, "loss_curve": table})
    found = loss_of(refitted)
    assert found.background_pct == 5
    assert {name: getattr(found.curve, name) for name in own} == own
