"""Every chart says in words what it shows, fits its place, and says so where nothing is recorded."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from kit.report import charts
from kit.report.charts import load
from kit.report.charts.marks import MOST_ROWS
from kit.report.show import MIME, Note, _bundle, slim
from kit.report.style import MEANINGS, NOTEBOOK_PX
from kit.season.findings import Findings

Draw = Callable[[Findings, Findings], Any]
DRAWN: dict[str, Draw] = {
    "standing": lambda review, plan: charts.standing(review),
    "wall": lambda review, plan: charts.wall(review),
    "by_date": lambda review, plan: charts.by_date(review, "Far Meadow"),
    "colonies": lambda review, plan: charts.colonies(review, "Far Meadow"),
    "kills": lambda review, plan: charts.kills(review),
    "lateness": lambda review, plan: charts.lateness(review),
    "late_cost": lambda review, plan: charts.late_cost(review),
    "hives": lambda review, plan: charts.hives(review, "Far Meadow"),
    "losses": lambda review, plan: charts.losses(review),
    "losses by cause": lambda review, plan: charts.losses(review, "cause"),
    "hours": lambda review, plan: charts.hours(review),
    "strip": lambda review, plan: charts.strip(review, "Far Meadow"),
    "bees": lambda review, plan: charts.bees(review, "Far Meadow"),
    "calendar": lambda review, plan: charts.calendar(plan),
    "days": lambda review, plan: charts.days(plan),
    "chances": lambda review, plan: charts.chances(plan),
    "weather": lambda review, plan: charts.weather(plan),
}
every_chart = pytest.mark.parametrize("name", DRAWN)


def emptied(findings: Findings) -> Findings:
    return replace(findings, tables={name: table[:0] for name, table in findings.tables.items()})


@every_chart
def test_a_chart_obeys_its_grammar_and_has_a_title_and_a_way_to_read_it(
    name: str, review: Findings, plan: Findings
) -> None:
    spec = DRAWN[name](review, plan).to_dict()  # altair checks it against the published Vega-Lite schema
    assert spec["width"] == NOTEBOOK_PX
    assert spec["title"]["text"] and spec["title"]["subtitle"]


@every_chart
def test_its_text_alternative_tells_what_it_shows(name: str, review: Findings, plan: Findings) -> None:
    says = DRAWN[name](review, plan).to_dict()["description"]
    assert len(says) > 40
    assert "chart" not in says.casefold(), "it tells the finding, not that there is a picture"
    assert any(character.isdigit() for character in says)


@every_chart
def test_without_rows_a_sentence_stands_in_its_place(name: str, review: Findings, plan: Findings) -> None:
    shown = DRAWN[name](emptied(review), emptied(plan))
    assert isinstance(shown, Note)
    assert shown.text.endswith(".")


@every_chart
def test_it_uses_only_the_colours_of_the_house(name: str, review: Findings, plan: Findings) -> None:
    grammar = {k: v for k, v in DRAWN[name](review, plan).to_dict().items() if k not in ("datasets", "config")}
    found = {part[:7] for part in json.dumps(grammar).split('"') if part.startswith("#") and len(part) == 7}
    assert found <= {meaning.colour for meaning in MEANINGS.values()} | {"#22262b", "#57606a", "#d8dce0"}


def test_the_text_alternative_of_lateness_names_each_apiary_with_its_days(review: Findings) -> None:
    says = charts.lateness(review).to_dict()["description"]
    for words in ("Far Meadow: 31 days late", "Mill Lane: 8 days early", "Top Field: 6 days early"):
        assert words in says


def test_the_title_of_lateness_is_the_finding(review: Findings) -> None:
    assert charts.lateness(review).to_dict()["title"]["text"] == ["Late: Far Meadow"]


def test_an_apiary_s_strip_holds_nothing_of_another_apiary(review: Findings) -> None:
    assert "Mill Lane" not in json.dumps(charts.strip(review.of("Far Meadow"), "Far Meadow").to_dict())


def test_a_saved_chart_carries_only_the_columns_it_draws_or_tells(review: Findings) -> None:
    spec = charts.lateness(review).to_dict()
    (rows,) = [rows for rows in slim(spec)["datasets"].values() if len(rows) == 3]
    assert "days_late" in rows[0] and "extra_cost_p05" not in rows[0]


def test_a_notebook_keeps_a_chart_in_the_form_that_jupyterlab_draws_with_its_words_beside(review: Findings) -> None:
    spec = charts.lateness(review).to_dict()
    bundle = _bundle(spec)
    assert bundle[MIME]["$schema"].startswith("https://vega.github.io/schema/vega-lite/v5")
    assert bundle["text/plain"] == spec["description"]


def test_the_line_above_which_to_treat_is_drawn_from_the_settings(review: Findings) -> None:
    drawn = charts.by_date(replace(review, facts={**review.facts, "treat_above_pct": 3.0}), "Far Meadow")
    assert "treat above 3" in json.dumps(drawn.to_dict())
    assert "treat above" not in json.dumps(charts.by_date(review, "Far Meadow").to_dict())


def test_the_warmth_of_each_month_stands_over_bees_and_brood_where_weather_is_recorded(review: Findings) -> None:
    days = pd.date_range("2025-04-01", "2025-05-31")
    weather = pd.DataFrame({"date": days, "max_c": [10.0] * 30 + [16.4] * 31})
    drawn = charts.bees(replace(review, tables={**review.tables, "weather": weather}), "Far Meadow").to_dict()
    assert "Apr 10°C, May 16°C" in drawn["description"]
    assert "No weather is recorded" in charts.bees(review, "Far Meadow").to_dict()["description"]


def test_what_being_late_cost_is_told_in_colonies_with_its_range(review: Findings) -> None:
    says = charts.late_cost(review).to_dict()["description"]
    assert "Far Meadow, 31 days late: about 1.6, likely 0.4 to 4." in says and "Mill Lane" not in says


def test_the_course_treated_in_time_is_drawn_and_told_where_an_apiary_was_late(review: Findings) -> None:
    late, other = (charts.by_date(review, apiary).to_dict() for apiary in ("Far Meadow", "Mill Lane"))
    assert "Treated in time it would have been at most about 3 per 100 bees" in late["description"]
    assert "treated in time" in " ".join(late["title"]["subtitle"])
    assert "in time" not in other["description"] + " ".join(other["title"]["subtitle"])


def test_hives_stand_side_by_side_the_worst_on_top(review: Findings) -> None:
    says = charts.hives(review, "Far Meadow").to_dict()["description"]
    assert "bees: F2" in says and "; F1" in says
    assert isinstance(charts.hives(review, "Mill Lane"), Note)


def test_a_calendar_of_events_or_of_spare_days_alone_draws_no_layer_without_rows(plan: Findings) -> None:
    """Vega warns of a layer without rows, and gives it a place that a screen reader announces and cannot name."""
    table = plan.tables["calendar"]
    spare = table.head(1).assign(event="spare day", treatment="", apiary="")
    for rows, marks in ((table[table["event"] != "spare day"], {"rule", "point"}), (spare, {"tick", "rule"})):
        drawn = charts.calendar(replace(plan, tables={**plan.tables, "calendar": rows})).to_dict()
        assert {layer["mark"]["type"] for layer in drawn["layer"]} == marks  # a rule too: the day to treat by


def test_the_calendar_begins_with_the_visits_and_keeps_spare_days_apart(plan: Findings) -> None:
    table = plan.tables["calendar"]
    first = table["date"].min()
    row = table.iloc[0].to_dict() | {"apiary": "", "treatment": "", "not_before": pd.NaT, "not_after": pd.NaT}
    early = row | {"event": "gear due", "date": first - pd.Timedelta(days=90), "note": "mask filter F1 due 2026-04-30"}
    free = row | {"event": "spare day", "date": first + pd.Timedelta(days=1), "note": ""}
    wider = pd.concat([table, pd.DataFrame([early, free])], ignore_index=True)
    spec = charts.calendar(replace(plan, tables={**plan.tables, "calendar": wider})).to_dict()
    assert "before that: mask filter F1 due 30 Apr 2026" in " ".join(spec["title"]["subtitle"])
    drawn = [row for rows in spec["datasets"].values() for row in rows if "what" in row]
    assert {row["what"] for row in drawn} >= {"spare day", "oxalic sublimation"}
    assert min(row["date"] for row in drawn)[:10] == f"{first:%Y-%m-%d}"
    scales = [layer["encoding"]["shape"]["scale"]["domain"] for layer in spec["layer"] if "shape" in layer["encoding"]]
    assert scales == [["oxalic sublimation"]]


def test_hives_are_counted_to_the_last_one(review: Findings) -> None:
    losses = review.tables["losses"].assign(wintered=138.0, lost=19.0)
    drawn = charts.losses(replace(review, tables={**review.tables, "losses": losses})).to_dict()
    assert "19 of 138" in drawn["description"]


def test_the_weather_says_its_best_and_its_worst_half_month_and_the_two_ways_in(plan: Findings) -> None:
    spec = charts.weather(plan).to_dict()
    title = "At best 53 days of 100 (1 to 15 Aug), at worst 31 days of 100 (16 to 31 Dec)"
    assert " ".join(spec["title"]["text"]) == title
    assert "Driven in on dry ground: 1 to 15 Aug 47; 16 to 31 Dec 31." in spec["description"]


def test_the_wall_of_sixty_apiaries_leaves_its_page_below_a_megabyte_and_a_half(review: Findings) -> None:
    """The page's library takes 0.9 MB and its tables and other charts up to 0.45 MB."""
    days = pd.date_range("2025-04-01", "2026-03-31", freq="7D")
    names = [f"Y{n}" for n in range(60)]
    loads = pd.DataFrame([(name, day, "apiary", "", 0.012345, 0.23456, 1.3579, 2025) for name in names for day in days])
    loads.columns = pd.Index(["apiary", "date", "scope", "colony", *load.BAND, "season"])
    rounds = review.tables["rounds"][:0]
    many = Findings(review.facts, {name: {} for name in names}, {**review.tables, "loads": loads, "rounds": rounds})
    assert len(json.dumps(slim(charts.wall(many).to_dict()))) < 150_000


def test_a_chart_of_rows_ends_where_one_look_ends_and_says_how_many_more_there_are(review: Findings) -> None:
    losses = pd.DataFrame({"apiary": [f"Y{n}" for n in range(60)] + ["all"], "cause": "all", "wintered": 9.0})
    losses = losses.assign(lost=[n % 9 for n in range(60)] + [240], loss_pct_low=1.0, loss_pct_high=90.0)
    losses = losses.assign(loss_pct=100 * losses["lost"] / 540.0)
    spec = charts.losses(replace(review, tables={**review.tables, "losses": losses})).to_dict()
    assert "37 more, with smaller losses, in the rows" in " ".join(spec["title"]["subtitle"])
    (rows,) = [rows for rows in spec["datasets"].values() if "word" in rows[0]]
    assert len(rows) == MOST_ROWS and rows[0]["row"] == "all apiaries"
    assert {row["lost"] for row in rows[1:]} == {5, 6, 7, 8}


def test_a_hive_that_died_is_named_with_its_last_day_and_is_not_called_the_heaviest(review: Findings) -> None:
    loads = review.tables["loads"]
    hives = loads[(loads["apiary"] == "Far Meadow") & (loads["scope"] == "colony")]
    dead, end = hives["colony"].iloc[0], hives["date"].max()
    there = loads.assign(per_100_bees_p50=loads["per_100_bees_p50"].where(loads["colony"] != dead, 99.0))
    gone = there[(there["colony"] != dead) | (there["date"] < end)]
    chart = charts.colonies(replace(review, tables={**review.tables, "loads": gone}), "Far Meadow").to_dict()
    assert dead not in chart["title"]["text"]
    assert "of a hive gone before on its last day" in " ".join(chart["title"]["subtitle"])
    assert f"heaviest first: {dead} to " in chart["description"]
