"""The pages that no notebook makes: the way in, and the sheet to take along."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from kit.report.cautions import deference, sublimation_cautions
from kit.report.charts.phrases import NOT_RECORDED, day
from kit.report.compute import Computed
from kit.report.export import Link, Sheet, render
from kit.report.numbers import NUMBERS
from kit.report.show import Listed
from kit.report.tables import cell, show
from kit.report.visit_lines import lines_of
from kit.report.visit_parts import lines, numbers, strip_of
from kit.report.words.doing import first_in_short
from kit.report.words.phrases import a_range, rounded, spoken
from kit.report.worklist import apiary_title, kicker, made, standing
from kit.season.findings import Findings

MUST_SAY = NOT_RECORDED.capitalize()


def index_page(computed: Computed, pages: Sequence[str], failed: Mapping[str, str], today: str) -> str:
    """The way in: every apiary with its state in one line, and links to what was made.

    Parameters
    ----------
    computed : Computed
        Records, review and plan.
    pages : sequence of str
        Addresses of the pages that exist, under OUT.
    failed : mapping
        Page to what went wrong with it.
    today : str
        Day of the run, ISO.
    """
    have = set(pages)
    whole = [
        Link(text, href)
        for text, href in (
            ("How the season went", "season.html"),
            ("Next season's round", "plan.html"),
            ("Today", "today.html"),
            ("Medicine record", "medicine_record.html"),
            ("Calendar for your phone", "calendar.ics"),
            ("Numbers and sources", NUMBERS),
        )
        if href in have
    ]
    rows = [_state(computed, apiary, have, failed) for apiary in computed.review.apiary_facts]
    sheet = Sheet(
        "All apiaries", kicker(computed, "review"), standing(computed.records), "", [], made(computed.records, today)
    )
    first = first_in_short(computed.review.facts) if "today.html" in have else ""
    return render("index.html.j2", sheet, first=first, whole=whole, rows=rows, problems=show_problems(computed))


def show_problems(computed: Computed) -> str:
    """The rows set aside, each with its reason."""
    return show(Findings({}, {}, {"problems": computed.records.problems}), "problems", folded=True)._repr_html_()


def visits_page(computed: Computed, apiary: str, today: str) -> str:
    """The sheet for one apiary: where, when, what to take and count back, what can hurt, lines to write on."""
    plan = _plan_of(computed, apiary)
    place = _place(computed, apiary)
    mesh = dict(place)["floor"] != "solid"
    planned = plan.tables["visits"].sort_values("date", kind="stable")
    visits = [_visit(plan, row, mesh=mesh) for _, row in planned.iterrows()]
    named = apiary_title(computed, apiary)
    links = [Link("All apiaries", "../../index.html"), Link("Its plan", "plan.html")]
    facts = (kicker(computed, "plan"), standing(computed.records), "../../", links, made(computed.records, today))
    decides = deference(computed.records.settings.jurisdiction)
    cautions = Listed(sublimation_cautions(), "cautions", decides)._repr_html_()
    told = {"place": place, "home": _home(named, place), "visits": visits, "cautions": cautions, "steps": STEPS}
    return render("visits.html.j2", Sheet(f"Sheet for {named}", *facts), **told)


def _visit(plan: Findings, row: pd.Series, *, mesh: bool) -> dict[str, Any]:
    return {
        "facts": _visit_facts(plan, row),
        "title": _visit_title(row),
        "kit": _kit_of(plan.tables["kit"], row["visit_id"]),
        "says": lines(plan, row.to_dict()),
        "strip": strip_of(plan, row["visit_id"]),
        "lines": lines_of(row.to_dict(), mesh=mesh),
    }


def _home(named: str, place: Sequence[tuple[str, str]]) -> str:
    return " · ".join([named, *(text for label, text in place if label in FINDS and text != NOT_RECORDED)])


FINDS = ("grid reference", "latitude, longitude", "gate, landowner, emergency")
"""What stands on every printed page, so that one page alone finds the place and help."""

STEPS = (
    "Tell someone where you are and when you are due out.",
    "Look at the weather and the ground: calm and dry enough, or not today.",
    "Power-up check away from the hives: supply, cable, mask, filter in date, water for eyes within reach.",
    "Work from the downwind end towards the wind; close, treat, keep the seal, go on.",
    "The hot nozzle goes neither on polystyrene nor into grass.",
    "Read the trays that are due, slide fresh ones in, write the numbers down.",
    "Count seals and foams back before you leave: a hive left sealed is a dead hive.",
)
"""The order of work."""


def _plan_of(computed: Computed, apiary: str) -> Findings:
    plan = computed.plan
    if plan is None or apiary not in plan.apiary_facts:
        return Findings({}, {}, {"visits": pd.DataFrame({"visit_id": [], "date": []}), "kit": pd.DataFrame()})
    return plan.of(apiary)


def _place(computed: Computed, apiary: str) -> list[tuple[str, str]]:
    rows = computed.records.tables["apiaries"]
    row = rows[rows["apiary"] == apiary].iloc[0] if (rows["apiary"] == apiary).any() else pd.Series(dtype="object")
    names = {
        "grid_ref": "grid reference", "access": "access",
        "drive_min": "drive, one way [min]", "carry_min": "carry, one way [min]", "hives": "usual hives",
        "floor": "floor", "emergency": "gate, landowner, emergency",
    }  # fmt: skip
    told = [(label, cell(row.get(name, "")) or NOT_RECORDED) for name, label in names.items()]
    where = pd.to_numeric(row.reindex(["latitude", "longitude"])).dropna()
    return [("latitude, longitude", ", ".join(f"{x:.7g}" for x in where)), *told] if len(where) == 2 else told


def _visit_title(row: pd.Series) -> str:
    if row.get("deed", "") == "take out":
        return f"{day(row['date'])}: take out {row['treatment']}"
    numbered = pd.notna(row["round"]) and pd.notna(row["rounds"]) and row["rounds"] > 1
    rounds = f", round {row['round']:g} of {row['rounds']:g}" if numbered else ""
    return f"{day(row['date'])}: {row['treatment']}{rounds}"


def _visit_facts(plan: Findings, row: pd.Series) -> list[tuple[str, str]]:
    facts = [
        ("may move between", f"{row['not_before']:%-d %b} and {row['not_after']:%-d %b}"),
        ("hives", cell(row["colonies"])),
        ("a dose, each hive", _dose(plan, row)),
        *numbers(plan, row.to_dict()),
        ("supply", row["supply"]),
    ]
    return [(label, text) for label, text in facts if text]


def _dose(plan: Findings, row: pd.Series) -> str:
    """What one hive gets as it is weighed out, in grams of product or of crystals; '' without a dose."""
    if pd.isna(row["dose_g"]):
        return ""
    weighing = plan.tables.get("weighing", pd.DataFrame({"visit_id": []}))
    for weigh in weighing[weighing["visit_id"] == row["visit_id"]].to_dict("records"):
        if weigh["of"] == "product":
            return f"{weigh['each_g']:.3g} g product"
    return f"{row['dose_g']:.3g} g crystals"


def _kit_of(kit: pd.DataFrame, visit: str) -> list[tuple[str, str, str]]:
    if kit.empty:
        return []
    mine = kit[kit["visit_id"] == visit]
    return [(str(r["item"]), cell(r["count"]), spoken(str(r["note"]))) for _, r in mine.iterrows()]


def _state(computed: Computed, apiary: str, have: set[str], failed: Mapping[str, str]) -> dict[str, Any]:
    facts = computed.review.apiary_facts[apiary]
    folder = f"apiaries/{computed.files[apiary]}"
    names = (("review", "review"), ("plan", "plan"), ("sheet", "visits"))
    links = [Link(text, f"{folder}/{page}.html") for text, page in names if f"{folder}/{page}.html" in have]
    wrong = [why for page, why in failed.items() if page.startswith(f"{folder}/")]
    return {
        "title": apiary_title(computed, apiary),
        "state": wrong[0] if wrong else _in_one_line(facts),
        "failed": bool(wrong),
        "hives": "–" if facts.get("hives") is None else f"{facts['hives']:g}",
        "late": "–" if facts.get("days_late") is None else cell(float(facts["days_late"])),
        "late_sort": facts.get("days_late", ""),
        "mites": _or_missing(facts.get("load_p50")),
        "links": links,
    }


def _in_one_line(facts: Mapping[str, Any]) -> str:
    """The state of an apiary: hives, losses, lateness, mites, what is open."""
    if not facts:
        return "Not reviewed in this run"
    lost = (
        f"{facts['lost']:g} of {facts['wintered']:g} lost"
        if facts.get("lost") is not None and facts.get("wintered")
        else ""
    )
    late = f"treated {facts['days_late']:g} days late" if facts.get("late") and facts.get("days_late") else ""
    load = a_range(facts, "load", unit=" mites a hive", step=1)
    points = len(facts.get("open_points") or [])
    open_ = f"{points} thing{'s' * (points != 1)} open" if points else ""
    strips = "strips still in" if facts.get("strips_in") else ""
    told = [part for part in (lost, late, strips, load, open_) if part]
    return "; ".join(told) or MUST_SAY


def _or_missing(value: Any) -> str:
    return "–" if value is None or pd.isna(value) else rounded(float(value))
