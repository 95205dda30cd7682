"""A chamber's warnings follow from its seconds, and say so only when they call for one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kit.calc.expulsion import expel_s
from kit.calc.sublimator import Sublimator
from kit.constants import heat
from kit.records.load import load
from kit.season.machines.chamber import COLUMNS, chamber_band_c, chamber_warnings

HOME = Path(__file__).parents[3]


@pytest.mark.parametrize("chamber_c", [175.0, 200.0, 230.0, 280.0])
def test_the_seconds_of_a_chamber_lead_back_to_it(chamber_c: float) -> None:
    machine = Sublimator()
    chamber = machine.chamber._replace(hold_c=chamber_c)
    seconds = float(expel_s(2.2, chamber, chamber_c=chamber_c, air_c=5.0))
    found = chamber_band_c(machine, seconds, 2.2, 5.0)
    assert found.p50 == pytest.approx(chamber_c, abs=0.01)
    assert found.p05 < found.p50 < found.p95


def test_fifteen_to_twenty_five_seconds_give_no_warning() -> None:
    """Fact of the trade: 15 to 25 s for 2 to 2.5 g is in good order (common practice, no source)."""
    for seconds in (heat.EXPEL_S.low, heat.EXPEL_S.high):
        found = chamber_band_c(Sublimator(), seconds, 2.25, 7.0)
        assert heat.TOO_COLD_C.low <= found.p50
        assert found.p05 < heat.TOO_HOT_C.high


def sheets(folder: Path, seconds: int) -> Path:
    (folder / "settings.csv").write_text("setting,value\nseason_start,04-01\n")
    (folder / "apiaries.csv").write_text("apiary,hives,supply_dry,supply_wet\nASH,6,battery,battery\n")
    (folder / "gear.csv").write_text(
        "item,kind,type,volts,watts,expel_s,spoon_g\nS1,sublimator,holds heat,230,200,20,2.2\n"
    )
    rows = [f"2025-12-{10 + n},ASH,all,oxalic sublimation,powder,2.2,g,1,S1,{seconds}" for n in range(3)]
    head = "date,apiary,colonies,treatment,product,dose,unit,round,sublimator,expel_s"
    (folder / "treatments.csv").write_text("\n".join([head, *rows]) + "\n")
    return folder


@pytest.mark.parametrize(("seconds", "said"), [(60, "old"), (20, ""), (9, "Too hot")])
def test_too_cold_and_too_hot_are_said_and_good_order_is_not(tmp_path: Path, seconds: int, said: str) -> None:
    found = chamber_warnings(load(sheets(tmp_path, seconds), today=date(2026, 3, 31)))
    assert list(found.columns) == COLUMNS
    assert len(found) == (1 if said else 0)
    assert all(said in warning for warning in found["warning"])
    assert found["likely_cause"].ne("").all()


def test_the_bare_minimum_gives_an_empty_table() -> None:
    assert chamber_warnings(load(HOME / "data_demo/minimum", today=date(2026, 3, 31))).empty
