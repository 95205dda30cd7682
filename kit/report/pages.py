"""What a notebook opens: the saved review and plan, whole or of one apiary, from a path beside it or from the demo."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path

from kit.errors import CannotGoOnError
from kit.report.cautions import deference, sublimation_cautions
from kit.report.demo import demo_review
from kit.report.show import Listed, Note, Said, enable
from kit.report.words import Sentence, apiary_sentences, season_sentences
from kit.report.words.language import language
from kit.report.words.phrases import a_date, capital, rows_aside
from kit.report.words.programme import programme
from kit.season.findings import INDEX, OPERATION, Findings, read

SECTIONS = {
    "season": ("first", "loads", "kill", "lateness", "losses", "effort", "gear", "open", "trust"),
    "plan": ("plan", "chances", "calendar", "days", "weather", "changes", "shopping", "left_out"),
}
"""Anchors of a review page and of a plan page; the notebooks' cells carry them as ids, tests hold them to it."""


@dataclass(frozen=True)
class Page:
    """One page's material: shows itself as the masthead.

    Parameters
    ----------
    review : Findings
        Whole, or the slice of one apiary.
    plan : Findings or None
        None when no plan was made.
    apiary : str
        Id, '' for the whole operation.
    kind : str
        `season` or `plan`: which page this is.
    where : str
        Where the data lie, as seen from the notebook.
    language : str
        Code of the language of an apiary's sentences, '' for English.
    """

    review: Findings
    plan: Findings | None
    apiary: str
    kind: str
    where: str
    language: str = ""

    def sentences(self) -> Said:
        """The sentences that open the page, each with a link to what it stands on; a plan's page has those on it."""
        said = self._sentences()
        told = [(sentence.text, sentence.why) for sentence in said]
        return Said(told, self._places(), language(self.language)("page.why"), self.language)

    def _sentences(self) -> Sequence[Sentence]:
        said = (
            apiary_sentences(self.review, self.plan, self.apiary, code=self.language)
            if self.apiary
            else season_sentences(self.review, self.plan)
        )
        told = [sentence for sentence in said if self.kind == "season" or sentence.why == "plan"]
        planned = self.plan.apiary_facts.get(self.apiary) if self.plan and self.kind == "plan" else None
        which = programme(planned, language(self.language)) if planned else ""
        return [*told, *[Sentence(which, "chances")] * bool(which)]

    def _places(self) -> dict[str, str]:
        """Anchor to address: on this page, or on its sister page."""
        names = {"season": "review.html" if self.apiary else "season.html", "plan": "plan.html"}
        return {
            anchor: f"#{anchor}" if kind == self.kind else f"{names[kind]}#{anchor}"
            for kind, anchors in SECTIONS.items()
            if kind == self.kind or kind == "season" or self.plan
            for anchor in anchors
        }

    def cautions(self) -> Listed:
        """What can hurt, and who decides."""
        return Listed(sublimation_cautions(), "cautions", deference(self.review.facts.get("jurisdiction", "")))

    def planned(self) -> Findings:
        """The plan.

        Raises
        ------
        CannotGoOnError
            When this run made none.
        """
        if self.plan is None:
            raise CannotGoOnError("this run holds no plan; `season plan FOLDER` makes it")
        return self.plan

    def _repr_html_(self) -> str:
        return f'<div class="masthead">{"".join(f"<p>{line}</p>" for line in self._lines())}</div>'

    def _lines(self) -> list[str]:
        facts = self.review.facts
        name = self.review.apiary_facts[self.apiary].get("name", "") if self.apiary else facts.get("keeper", "")
        who = " · ".join(part for part in (self.apiary, name) if part)
        season = f"Season {facts['season']}, as recorded by {a_date(facts['as_of'], year=True)}"
        rows = capital(rows_aside(facts["problems"], facts["remarks"]))
        place = f"The data lie in <code>{escape(self.where)}</code>, seen from this notebook."
        return [f"<strong>{escape(who)}</strong>" * bool(who), f"{escape(season)}. {rows}.", place]

    def __repr__(self) -> str:
        return f"{self.kind} of {self.apiary or 'the whole operation'}, season {self.review.facts['season']}"


def open_season(review: str = "", apiary: str = "") -> Page:
    """The season review, whole (`apiary` empty) or of one apiary.

    Parameters
    ----------
    review : str
        Folder of the saved review, as seen from the notebook; '' takes the demo's.
    apiary : str
        Id.

    Raises
    ------
    CannotGoOnError
        When there is no review, or no such apiary in it.
    """
    return _open(review, apiary, "season")


def open_apiary(review: str = "", apiary: str = "", language: str = "") -> Page:
    """The season review of one apiary; `apiary` empty takes the first. Otherwise as `open_season`.

    `language` is the code of the language of its sentences, '' for English.
    """
    return replace(_open(review, apiary or _first(review), "season"), language=language)


def open_plan(review: str = "", apiary: str = "") -> Page:
    """The plan, whole or of one apiary. Otherwise as `open_season`."""
    return _open(review, apiary, "plan")


def open_apiary_plan(review: str = "", apiary: str = "", language: str = "") -> Page:
    """The plan of one apiary; otherwise as `open_apiary`."""
    return replace(_open(review, apiary or _first(review), "plan"), language=language)


def _open(review: str, apiary: str, kind: str) -> Page:
    enable()
    folder = _folder(review)
    stem = _stem(folder, apiary) if apiary else OPERATION
    planned = folder / "plan" / f"{stem}.json"
    plan = read(planned) if planned.exists() else None
    return Page(read(folder / "season" / f"{stem}.json"), plan, apiary, kind, review or "the demo")


def _folder(review: str) -> Path:
    return Path(review) if review else demo_review()


def _index(folder: Path) -> dict[str, str]:
    try:
        return dict(json.loads((folder / INDEX).read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise CannotGoOnError(f"{folder} holds no saved review: {error}; run `season review FOLDER` first") from error


def _first(review: str) -> str:
    known = list(_index(_folder(review)))
    if not known:
        raise CannotGoOnError("this review holds no apiary; fill in the sheet `apiaries` or `log` and run again")
    return known[0]


def _stem(folder: Path, apiary: str) -> str:
    known = _index(folder)
    if apiary not in known:
        raise CannotGoOnError(f"apiary {apiary!r} is not in this review; it holds: {', '.join(known) or 'none'}")
    return known[apiary]


__all__ = ["Note", "Page", "open_apiary", "open_apiary_plan", "open_plan", "open_season"]
