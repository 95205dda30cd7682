"""Which notebooks a run executes, where they go, and how their pages head themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import kit
from kit.records.records import Records
from kit.report.compute import Computed
from kit.report.export import Link, Sheet
from kit.report.words.phrases import a_count, a_date, capital, rows_aside


@dataclass(frozen=True)
class Work:
    """One notebook to execute and the page to make of it.

    Parameters
    ----------
    notebook : str
        Name of the source notebook.
    target, page : str
        Where the executed notebook and its page go, under OUT.
    parameters : dict
        For the parameters cell.
    sheet : Sheet
        What the page says about itself.
    """

    notebook: str
    target: str
    page: str
    parameters: dict[str, Any]
    sheet: Sheet


def work_list(
    computed: Computed, parts: frozenset[str], apiaries: Sequence[str], today: str, language: str = ""
) -> list[Work]:
    """The whole operation's notebooks first, then those of each apiary.

    Parameters
    ----------
    computed : Computed
        Records, review and plan.
    parts : frozenset of str
        Of "review" and "plan".
    apiaries : sequence of str
        Which apiaries get pages.
    today : str
        Day of the run, ISO.
    language : str
        Code of the language of the apiaries' sentences, '' for English.
    """
    kinds: list[str] = [kind for kind in ("review", "plan") if kind in parts]
    whole = [_whole(computed, kind, kinds, today) for kind in kinds]
    each = [_apiary(computed, kind, kinds, apiary, today) for apiary in apiaries for kind in kinds]
    return whole + [replace(work, parameters=work.parameters | {"language": language}) for work in each]


def _whole(computed: Computed, kind: str, kinds: list[str], today: str) -> Work:
    page = {"review": "season.html", "plan": "plan.html"}[kind]
    name = {"review": "season_review", "plan": "season_plan"}[kind]
    sister = [Link(*SISTERS[other]) for other in kinds if other != kind]
    links = [Link("All apiaries", "index.html"), *sister, Link("Medicine record", "medicine_record.html")]
    sheet = Sheet(
        _title(computed, kind),
        kicker(computed, kind),
        standing(computed.records),
        "",
        links,
        made(computed.records, today),
        f"notebooks/{name}.ipynb",
    )
    return Work(name, f"notebooks/{name}.ipynb", page, {"review": "../review"}, sheet)


SISTERS = {"review": ("Season review", "season.html"), "plan": ("Season plan", "plan.html")}


def _apiary(computed: Computed, kind: str, kinds: list[str], apiary: str, today: str) -> Work:
    stem = computed.files[apiary]
    name = f"apiary_{kind}"
    own = [
        Link({"review": "Its review", "plan": "Its plan"}[other], f"{other}.html") for other in kinds if other != kind
    ]
    sheets = [Link("Sheet to take along", "visits.html")] * ("plan" in kinds)
    above = Link(SISTERS[kind][0], f"../../{SISTERS[kind][1]}")
    target = f"notebooks/{stem}/{name}.ipynb"
    sheet = Sheet(
        apiary_title(computed, apiary),
        kicker(computed, kind),
        standing(computed.records),
        "../../",
        [Link("All apiaries", "../../index.html"), above, *own, *sheets],
        made(computed.records, today),
        f"../../{target}",
    )
    return Work(name, target, f"apiaries/{stem}/{kind}.html", {"review": "../../review", "apiary": apiary}, sheet)


def apiary_title(computed: Computed, apiary: str) -> str:
    """An apiary's id and name, once where they are the same."""
    name = str(computed.review.apiary_facts[apiary].get("name", "") or "")
    return f"{apiary} – {name}" if name and name.casefold() != apiary.casefold() else apiary


def kicker(computed: Computed, kind: str) -> str:
    """The line above the title: whose and which season."""
    facts = computed.plan.facts if kind == "plan" and computed.plan else computed.review.facts
    what = {"review": "Season review", "plan": "Plan for the season"}.get(kind, kind)
    keeper = computed.records.settings.keeper
    return " · ".join(part for part in (f"{what} {season_name(int(facts['season']))}", keeper) if part)


def season_name(label: int) -> str:
    """A season by its two years.

    Examples
    --------
    >>> season_name(2025)
    '2025/26'
    """
    return f"{label}/{(label + 1) % 100:02d}"


def standing(records: Records) -> str:
    """The day of the records and the rows set aside, said on every page."""
    rows = capital(rows_aside(records.set_aside, len(records.problems) - records.set_aside))
    return f"As recorded by {a_date(records.as_of.isoformat(), year=True)}. {rows}."


def made(records: Records, today: str) -> str:
    """When and from what a page was made."""
    files = records.account["table"].nunique()
    return f"Made on {a_date(today, year=True)} by season kit {kit.__version__} from {a_count(files, 'record sheet')}."


def _title(computed: Computed, kind: str) -> str:
    return {"review": "How the season went", "plan": "Next season's round"}[kind]
