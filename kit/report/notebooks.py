"""The notebooks of a run and their pages: several at once, each alone in its failure, none made twice from the same."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import replace

from kit.report.bundle import vega_bundle
from kit.report.execute import NotebookFailedError, execute, read_notebook
from kit.report.export import page_of
from kit.report.kernels import forked_kernels
from kit.report.ledger import Ledger
from kit.report.unchanged import is_made, made_from
from kit.report.worklist import Work
from kit.report.write import write_text


def make_pages(ledger: Ledger, works: Sequence[Work]) -> None:
    """Execute what has changed and write its pages; the ledger learns what was made and what failed.

    Raises
    ------
    CannotGoOnError
        When the place cannot be written to.
    """
    waiting = [work for work in works if not _stands(ledger, work)]
    ledger.pages.extend(work.page for work in works)
    if not waiting:
        return
    with (
        ledger.stage("pages", "making the pages") as progress,
        forked_kernels(),
        ThreadPoolExecutor(ledger.jobs) as pool,
    ):
        vega_bundle()
        asked = {pool.submit(_make, ledger, work): work for work in waiting}
        try:
            for done, future in enumerate(as_completed(asked), 1):
                work = asked[future]
                if why := future.result():
                    ledger.failed[work.page] = f"{work.page}: {why}; the notebook with the error is {work.target}"
                progress(done, len(waiting), work.page)
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


def _stands(ledger: Ledger, work: Work) -> bool:
    return not ledger.fresh and is_made(ledger.out, work, made_from(ledger.out, work))


def _make(ledger: Ledger, work: Work) -> str:
    """Execute one notebook and write its page; what went wrong with it, '' when nothing."""
    out, why = ledger.out, ""
    try:
        execute(work.notebook, out / work.target, work.parameters)
    except NotebookFailedError as error:
        why = str(error)
    sheet = replace(work.sheet, made_from="" if why else made_from(out, work))
    write_text(out / work.page, page_of(read_notebook(out / work.target), sheet))
    return why
