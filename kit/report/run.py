"""One run: read, review, plan, save, tables, notebooks, pages, manifest. Whole files only; a failure stays alone."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from kit.errors import CannotGoOnError
from kit.plan.ahead import goes_on
from kit.plan.calendar import calendar_ics
from kit.records.load import load
from kit.records.records import Records
from kit.report.compute import Computed, last_plan, planned, reviewed, save_computed
from kit.report.front import index_page, visits_page
from kit.report.kept import Kept
from kit.report.ledger import Ledger
from kit.report.manifest import describe
from kit.report.medicine import medicine_page
from kit.report.medicine_sold import NOTHING_SOLD, Sold, histories
from kit.report.notebooks import make_pages
from kit.report.numbers import NUMBERS, numbers_page
from kit.report.pdf import browser, print_pages
from kit.report.place import MANIFEST, claim, manifest_text
from kit.report.today import today_lines, today_page, with_forecast
from kit.report.words import language as languages
from kit.report.worklist import kicker, made, work_list
from kit.report.write import write_table, write_text
from kit.season.findings import OPERATION, Findings, read


@dataclass(frozen=True)
class Outcome:
    """What a run left behind.

    Parameters
    ----------
    out : Path
        The folder written into.
    set_aside : int
        Rows that could not be used.
    failed : tuple of str
        A sentence for each page that could not be made.
    seconds : dict
        Seconds of each stage.
    said : tuple of str
        What is due, in at most ten lines, when it was worked out.
    """

    out: Path
    set_aside: int
    failed: tuple[str, ...]
    seconds: dict[str, float]
    said: tuple[str, ...] = ()


def run_all(  # noqa: PLR0913  the command's own options, keyword only
    folder: Path,
    *,
    out: Path | None,
    parts: frozenset[str],
    season: int | None,
    as_of: date | None,
    apiaries: tuple[str, ...],
    jobs: int,
    seed: int,
    pdf: bool,
    today: date,
    fresh: bool = False,
    language: str = "",
    cluster: str = "",
    jurisdiction: str = "",
    sold: Sold = NOTHING_SOLD,
) -> Outcome:
    """Read the record sheets and write what `parts` asks for.

    Parameters
    ----------
    folder : Path
        The record sheets.
    out : Path or None
        Where to write; None for `season-<label>` here.
    parts : frozenset of str
        Of "review", "plan", "record" and "today".
    season : int or None
        Start year; None for the latest.
    as_of : date or None
        Use only what was written by this day. A plan alone as of a day on which its season's treatments are still to
        come is that season's, made again from what is done.
    apiaries : tuple of str
        Only these apiaries' pages; empty for all. What is reckoned is reckoned for all.
    jobs : int
        Notebooks executed at once.
    seed : int
        Of the random draws.
    pdf : bool
        A PDF beside each page.
    today : date
        The day of the run.
    fresh : bool
        Work everything out and make every page anew, also where nothing it stands on has changed.
    language : str
        Code of the language of the apiaries' first sentences; '' for English.
    cluster : str
        Address of the scheduler of a cluster that draws the season's hives; '' draws here, with the same outcome.
    jurisdiction : str
        Whose medicine rules are followed; '' for those of the settings.
    sold : Sold
        Colonies and apiaries whose treatment history is written for a buyer.

    Returns
    -------
    Outcome
        Its `failed` names the pages that could not be made.

    Raises
    ------
    CannotGoOnError
        When there is nothing to read or no place to write.
    """
    languages.language(language)  # refused here when unknown, before anything is made
    if pdf:
        browser()
    start = time.perf_counter()
    records = _under(_read(folder, parts, season, as_of, today), jurisdiction)
    _refuse_unknown(apiaries, records)
    facts = describe(records, folder, seed)
    place = Path(f"season-{records.season.label}{'-today' * (parts == {'today'})}")
    ledger = Ledger(out or place, today, jobs, fresh, cluster, {"read": time.perf_counter() - start})
    earlier = claim(ledger.out)
    ledger.carry(earlier, facts)
    computed = _compute(ledger, records, parts, seed)
    _tables(ledger, computed, parts)
    wanted = apiaries or tuple(computed.review.apiary_facts)
    make_pages(ledger, work_list(computed, parts, wanted, today.isoformat(), language))
    if "record" in parts:
        _histories(ledger, computed, sold)
    ahead = with_forecast(folder, records, today) if "today" in parts else None
    said = _today(ledger, computed, ahead) if parts & {"review", "today"} else ()
    _fronts(ledger, computed, parts, apiaries)
    ledger.drop_stale(earlier)
    _print(ledger, pdf=pdf)
    write_text(ledger.out / MANIFEST, manifest_text(facts | ledger.outcome()))
    return Outcome(ledger.out, records.set_aside, tuple(ledger.failed.values()), ledger.seconds, said)


def _read(folder: Path, parts: frozenset[str], season: int | None, as_of: date | None, today: date) -> Records:
    """The records; for a plan alone in the midst of a season, as of the season before it: what is left is planned."""
    records = load(folder, season=season, as_of=as_of, today=today)
    if parts == {"plan"} and season is None and as_of is not None and goes_on(records):
        return load(folder, season=records.season.label - 1, as_of=as_of, today=today)
    return records


def _under(records: Records, jurisdiction: str) -> Records:
    settings = records.settings
    return replace(records, settings=replace(settings, jurisdiction=jurisdiction or settings.jurisdiction))


def _histories(ledger: Ledger, computed: Computed, sold: Sold) -> None:
    for one in histories(computed, sold, ledger.today.isoformat()):
        write_table(ledger.out / "tables" / f"{one.name}.csv", one.lines)
        ledger.write(f"{one.name}.html", one.page)


def _today(ledger: Ledger, computed: Computed, ahead: Records | None) -> tuple[str, ...]:
    with ledger.stage("pages"):
        page = today_page(computed.records, computed.review, ahead, ledger.today.isoformat())
        ledger.write("today.html", page)
    return tuple(today_lines(computed.records, computed.review, ahead, ledger.today))


def _refuse_unknown(apiaries: tuple[str, ...], records: Records) -> None:
    unknown = [apiary for apiary in apiaries if apiary not in records.apiaries]
    if unknown:
        known = ", ".join(records.apiaries) or "none"
        raise CannotGoOnError(f"apiary {', '.join(unknown)} is not in these records; they hold: {known}")


def _compute(ledger: Ledger, records: Records, parts: frozenset[str], seed: int) -> Computed:
    if not parts & {"review", "plan", "today"}:
        return Computed(records, _saved_review(ledger, records), None)
    kept = Kept(ledger.fresh)
    with ledger.stage("review", "reading the season") as progress:
        review = reviewed(
            records, kept, seed=seed, jobs=ledger.jobs, cluster=ledger.cluster, progress=progress
        )  # fmt: skip
    plan = None
    if "plan" in parts:
        last = last_plan(ledger.out / "review", records.as_of)
        with ledger.stage("plan", "planning") as progress:
            plan = planned(records, review, kept, seed=seed, last=last, progress=progress)
    computed = Computed(records, review, plan)
    with ledger.stage("save"):
        save_computed(computed, ledger.out / "review")
    return computed


def _saved_review(ledger: Ledger, records: Records) -> Findings:
    """The review of an earlier run of the same records, or what stands in for it in a list of apiaries."""
    saved = ledger.out / "review" / "season" / f"{OPERATION}.json"
    if ledger.carried and saved.exists():
        return read(saved)
    return Findings({"season": records.season.label}, {apiary: {} for apiary in records.apiaries}, {})


def _tables(ledger: Ledger, computed: Computed, parts: frozenset[str]) -> None:
    with ledger.stage("tables"):
        found = {"problems": computed.records.problems}
        if parts & {"review", "today"}:
            found |= computed.review.tables
        if "plan" in parts and computed.plan is not None:
            found |= computed.plan.tables
        if "record" in parts:
            found |= computed.medicine.tables
        for name, table in found.items():
            write_table(ledger.out / "tables" / f"{name}.csv", table)


def _fronts(ledger: Ledger, computed: Computed, parts: frozenset[str], apiaries: tuple[str, ...]) -> None:
    today = ledger.today.isoformat()
    with ledger.stage("pages"):
        if parts & {"record", "review"}:
            ledger.write("medicine_record.html", medicine_page(computed.records, computed.medicine, today))
        if computed.plan is not None:
            ledger.write("calendar.ics", calendar_ics(computed.plan, as_of=computed.records.as_of))
            for apiary in apiaries or computed.plan.apiary_facts:
                ledger.write(f"apiaries/{computed.files[apiary]}/visits.html", visits_page(computed, apiary, today))
        if parts & {"review", "plan"}:
            whose = kicker(computed, "review")
            ledger.write(NUMBERS, numbers_page(whose, made(computed.records, today)))
        ledger.write("index.html", index_page(computed, ledger.pages, ledger.failed, today))


def _print(ledger: Ledger, *, pdf: bool) -> None:
    unprinted = ledger.unprinted()
    if not pdf:
        return
    with ledger.stage("pdf", "printing") as progress:
        for failed in print_pages(unprinted, progress):
            ledger.failed[failed] = failed
