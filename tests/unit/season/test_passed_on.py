"""What a season passes on: single hives among those standing, and how each treatment worked."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.season.passed_on import DRAW_COLUMNS, KILL_COLUMNS, passed_on
from kit.season.posterior import traits as t
from kit.season.units import COLONY, UNNUMBERED, Unit

COUNT = 400
FIRST, LAST = date(2025, 4, 1), date(2026, 3, 31)


def reading(units: list[Unit], mites: list[float], standing: list[bool]) -> Any:
    """What is asked of a reading, with the mites of each unit given and one round of strips."""
    size = t.FIRST_KILL + 1 + 2
    parameters = np.zeros((COUNT, len(units), size))
    parameters[:, :, t.FIRST_KILL] = -0.5
    return SimpleNamespace(
        apiary="A", seed=1, last=364, units=units, parameters=parameters, usual=SimpleNamespace(start=FIRST),
        weights=np.array([unit.hives for unit in units]), standing=lambda day: np.array(standing),
        mites=np.tile(np.array(mites)[None, :, None], (COUNT, 1, 365)),
        given=[SimpleNamespace(treatment="amitraz strips")], hives=SimpleNamespace(words=["amitraz strips"]),
    )  # fmt: skip


def colony(name: str) -> Unit:
    return Unit("A", name, COLONY, FIRST, LAST, 1.0)


def passed(here: Any) -> dict[str, pd.DataFrame]:
    return passed_on(SimpleNamespace(readings={"A": here}))  # type: ignore[arg-type]


def test_each_draw_is_one_hive_of_those_that_still_stand() -> None:
    found = passed(reading([colony("A1"), colony("A2"), colony("A3")], [10.0, 50.0, 900.0], [True, True, False]))
    assert list(found["draws"].columns) == list(DRAW_COLUMNS)
    assert found["draws"]["mites"].value_counts().to_dict() == {10.0: COUNT / 2, 50.0: COUNT / 2}
    assert set(found["draws"]["on"]) == {pd.Timestamp(LAST)}


def test_an_average_of_hives_is_spread_out_as_single_hives_stray_about_the_same_mean() -> None:
    mites = passed(reading([Unit("A", "", UNNUMBERED, FIRST, LAST, 12.0)], [100.0], [True]))["draws"]["mites"]
    assert mites.mean() == pytest.approx(100, rel=0.15)
    assert np.log(mites).std() == pytest.approx(t.SPREADS[t.START].colony * (11 / 12) ** 0.5, rel=0.1)


def test_nothing_is_passed_on_of_an_apiary_where_nothing_stands() -> None:
    found = passed(reading([colony("A1")], [10.0], [False]))
    assert found["draws"].empty
    assert list(found["draws"].columns) == list(DRAW_COLUMNS)


def test_how_a_treatment_worked_is_passed_on_draw_by_draw() -> None:
    kills = passed(reading([colony("A1")], [10.0], [True]))["kills"]
    assert list(kills.columns) == list(KILL_COLUMNS)
    assert len(kills) == COUNT
    assert set(kills["kill"]) == {-0.5}
