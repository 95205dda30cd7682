"""What must never mislead, checked on what is shown.

Held elsewhere: full brood hides most mites (`calc/test_counts`), no vapour against full brood in the plan
(`plan/test_programmes`), doses within the label (`plan/test_at_the_hives`, `plan/test_make`), volts behind an inverter
and rested volts (`calc/test_causes`, `season/test_gear`), a helper's whole price (`plan/test_mends`).
"""

import colorsys
import re
from dataclasses import replace
from datetime import date
from importlib.resources import files
from pathlib import Path

import altair as alt
import pandas as pd
import pytest

from kit.calc.battery import Battery
from kit.constants.reading import DEAD_TAIL_DAYS
from kit.records.load import load
from kit.records.records import Records
from kit.report import charts
from kit.report.cautions import SUBLIMATION
from kit.report.today import today_lines, with_forecast
from kit.season.findings import Findings
from kit.season.today import next_count
from tests.unit.report.conftest import frame
from tests.unit.words.facts import LATE
from tests.unit.words.test_season_sentences import WINTER, said

GREEN = (80, 170)
"""Hues that read as "all is well" [degrees]."""
AUGUST = date(2025, 8, 5)


def hue_and_strength(colour: str) -> tuple[float, float]:
    red, green, blue = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    hue, _, strength = colorsys.rgb_to_hls(red, green, blue)
    return 360 * hue, strength


@pytest.mark.parametrize("source", ["style.py", "templates/page.css"])
def test_no_colour_says_that_all_is_well(source: str) -> None:
    text = (files("kit.report") / source).read_text(encoding="utf-8")
    colours = set(re.findall(r"#[0-9a-fA-F]{6}\b", text))
    seen = {colour: hue_and_strength(colour) for colour in colours}
    assert len(colours) > 3
    assert not [c for c, (hue, strength) in seen.items() if strength > 0.15 and GREEN[0] < hue < GREEN[1]]


def test_a_chart_with_the_line_to_treat_above_says_that_below_it_is_not_safe(review: Findings) -> None:
    def told(above: float) -> str:
        facts = {**review.facts, "treat_above_pct": above}
        chart = charts.by_date(replace(review, facts=facts), "Far Meadow")
        assert isinstance(chart, alt.LayerChart)
        return " ".join(chart.to_dict()["title"]["subtitle"])

    assert "small colonies stand less" in told(3.0)
    assert "small colonies stand less" not in told(100.0)  # the line is not on it


def sheets(folder: Path, **changed: str) -> Records:
    """One apiary in August with a forecast of still and dry days."""
    told = {
        "settings": "setting,value\nseason_start,2025-04-01\n",
        "apiaries": "apiary,hives\nBANK,8\n",
        "log": "date,apiary,did,standing\n2025-07-20,BANK,look,8\n",
        "weather": "date,min_c,max_c,rain_mm,wind_kmh\n2025-08-06,12,21,0,3\n2025-08-07,12,21,0,3\n",
    }
    for name, text in (told | changed).items():
        (folder / f"{name}.csv").write_text(text)
    return load(folder, today=AUGUST)


def due(what: str) -> Findings:
    bands = " ".join(f"{name}_{point}" for name in ("load", "wait_cost") for point in ("p05", "p50", "p95"))
    row = ("BANK", what, "2025-08-01", "2025-08-15", "", 100.0, 300.0, 900.0, 0.0, 0.0, 0.0, "", "")
    nothing = {"strips_in": frame("apiary treatment out_by"), "open_points": frame("apiary kind what since remedy")}
    return Findings({}, {}, nothing | {"today": frame(f"apiary due from to reason {bands} next_count also", row)})


def test_no_day_is_offered_for_vapour_while_the_main_treatment_is_due(tmp_path: Path) -> None:
    """In August colonies are full of brood; the same days are told once a round of it is under way."""
    records = sheets(tmp_path)
    ahead = with_forecast(tmp_path, records, AUGUST)
    assert not any("sublimation" in line for line in today_lines(records, due("main treatment"), ahead))
    under_way = today_lines(records, due("oxalic sublimation round 2"), ahead)
    assert "Fit for sublimation by the forecast in weather: 6 Aug and 7 Aug." in under_way


@pytest.mark.parametrize(("treated", "removed"), [("2025-07-30", None), ("2025-06-01", "2025-07-30")])
def test_a_count_is_asked_for_only_when_the_treatments_dead_have_come_down(
    tmp_path: Path, treated: str, removed: str | None
) -> None:
    rounds = pd.DataFrame({"apiary": ["BANK"], "date": [treated], "removed": [removed]})
    rounds[["date", "removed"]] = rounds[["date", "removed"]].apply(pd.to_datetime)
    clear = (pd.Timestamp("2025-07-30") + pd.Timedelta(days=DEAD_TAIL_DAYS.value)).date()
    assert DEAD_TAIL_DAYS.value >= 28  # up to four weeks: common practice, no source
    assert next_count(sheets(tmp_path), rounds, "BANK").startswith(f"trays under three hives for a week from {clear}")


def test_losses_are_told_cause_by_cause() -> None:
    """Mites, queens, hunger and floods stand apart."""
    causes = [{"cause": cause, "lost": 1} for cause in ("mites", "queen", "starved", "flood")]
    text = said(1, **{**WINTER, "lost": 4, "lost_by_cause": causes})
    assert all(part in text for part in ("1 to mites", "1 to a failed queen", "1 starved", "1 to flood"))


def test_late_against_the_rest_is_never_said_without_who_is_counted_and_who_was_treated_first() -> None:
    numbers = {"late_wintered": 20, "late_lost": 8, "rest_wintered": 80, "rest_lost": 8}
    text = said(2, late=[LATE], **numbers)
    assert "They lost 8 of 20 (40 %), the rest 8 of 80 (10 %). Spring counts survivors only" in text
    assert "the worst are often treated first" in text
    assert "survivors" not in said(2, late=[LATE])  # nothing is compared


def test_kills_side_by_side_are_no_ranking_of_medicines() -> None:
    kill = {"efficacy_p05": 61.0, "efficacy_p50": 72.0, "efficacy_p95": 80.0, "counted_apiaries": ["A"]}
    one, other = ({"treatment": word, **kill} for word in ("amitraz strips", "thymol"))
    assert "no ranking" in said(4, treatments=[one, other]) and "ranking" not in said(4, treatments=[one])


def test_what_a_half_discharge_costs_stands_beside_a_starter_battery_and_the_way_home_beside_the_vehicles_own() -> None:
    assert "half discharges" in Battery(type="starter").caution
    assert "get you home" in Battery(type="starter", starts_vehicle=True).caution
    assert "get you home" in " ".join(caution.advice for caution in SUBLIMATION)
