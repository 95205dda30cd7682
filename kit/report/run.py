"""One run: read, review, plan, save, tables, notebooks, pages, manifest. Whole files only; a failure stays alone."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from kit.errors import CannotGoOnError
from kit.plan.calendar import calendar_ics
from kit.plan.make import make
from kit.records.load import load
from kit.records.records import Records
from kit.report.bundle import vega_bundle
from kit.report.compute import Computed, save_computed
from kit.report.execute import NotebookFailedError, execute, read_notebook
from kit.report.export import page_of
from kit.report.front import index_page, visits_page
from kit.report.kernels import forked_kernels
from kit.report.manifest import describe
from kit.report.medicine import medicine_page
from kit.report.medicine_sold import NOTHING_SOLD, Sold, histories
from kit.report.pdf import browser, print_pages
from kit.report.place import MANIFEST, claim, manifest_text
from kit.report.progress import bar
from kit.report.today import today_lines, today_page, with_forecast
from kit.report.unchanged import is_made, made_from
from kit.report.worklist import Work, work_list
from kit.report.write import write_table, write_text
from kit.season.findings import OPERATION, Findings, read
from kit.season.medicine import medicine_record
from kit.season.review import review as review_season


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


SAME = ("inputs", "season", "as_of", "seed", "settings", "kit", "libraries")
"""What must not have changed for the pages of an earlier run to stand beside those of this one."""


@dataclass
class _Run:
    """The state of one run as it goes along."""

    out: Path
    today: date
    jobs: int
    seconds: dict[str, float] = field(default_factory=dict)
    pages: list[str] = field(default_factory=list)
    failed: dict[str, str] = field(default_factory=dict)
    carried: bool = False

    @contextmanager
    def stage(self, name: str, words: str = "") -> Iterator[Callable[[int, int, str], None]]:
        start = time.perf_counter()
        with bar(words or name) as progress:
            yield progress
        self.seconds[name] = self.seconds.get(name, 0.0) + time.perf_counter() - start

    def write(self, page: str, text: str) -> None:
        write_text(self.out / page, text)
        self.pages.append(page)

    def carry(self, earlier: Mapping[str, Any], facts: Mapping[str, Any]) -> None:
        """Keep the pages of an earlier run of the same records; take away those of others."""
        plain = json.loads(json.dumps(facts))
        self.carried = bool(earlier) and all(earlier.get(key) == plain[key] for key in SAME)
        for page in earlier.get("pages", []):
            if self.carried and (self.out / page).exists():
                self.pages.append(page)
            elif not self.carried:
                (self.out / page).unlink(missing_ok=True)

    def saved_review(self, records: Records) -> Findings:
        """The review of an earlier run of the same records, or what stands in for it in a list of apiaries."""
        saved = self.out / "review" / "season" / f"{OPERATION}.json"
        if self.carried and saved.exists():
            return read(saved)
        return Findings({"season": records.season.label}, {apiary: {} for apiary in records.apiaries}, {})

    def outcome(self) -> dict[str, Any]:
        """What the run left, for the manifest."""
        return {
            "complete": True,
            "seconds": {stage: round(taken, 2) for stage, taken in self.seconds.items()},
            "pages": sorted(set(self.pages)),
            "failed": sorted(self.failed.values()),
        }


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
        Use only what was written by this day.
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
    if pdf:
        browser()
    start = time.perf_counter()
    records = _under(load(folder, season=season, as_of=as_of, today=today), jurisdiction)
    _refuse_unknown(apiaries, records)
    facts = describe(records, folder, seed)
    place = Path(f"season-{records.season.label}{'-today' * (parts == {'today'})}")
    run = _Run(out or place, today, jobs, {"read": time.perf_counter() - start})
    run.carry(claim(run.out), facts)
    computed = _compute(run, records, parts, seed)
    _tables(run, computed, parts)
    _notebooks(run, work_list(computed, parts, apiaries or tuple(computed.review.apiary_facts), today.isoformat()))
    if "record" in parts:
        _histories(run, records, sold)
    ahead = with_forecast(folder, records, today) if "today" in parts else None
    said = _today(run, computed, ahead) if parts & {"review", "today"} else ()
    _fronts(run, computed, parts, apiaries)
    if pdf:
        _print(run)
    write_text(run.out / MANIFEST, manifest_text(facts | run.outcome()))
    return Outcome(run.out, records.set_aside, tuple(run.failed.values()), run.seconds, said)


def _under(records: Records, jurisdiction: str) -> Records:
    settings = records.settings
    return replace(records, settings=replace(settings, jurisdiction=jurisdiction or settings.jurisdiction))


def _histories(run: _Run, records: Records, sold: Sold) -> None:
    for one in histories(records, sold, run.today.isoformat()):
        write_table(run.out / "tables" / f"{one.name}.csv", one.lines)
        run.write(f"{one.name}.html", one.page)


def _today(run: _Run, computed: Computed, ahead: Records | None) -> tuple[str, ...]:
    with run.stage("pages"):
        page = today_page(computed.records, computed.review, ahead, run.today.isoformat())
        run.write("today.html", page)
    return tuple(today_lines(computed.records, computed.review, ahead))


def _refuse_unknown(apiaries: tuple[str, ...], records: Records) -> None:
    unknown = [apiary for apiary in apiaries if apiary not in records.apiaries]
    if unknown:
        known = ", ".join(records.apiaries) or "none"
        raise CannotGoOnError(f"apiary {', '.join(unknown)} is not in these records; they hold: {known}")


def _compute(run: _Run, records: Records, parts: frozenset[str], seed: int) -> Computed:
    if not parts & {"review", "plan", "today"}:
        return Computed(records, run.saved_review(records), None)
    with run.stage("review", "reading the season") as progress:
        review = review_season(records, seed=seed, jobs=run.jobs, progress=progress)
    plan = None
    if "plan" in parts:
        with run.stage("plan", "planning") as progress:
            plan = make(records, review, seed=seed, progress=progress)
    computed = Computed(records, review, plan)
    with run.stage("save"):
        save_computed(computed, run.out / "review")
    return computed


def _tables(run: _Run, computed: Computed, parts: frozenset[str]) -> None:
    with run.stage("tables"):
        found = {"problems": computed.records.problems}
        if parts & {"review", "today"}:
            found |= computed.review.tables
        if "plan" in parts and computed.plan is not None:
            found |= computed.plan.tables
        if "record" in parts:
            found |= medicine_record(computed.records).tables
        for name, table in found.items():
            write_table(run.out / "tables" / f"{name}.csv", table)


def _notebooks(run: _Run, works: list[Work]) -> None:
    if not works:
        return
    with run.stage("pages", "making the pages") as progress, forked_kernels(), ThreadPoolExecutor(run.jobs) as pool:
        vega_bundle()
        waiting = {pool.submit(_make, run.out, work): work for work in works}
        try:
            for done, future in enumerate(as_completed(waiting), 1):
                work = waiting[future]
                run.pages.append(work.page)
                if why := future.result():
                    run.failed[work.page] = f"{work.page}: {why}; the notebook with the error is {work.target}"
                progress(done, len(works), work.page)
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


def _make(out: Path, work: Work) -> str:
    """Execute one notebook and write its page, if need be; what went wrong with it, '' when nothing."""
    digest = made_from(out, work)
    if is_made(out, work, digest):
        return ""
    why = ""
    try:
        execute(work.notebook, out / work.target, work.parameters)
    except NotebookFailedError as error:
        why = str(error)
    sheet = replace(work.sheet, made_from="" if why else digest)
    write_text(out / work.page, page_of(read_notebook(out / work.target), sheet))
    return why


def _fronts(run: _Run, computed: Computed, parts: frozenset[str], apiaries: tuple[str, ...]) -> None:
    today = run.today.isoformat()
    with run.stage("pages"):
        if parts & {"record", "review"}:
            run.write("medicine_record.html", medicine_page(computed.records, medicine_record(computed.records), today))
        if computed.plan is not None:
            run.write("calendar.ics", calendar_ics(computed.plan, as_of=computed.records.as_of))
            for apiary in apiaries or computed.plan.apiary_facts:
                run.write(f"apiaries/{computed.files[apiary]}/visits.html", visits_page(computed, apiary, today))
        run.write("index.html", index_page(computed, run.pages, run.failed, today))


def _print(run: _Run) -> None:
    made = sorted(page for page in set(run.pages) if page.endswith(".html"))
    with run.stage("pdf", "printing") as progress:
        for failed in print_pages([run.out / page for page in made], progress):
            run.failed[failed] = failed
