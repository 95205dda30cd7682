"""The console command `season`: arguments in, one room called, a sentence and an exit code out.

Exit codes: 0 done (rows set aside are named), 1 rows were set aside and `--strict` was given, or some
reports failed, 2 cannot go on, with one clear sentence.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kit.errors import KitError

if TYPE_CHECKING:
    from kit.records.note import Said
    from kit.report.run import Outcome

DONE, NOT_WHOLE, CANNOT_GO_ON = 0, 1, 2
Parts = frozenset[str]

EXAMPLES = """examples
  season new my-season              blank record sheets, with help on every column
  season check my-season            what was read, what was set aside, and why
  season run my-season              review, plan and medicine record, for everything
  season note my-season "12 Oct, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"
  season today my-season            what is due, and where to go first
  season run my-season --apiary "Far Meadow" --as-of 2025-11-20
  season record my-season --colony M3   what a colony was given, to go along when it is sold
  season share my-season --out share    a pack for your association, shown before it is written
  season pool packs --out report        the association's report of many packs

The label, the law and licensed practice decide; the pages say so too."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : list of str, optional
        As typed after `season`; the process's own when left out.

    Returns
    -------
    int
        The exit code.
    """
    given = parser().parse_args(arguments)
    try:
        return int(given.act(given))
    except KitError as error:
        print(f"season: {error}", file=sys.stderr)
        return CANNOT_GO_ON
    except KeyboardInterrupt:
        print("season: stopped; what was finished is whole, run again to go on", file=sys.stderr)
        return 130


def parser() -> argparse.ArgumentParser:
    """The command line, described once; `--help` of every command is made from it."""
    top = argparse.ArgumentParser(
        prog="season",
        description="A bee farmer's year of mite control: record sheets in, season review and next-season plan out.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    _new(commands.add_parser("new", help="blank record sheets with help on every column"))
    _check(commands.add_parser("check", help="what was read, what was set aside, and why"))
    _note(commands.add_parser("note", help="one checked line into the log"))
    for name, (help_text, parts) in RUNS.items():
        _runner(commands.add_parser(name, help=help_text), parts)
    _record(commands.choices["record"])
    _share(commands.add_parser("share", help="a pack for your association: private by default, shown before written"))
    _pool(commands.add_parser("pool", help="an association's report from many packs"))
    _lab(commands.add_parser("lab", help="the interactive notebooks, opened in JupyterLab on your records"))
    return top


RUNS: dict[str, tuple[str, Parts]] = {
    "review": ("the season review alone", frozenset({"review"})),
    "plan": ("next season's plan alone (computes the review it stands on)", frozenset({"plan"})),
    "record": ("the medicine record alone", frozenset({"record"})),
    "today": (
        "what is due and where to go first, as of today (default OUT ./season-<label>-today)",
        frozenset({"today"}),
    ),
    "run": ("all of it", frozenset({"review", "plan", "record"})),
}
"""Commands that write pages: their help and the parts they write."""


def _new(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="made if missing; nothing in it is overwritten")
    command.add_argument("--workbook", action="store_true", help="one .xlsx workbook instead of a folder of CSV files")
    command.set_defaults(act=_make_sheets)


def _check(command: argparse.ArgumentParser) -> None:
    _records_arguments(command)
    command.set_defaults(act=_check_records)


def _note(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="record sheets with a log.csv")
    command.add_argument("lines", nargs="*", metavar="LINE", help="date, apiary, what was done, parted by commas")
    command.add_argument("--from", dest="batch", type=Path, metavar="FILE", help="a text file, one line for each visit")
    command.add_argument("--show", action="store_true", help="only show what would be stored")
    command.set_defaults(act=_add_notes)


def _lab(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="record sheets; copies stand in notebooks/ there")
    command.set_defaults(act=_open_lab)


def _runner(command: argparse.ArgumentParser, parts: Parts) -> None:
    _records_arguments(command)
    command.add_argument("--out", type=Path, metavar="OUT", help="where to write; default ./season-<label>")
    command.add_argument(
        "--apiary",
        action="append",
        default=[],
        metavar="ID",
        help="only this apiary's pages; may be given several times",
    )
    command.add_argument(
        "--jobs", type=_at_least_one, default=os.cpu_count() or 1, metavar="N", help="pages made at once"
    )
    command.add_argument("--seed", type=int, default=1, metavar="N", help="of the random draws; default 1")
    command.add_argument(
        "--language", default="", metavar="CODE", help="of an apiary's first sentences: en or de; default en"
    )
    command.add_argument("--fresh", action="store_true", help="work out and make all anew, not only what has changed")
    command.add_argument("--pdf", action="store_true", help="a PDF beside each page, through an installed Chromium")
    command.set_defaults(act=_run(parts))


def _record(command: argparse.ArgumentParser) -> None:
    laws = ("gb", "ni", "eu", "other")
    command.add_argument("--jurisdiction", choices=laws, default="", metavar="LAW", help="gb, ni, eu or other")
    command.add_argument(
        "--colony", action="append", default=[], metavar="ID", help="also what it was given, for a buyer (or --apiary)"
    )


def _share(command: argparse.ArgumentParser) -> None:
    _records_arguments(command)
    command.add_argument("--out", type=Path, default=Path("share"), metavar="DIR", help="for the pack; default ./share")
    command.add_argument("--also", action="append", default=[], metavar="TABLE", help="tick `doses` or `compliance`")
    command.add_argument("--without", action="append", default=[], metavar="TABLE", help="untick a table")
    command.add_argument("--totals-only", action="store_true", help="nothing by apiary")
    command.add_argument("--exact-hives", action="store_true", help="tick numbers of hives as counted, not in classes")
    command.add_argument(
        "--squares",
        choices=("region", "degree", "grid", "none"),
        help="tick places: your square of 1 degree alone, squares of 0.1 degree by apiary, of 10 km of the national "
        "grid, or none; default none, with --among your region where enough are like you",
    )
    command.add_argument(
        "--among",
        type=Path,
        metavar="FILE",
        help="crossed.csv of the association's last report: a place only where enough of your size are there",
    )
    command.add_argument("--key", type=Path, metavar="FILE", help="your key file; default share_key.json beside sheets")
    command.add_argument("--seed", type=int, default=1, metavar="N", help="of the random draws; default 1")
    command.add_argument("--yes", action="store_true", help="write it without asking, for scripts")
    _smallest_group(command, "hives")
    command.set_defaults(act=_share_pack)


def _pool(command: argparse.ArgumentParser) -> None:
    command.add_argument("packs", type=Path, nargs="+", metavar="PACK", help="packs, or folders searched for them")
    command.add_argument("--out", type=Path, default=Path("pool"), metavar="OUT", help="where to write; default ./pool")
    command.add_argument("--season", type=int, metavar="YEAR", help="the year it starts in; default the packs' latest")
    command.add_argument(
        "--for", dest="keys", action="append", default=[], metavar="KEY", help="where that member stands"
    )
    command.add_argument(
        "--cluster", default="", metavar="ADDRESS", help="of a cluster's scheduler that shares the work"
    )
    command.add_argument("--releases", type=Path, metavar="FILE", help="list of earlier reports; default beside OUT")
    command.add_argument("--pdf", action="store_true", help="a PDF beside the page, through an installed Chromium")
    _smallest_group(command, "members")
    command.set_defaults(act=_pool_packs)


def _smallest_group(command: argparse.ArgumentParser, of: str) -> None:
    command.add_argument(
        "--minimum", type=_at_least_one, default=5, metavar="N", help=f"smallest group of {of} told; default 5, least 3"
    )


def _records_arguments(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="record sheets: CSV files or one workbook")
    command.add_argument("--season", type=int, metavar="YEAR", help="the year the season starts in; default the latest")
    command.add_argument(
        "--as-of", type=_day, metavar="DATE", help="use only what was written by this day (YYYY-MM-DD)"
    )
    command.add_argument("--strict", action="store_true", help="exit code 1 when rows were set aside")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date; write it as 2025-11-20") from error


def _at_least_one(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number of at least 1")
    return int(text)


def _make_sheets(given: argparse.Namespace) -> int:
    from kit.records.sheets import new_folder, new_workbook

    made = (new_workbook if given.workbook else new_folder)(given.folder)
    print(
        f"Blank record sheets are in {made}. Start with settings, apiaries and log; then: season check {given.folder}"
    )
    return DONE


def _open_lab(given: argparse.Namespace) -> int:
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


def _check_records(given: argparse.Namespace) -> int:
    from kit.records.account import check_text
    from kit.records.load import load

    records = load(given.folder, season=given.season, as_of=given.as_of, today=_today())
    print(check_text(records))
    return NOT_WHOLE if given.strict and records.set_aside else DONE


def _add_notes(given: argparse.Namespace) -> int:
    from kit.records.note import note, spoken_lines

    batch = spoken_lines(given.batch) if given.batch else {}
    lines = [*given.lines, *batch.values()]
    places = [*[""] * len(given.lines), *(f"{given.batch.name} line {number}: " for number in batch)]
    if not lines:
        raise KitError("nothing to note; give a line, or --from and a text file")
    said = note(given.folder, lines, today=_today(), write=not given.show)
    for place, one in zip(places, said, strict=True):
        if one.refused:
            print(f"season: {place}refused: {one.line}: {one.wrong}", file=sys.stderr)
        else:
            print(f"{place}{_noted(one, only_shown=given.show)}")
    refused = sum(one.refused for one in said)
    if refused and len(said) > 1:
        wrong = f"nothing was written: {refused} of {len(said)} lines refused"
        print(f"season: {wrong}; mend what is named above and give them all again", file=sys.stderr)
    return CANNOT_GO_ON if refused else DONE


def _noted(one: Said, *, only_shown: bool) -> str:
    """What became of a line that was understood."""
    if one.wrong:
        return f"{one.wrong}: {one.stored}"
    if not one.row:
        return f"understood, not written: {one.stored}"
    return f"{'would be row' if only_shown else 'row'} {one.row}: {one.stored}"


def _share_pack(given: argparse.Namespace) -> int:
    from kit.report.share.command import share

    return DONE if share(given, today=_today(), say=print, ask=_ask) else NOT_WHOLE


def _ask(question: str) -> str:
    """The answer typed; no where nobody is there to type."""
    try:
        return input(question)
    except EOFError:
        print("no (nobody answered; --yes writes it without asking)")
        return "no"


def _pool_packs(given: argparse.Namespace) -> int:
    from kit.report.share.command import pool

    well = pool(given, say=print, warn=lambda line: print(f"season: {line}", file=sys.stderr))
    return DONE if well else NOT_WHOLE


def _run(parts: Parts) -> Callable[[argparse.Namespace], int]:
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
            seed=given.seed,
            fresh=given.fresh,
            language=given.language,
            pdf=given.pdf,
            today=_today(),
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


def _today() -> date:
    return date.today()  # noqa: DTZ011  records are local and naive by the day


if __name__ == "__main__":
    sys.exit(main())
