"""The score counts what it says it counts, on tables small enough to do by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.simulator import score
from tests.simulator.operations import KINDS, operation
from tests.simulator.sheets import sheets, true_efficacy, true_loads


def true(mites: list[float], first: str = "2025-06-01") -> pd.DataFrame:
    days = pd.date_range(first, periods=len(mites), freq="7D")
    return pd.DataFrame(
        {"date": days, "apiary": "Y1", "colony": "A01", "scope": "colony", "mites": mites, "per_100_bees": 1.0}
    )


def band(rows: pd.DataFrame, low: float, middle: float, high: float) -> pd.DataFrame:
    made = rows[["date", "apiary", "colony", "scope"]].copy()
    for name, value in (("p05", low), ("p50", middle), ("p95", high)):
        made[f"mites_{name}"] = value
        made[f"per_100_bees_{name}"] = value / 100
    return made


def test_loads_inside_and_outside_their_band_are_counted_where_five_mites_or_more_live() -> None:
    rows = true([3, 100, 100, 400, 100])
    found = score.loads(band(rows, 50, 100, 200), rows).loc["all"]
    assert found["colony_weeks"] == 4
    assert found["in_band_pct"] == 75
    assert found["error_p50"] == 1
    assert found["per_100_in_band_pct"] == 100


def test_each_week_counts_in_its_own_part_of_the_season() -> None:
    rows = true([100.0] * 53, "2025-04-01")
    found = score.loads(band(rows, 50, 100, 200), rows)
    assert list(found["colony_weeks"][:-1]) == [7, 9, 8, 11, 18]
    assert found.loc["all", "colony_weeks"] == 53


def test_a_truth_that_was_never_read_is_missing_not_outside() -> None:
    rows = true([100, 100, 100])
    found = score.loads(band(rows[:2], 50, 100, 200), rows).loc["all"]
    assert (found["missing"], found["in_band_pct"]) == (1, 100)


def test_counted_colonies_are_told_from_those_never_counted() -> None:
    rows = pd.concat([true([100, 100]), true([100, 400, 400]).assign(colony="A02")])
    found = score.loads(band(rows, 50, 100, 200), rows, pd.DataFrame({"colony": ["A01"]}))
    assert list(found.loc[["counted", "never counted"], "colony_weeks"]) == [2, 3]
    assert found.loc["counted", "in_band_pct"] == 100


def test_a_miss_costs_twenty_times_its_depth_beside_the_width() -> None:
    one = pd.Series([100.0])
    inside = score.interval_score(one, one, one * np.e)
    missed = score.interval_score(one, one * np.e, one * np.e**2)
    assert inside == pytest.approx(1)
    assert missed == pytest.approx(1 + 20)


def test_kill_is_scored_where_twenty_mites_would_have_lived() -> None:
    keys = {"apiary": "Y1", "treatment": "thymol", "start": pd.Timestamp("2025-08-05")}
    truth = pd.DataFrame(
        [
            keys | {"colony": c, "efficacy": e, "mites_without": b, "board_after": after}
            for c, e, b, after in (("A1", 90, 500, "yes"), ("A2", 40, 500, "no"), ("A3", 0, 4, "yes"))
        ]
    )
    read = pd.DataFrame(
        [keys | {"colony": c, "efficacy_p05": 80, "efficacy_p50": 88, "efficacy_p95": 92} for c in ("A1", "A2", "A3")]
    )
    found = score.efficacy(read, truth)
    assert list(found["in_band_pct"]) == [100, 0, 50]
    assert found.loc["board after", "width_p50"] == 12
    assert found.loc["all", "colonies"] == 2


def test_the_handbook_reads_ten_a_day_in_july_as_three_hundred() -> None:
    # Managing Varroa (second-hand): daily drop x 30, May to August.
    board = {"date": pd.Timestamp("2025-07-13"), "apiary": "Y1", "colony": "A01", "method": "board", "mites": 70.0}
    counts = pd.DataFrame([board | {"days": 7.0}])
    rows = true([300, 300, 900, 300, 300], "2025-07-13")
    found = score.handbook(counts, rows).loc["all"]
    assert (found["colony_weeks"], found["missing"]) == (5, 2)
    assert found["in_band_pct"] == pytest.approx(200 / 3)


@pytest.mark.parametrize("name", list(KINDS))
def test_an_operation_is_the_same_for_the_same_seed_and_its_truth_is_whole(name: str) -> None:
    op, again = operation(KINDS[name], 3), operation(KINDS[name], 3)
    assert sheets(op) == sheets(again)
    assert sheets(op) != sheets(operation(KINDS[name], 4))
    daily = pd.DataFrame(true_loads(op))
    assert not daily.duplicated(["date", "apiary", "colony", "scope"]).any()
    assert daily["date"].nunique() == 365
    kill = pd.DataFrame(true_efficacy(op, branches=5))
    assert (kill["efficacy"].astype(float) <= 100).all()
    assert kill["efficacy"].astype(float).median() > 50


def test_no_count_stands_on_a_day_its_colony_was_dead() -> None:
    op = operation(KINDS["well counted"], 5)
    alive = {(row["colony"], row["date"]) for row in true_loads(op)}
    counts = sheets(op)["counts"]
    assert len(counts) > 300
    assert all((row["colony"], row["date"]) in alive for row in counts)
