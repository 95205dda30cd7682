"""What the charts of the interactive notebooks hold, against the functions of the floors below for the same values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kit.calc.discharge import discharge
from kit.calc.scenario import Bands
from kit.calc.series import left_by
from kit.panels import mite_year, power, round, rounds
from kit.panels.mite_year_chart import NOW
from kit.panels.own import own
from kit.plan.tried import better_and_better, under

Rows = list[dict[str, Any]]
SHOWN = 5.01e-4
"""Charts hold four digits: half of the last one is at most 0.05 %."""


def rows_of(charts: Rows, column: str) -> Rows:
    """All rows of all charts that hold a column."""
    return [row for chart in charts for rows in chart["datasets"].values() for row in rows if column in row]


def same_rounds(values: Mapping[str, Any], charts: Rows, records: Path) -> None:
    """The curve is that of `kit.calc.series.left_by`."""
    mine = rounds.Mine(own(str(records)))
    left = left_by(
        rounds.series_of(values), mites=mine.spread(values), brood=rounds.brood_of(values),
        next_season=mine.next_season,
    )  # fmt: skip
    drawn = {row["date"]: row["p50"] for row in rows_of(charts, "which") if row["which"] == "with the series"}
    assert [drawn[day] for day in sorted(drawn)] == pytest.approx(list(Bands.of(left.treated.mites).p50), rel=SHOWN)


def same_year(values: Mapping[str, Any], charts: Rows, records: Path) -> None:
    """The curve is that of `kit.calc.scenario.course`."""
    run, _ = mite_year.Mine(own(str(records))).run(values)
    drawn = {row["date"]: row["p95"] for row in rows_of(charts, "which") if row["which"] == NOW}
    assert [drawn[day] for day in sorted(drawn)] == pytest.approx(list(Bands.of(run.infestation_pct).p95), rel=SHOWN)


def same_power(values: Mapping[str, Any], charts: Rows, records: Path) -> None:
    """The charge is that of `kit.calc.discharge.discharge`."""
    gear = power.gear_of(values)
    visit = discharge(
        gear.battery, gear.inverter, gear.sublimator, air_c=values["air_c"],
        minutes_per_colony=values["minutes_per_colony"], colonies=values["hives"], step_s=power.STEP_S,
    )  # fmt: skip
    drawn = rows_of(charts, "left")
    nearest = [int(np.abs(visit.time_min - row["minute"]).argmin()) for row in drawn]
    assert len(drawn) > 100
    assert [row["left"] for row in drawn] == pytest.approx(list(visit.charge_left_pct[nearest]), rel=SHOWN)


def same_round(values: Mapping[str, Any], charts: Rows, records: Path) -> None:
    """The days are those of `kit.plan.tried.better_and_better`."""
    mine = round.Mine(own(str(records)))
    rota = list(better_and_better(under(mine.setting, mine.supposed(values)), mine.base))[-1]
    ours = sorted(minutes / 60 for day in rota.days for minutes in (day.work_min, day.drive_min))
    assert sorted(row["hours"] for row in rows_of(charts, "part")) == pytest.approx(ours, rel=SHOWN)


SAME: Mapping[str, Callable[[Mapping[str, Any], Rows, Path], None]] = {
    "try_rounds": same_rounds, "try_mite_year": same_year, "try_power": same_power, "try_round": same_round,
}  # fmt: skip
MINE: Mapping[str, Callable[[Any], Any]] = {
    "try_rounds": rounds.Mine, "try_mite_year": mite_year.Mine, "try_power": power.Mine, "try_round": round.Mine,
}  # fmt: skip
