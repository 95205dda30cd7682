"""What each command does: the room below is called, what it said is printed, an exit code comes out.

Exit codes: 0 done (rows set aside are named), 1 rows were set aside and `--strict` was given, or some
reports failed, 2 cannot go on, with one clear sentence. The rooms are imported when they are needed.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from kit.errors import KitError

if TYPE_CHECKING:
    from kit.records.note import Said
    from kit.report.run import Outcome

DONE, NOT_WHOLE, CANNOT_GO_ON, STOPPED, UNHEARD = 0, 1, 2, 130, 141
Parts = frozenset[str]


def make_sheets(given: argparse.Namespace) -> int:
    from kit.records.sheets import new_folder, new_workbook

    made = (new_workbook if given.workbook else new_folder)(given.folder)
    print(
        f"Blank record sheets are in {made}. Start with settings, apiaries and log; then: season check {given.folder}"
    )
    return DONE


def open_lab(given: argparse.Namespace) -> int:
    from kit.report.copies import NAMES, copy_notebooks
    from kit.report.lab import lab, open_browser

    place, said = copy_notebooks(given.folder)
    for sentence in said:
        print(sentence)
    print("Starting JupyterLab …", flush=True)
    with lab(place, f"{NAMES[0]}.ipynb") as running:
        opened = open_browser(running.address)
        print(f"{'Opened' if opened else 'Open'} {running.address}\nStop with Ctrl-C.", flush=True)
        try:
            running.wait()
        except KeyboardInterrupt:
            print("Stopping JupyterLab and its notebooks.", flush=True)
    return DONE


def check_records(given: argparse.Namespace) -> int:
    from kit.records.account import check_text
    from kit.records.load import load

    records = load(given.folder, season=given.season, as_of=given.as_of, today=today())
    print(check_text(records))
    return NOT_WHOLE if given.strict and records.set_aside else DONE


def add_notes(given: argparse.Namespace) -> int:
    from kit.records.note import note, spoken_lines

    batch = spoken_lines(given.batch) if given.batch else {}
    lines = [*given.lines, *batch.values()]
    places = [*[""] * len(given.lines), *(f"{given.batch.name} line {number}: " for number in batch)]
    if not lines:
        raise KitError("nothing to note; give a line, or --from and a text file")
    said = note(given.folder, lines, today=today(), write=not given.show)
    for place, one in zip(places, said, strict=True):
        if one.refused:
            print(f"season: {place}refused: {one.line}: {one.wrong}", file=sys.stderr)
        else:
            print(f"{place}{_noted(one, only_shown=given.show)}")
    _doubts(given, [] if given.show else [one.row for one in said if one.row and not one.wrong])
    refused = sum(one.refused for one in said)
    if refused and len(said) > 1:
        wrong = f"nothing was written: {refused} of {len(said)} lines refused"
        print(f"season: {wrong}; mend what is named above and give them all again", file=sys.stderr)
    return CANNOT_GO_ON if refused else DONE


def _doubts(given: argparse.Namespace, rows: Sequence[int]) -> None:
    """Say what is doubtful in rows just written: they stand, whatever the other sheets hold."""
    from kit.records.note import doubts

    try:
        found = doubts(given.folder, rows, today=today()) if rows else {}
    except KitError as error:
        found = {rows[0]: [str(error)]}
    for row, said in found.items():
        for one in said:
            print(f"row {row}, doubtful: {one}")


def _noted(one: Said, *, only_shown: bool) -> str:
    """What became of a line that was understood."""
    if one.wrong:
        return f"{one.wrong}: {one.stored}"
    if not one.row:
        return f"understood, not written: {one.stored}"
    return f"{'would be row' if only_shown else 'row'} {one.row}: {one.stored}"


def share_pack(given: argparse.Namespace) -> int:
    from kit.report.share.command import share

    return DONE if share(given, today=today(), say=print, ask=_ask) else NOT_WHOLE


def _ask(question: str) -> str:
    """The answer typed; no where nobody is there to type."""
    try:
        return input(question)
    except EOFError:
        print("no (nobody answered; --yes writes it without asking)")
        return "no"


def pool_packs(given: argparse.Namespace) -> int:
    from kit.report.share.command import pool

    well = pool(given, say=print, warn=lambda line: print(f"season: {line}", file=sys.stderr))
    return DONE if well else NOT_WHOLE


def run(parts: Parts) -> Callable[[argparse.Namespace], int]:
    def act(given: argparse.Namespace) -> int:
        from kit.report.run import run_all

        outcome = run_all(
            given.folder,
            out=given.out,
            parts=parts,
            season=given.season,
            as_of=given.as_of,
            apiaries=tuple(given.apiary),
            jobs=given.jobs,
            cluster=given.cluster,
            seed=given.seed,
            fresh=given.fresh,
            language=given.language,
            pdf=given.pdf,
            today=today(),
            **_record_given(given, parts),
        )
        return _say(outcome, parts, strict=given.strict)

    return act


def _record_given(given: argparse.Namespace, parts: Parts) -> dict[str, Any]:
    """What only `season record` is asked; elsewhere nothing."""
    from kit.report.medicine_sold import Sold

    if parts != {"record"}:
        return {}
    return {"jurisdiction": given.jurisdiction, "sold": Sold(tuple(given.colony), tuple(given.apiary))}


def _say(outcome: Outcome, parts: Parts, *, strict: bool) -> int:
    for line in outcome.said if parts == {"today"} else ():
        print(line)
    print(f"Open {outcome.out / 'index.html'}")
    if outcome.set_aside:
        print(
            f"{outcome.set_aside} rows were set aside; each with its reason: {outcome.out / 'tables' / 'problems.csv'}"
        )
    for failed in outcome.failed:
        print(f"season: {failed}", file=sys.stderr)
    return NOT_WHOLE if outcome.failed or (strict and outcome.set_aside) else DONE


def today() -> date:
    return date.today()  # noqa: DTZ011  records are local and naive by the day
