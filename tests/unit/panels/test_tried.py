"""What the panels put in, refuse and answer, against the kit's own functions."""

from __future__ import annotations

import ast
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest
import yaml

import kit.panels
from kit.calc.ranges import Band
from kit.calc.rounds import efficacy_range_pct
from kit.errors import CannotGoOnError
from kit.panels import mite_year, power, rounds
from kit.panels import own as own_numbers
from kit.panels.fields import Number, starting
from kit.panels.own import FREE, Own
from kit.panels.panel import Panel, Question, Words, written
from kit.report.charts.phrases import number


def given_by(text: str) -> dict[str, Any]:
    """Parameters as papermill reads them from their file."""
    return dict(yaml.safe_load(text))


def test_a_panel_begins_with_the_last_series_and_its_mites(own: Own) -> None:
    begun = rounds.Mine(own).recorded("MILL")
    assert begun["start"] == date(2025, 8, 10)
    assert (begun["rounds"], begun["interval_days"], begun["dose_g"], begun["mites"], begun["hives"]) == (
        3,
        6,
        1.8,
        900,
        12,
    )


def test_an_apiary_without_a_series_and_a_free_case_begin_with_the_usual(own: Own) -> None:
    for apiary in ("WEIR", FREE):
        begun = rounds.Mine(own).recorded(apiary)
        assert begun["apiary"] == apiary and begun["rounds"] >= 1 and begun["mites"] > 0


def test_the_kill_said_is_that_of_the_reports_own_function(own: Own) -> None:
    mine = rounds.Mine(own)
    values = mine.recorded("MILL") | {"rounds": 4}
    words = next(a.shown for a in mine.answers(values) if a.place == "words")
    assert isinstance(words, Words)
    kill = efficacy_range_pct(start=date(2025, 8, 10), rounds=4, interval_days=6, dose_g=1.8)
    assert f"kill {kill.p50:.0f} % of the mites, likely {kill.p05:.0f} to {kill.p95:.0f} %" in words.sentences[0]


def test_a_series_longer_than_the_season_is_refused_beside_its_interval(own: Own) -> None:
    mine = rounds.Mine(own)
    refused = mine.refused(mine.recorded("MILL") | {"rounds": 12, "interval_days": 30})
    assert list(refused) == ["interval_days"] and "the season ends" in refused["interval_days"]


@pytest.mark.parametrize(
    ("value", "said"), [(4.01, "0 to 4"), (-1, "0 to 4"), (float("nan"), "needed"), (1e300, "0 to 4")]
)
def test_a_dose_out_of_bounds_is_refused_in_words(own: Own, value: float, said: str) -> None:
    dose = next(f for f in rounds.Mine(own).fields() if f.name == "dose_g")
    assert isinstance(dose, Number) and said in dose.refuse(value)


def test_more_treatments_lower_what_winter_bees_meet(own: Own) -> None:
    mine = mite_year.Mine(own)
    treated = mine.recorded("MILL")
    alone = treated | {"treatment_1": mite_year.NONE}
    caged = treated | {"treatment_2": "queen caging", "date_2": date(2025, 7, 10)}
    exposures = [mine.run(values)[1].exposure_pct.p50 for values in (alone, treated, caged)]
    assert exposures == sorted(exposures, reverse=True) and exposures[0] > exposures[-1]


def test_an_empty_place_for_a_treatment_hides_its_controls_and_the_places_after_the_first(own: Own) -> None:
    hidden = mite_year.hidden(mite_year.Mine(own).recorded("MILL"))
    assert "treatment_2" not in hidden and {"date_2", "treatment_3", "date_4"} <= hidden
    assert not {"treatment_1", "date_1", "rounds_1"} & hidden


def test_an_inverter_too_small_and_a_pace_too_fast_are_refused(own: Own) -> None:
    usual = dict(power.Mine(own).recorded(FREE))
    assert list(power.refused(usual | {"inverter_w": 100})) == ["inverter_w"]
    assert list(power.refused(usual | {"minutes_per_colony": 0.5, "expel_s": 60})) == ["minutes_per_colony"]
    assert power.refused(usual) == {}


def test_cold_and_age_take_doses_off_a_charge(own: Own) -> None:
    usual = dict(power.Mine(own).recorded(FREE))

    def doses(**changed: Any) -> Band:
        values = usual | changed
        gear = power.gear_of(values)
        found = power.doses_per_charge(
            gear.battery, gear.inverter, gear.sublimator, air_c=values["air_c"], minutes_per_colony=3
        )
        return Band(found.p05, found.p50, found.p95)

    assert doses(air_c=-5).p50 < doses(air_c=20).p50
    assert doses(health_pct=50).p50 < doses(health_pct=100).p50


def test_power_is_tried_without_waiting_for_the_season_to_be_read(own: Own) -> None:
    def never() -> Any:
        raise AssertionError

    mine = power.Mine(replace(own, find=never))
    assert [answer.place for answer in mine.answers(mine.recorded(""))] == ["words", "charge", "warm_up", "slow"]


def test_each_limit_is_held_against_its_own_day(own: Own) -> None:
    mine = mite_year.Mine(replace(own, settings={**own.settings, "winter_limit_pct": 0.01}))
    run, winter = mine.run(mine.recorded("MILL"))
    words = mine._words(run, winter)
    met = run.infestation_on_pct(date(2025, 10, 1)).p50
    assert any(
        f"On 1 October: {number(met)}," in said and "over your limit of 0.01" in said for said in words.sentences
    )
    chart = mite_year.year_chart(run, [], mine.winter_bees, mine.limits, []).to_dict()
    assert "short stroke: that of 1 October, 0.01" in str(chart["title"])
    assert {"date": "2025-10-01T00:00:00", "limit": 0.01} in [
        row for rows in chart["datasets"].values() for row in rows
    ]


@pytest.mark.parametrize("name", ["rounds", "mite_year"])
def test_what_was_tried_comes_back_from_its_parameters(own: Own, name: str) -> None:
    mine: Any = {"rounds": rounds, "mite_year": mite_year}[name].Mine(own)
    values = mine.recorded("MILL")
    question = Question(name, {"folder": ""}, mine.fields(), mine.recorded, mine.refused, mine.answers, (), "")
    given = given_by(written(question, values))
    assert starting(mine.fields(), mine.recorded(FREE), given) == values


def test_panels_calculate_nothing_with_arrays_of_their_own() -> None:
    """The floors below hold every formula: no scipy, no random draws, no powers here."""
    for path in Path(kit.panels.__path__[0]).glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
        assert not names & {"random", "exp", "log", "default_rng", "quantile"}, path.name
        assert not [n for n in ast.walk(tree) if isinstance(n, ast.BinOp) and isinstance(n.op, ast.Pow)], path.name


def test_scenarios_kept_are_saved_to_be_reported_and_to_be_planned(own: Own, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    mine = mite_year.Mine(own)
    first, second = mine.recorded("MILL"), mine.recorded("MILL") | {"treatment_1": "thymol", "rounds_1": 1}
    for name, values in (("as it was", first), ("thymol", second)):
        mine._hold(name, values)
    question = Question("try_mite_year", mine.context, mine.fields(), mine.recorded, mine.refused, mine.answers, (), "")
    mine.save(Panel(question, {"apiary": "MILL"}))
    kept = given_by((tmp_path / "try_mite_year-kept.yaml").read_text(encoding="utf-8"))
    again = mite_year.Mine(own)
    again.keep_earlier(kept["kept"])
    assert {one.name: one.values for one in again.kept} == {"as it was": first, "thymol": second}
    pd.testing.assert_frame_equal(mite_year.comparison(again.kept), mite_year.comparison(mine.kept))
    plan = given_by((tmp_path / "try_round-thymol.yaml").read_text(encoding="utf-8"))
    assert plan["programme"] == "MILL: thymol 10 Aug"
    rows = pd.read_csv(tmp_path / "scenarios.csv")
    assert list(rows["scenario"]) == ["as it was", "thymol"]


@pytest.mark.parametrize("text", ["{", "[]", '{"A": 3}', '{"A": {"mites": 1e9}}'])
def test_kept_scenarios_that_cannot_be_read_are_refused_in_words(own: Own, text: str) -> None:
    with pytest.raises(CannotGoOnError, match="kept"):
        mite_year.Mine(own).keep_earlier(text)


def test_what_is_kept_of_the_users_records_goes_with_the_code_that_computed_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Path] = []

    def compute(records: Path, place: Path, as_of: date) -> None:
        made.append(place)
        place.mkdir(parents=True)

    monkeypatch.setattr(own_numbers, "user_cache_path", lambda name: tmp_path / "cache")
    monkeypatch.setattr(own_numbers, "compute_demo", compute)
    (tmp_path / "log.csv").write_text("date,apiary\n", encoding="utf-8")
    records: Any = SimpleNamespace(as_of=date(2026, 3, 31))
    for code in ("a", "a", "b"):
        monkeypatch.setattr(own_numbers, "code_below", lambda code=code: code)
        own_numbers._computed(tmp_path / "log.csv", records)
    assert len(made) == 2 and made[0] != made[1]
