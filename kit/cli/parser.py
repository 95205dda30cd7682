"""The command line, described once; the help of every command is made from it."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from kit.cli import acts
from kit.cli.acts import Parts

START = """examples
  season new my-season      blank record sheets, with help on every column
  season check my-season    what was read, what was set aside, and why
  season run my-season      review, plan and medicine record, for everything
  season today my-season    what is due, and where to go first

Each command has its own help with an example: season note --help
The label, the law and licensed practice decide; the pages say so too."""


class Command(NamedTuple):
    """What stands in the list of commands, what its own help adds, and how it is typed."""

    help: str
    more: str
    examples: tuple[str, ...]
    takes: str = "FOLDER"


COMMANDS: dict[str, Command] = {
    "new": Command(
        "blank record sheets with help on every column",
        "settings, apiaries and log are enough to start; nothing that is there is overwritten.",
        ("season new my-season", "season new my-season.xlsx --workbook"),
    ),
    "check": Command(
        "what was read, what was set aside, and why",
        "Every row that cannot be used is named with its place, the reason and what to do.",
        ("season check my-season",),
    ),
    "note": Command(
        "one checked line into the log",
        "The line is shown as it will be stored, or refused with the reason; other lines are never touched.",
        (
            'season note my-season "12 Oct, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"',
            "season note my-season --from visits.txt",
        ),
        takes="FOLDER [LINE ...]",
    ),
    "review": Command(
        "the season review alone",
        "Where each colony stood, what each treatment did, what lateness cost.",
        ('season review my-season --apiary "Far Meadow" --as-of 2025-11-20',),
    ),
    "plan": Command(
        "next season's plan alone (works out the review it stands on)",
        "Which rounds on which days, with what kit; once the season has begun, what is left of it.",
        ("season plan my-season", "season plan my-season --as-of 2026-10-12"),
    ),
    "record": Command(
        "the medicine record alone",
        "Acquisition, administration, disposal; with --colony or --apiary also a sheet for the buyer.",
        ("season record my-season --jurisdiction gb", "season record my-season --colony M3"),
    ),
    "today": Command(
        "what is due and where to go first",
        "Ten lines in the terminal, and a page in ./season-<label>-today unless --out says otherwise.",
        ("season today my-season",),
    ),
    "run": Command(
        "all of it",
        "Review, plan and medicine record; a second run makes only what has changed.",
        ("season run my-season", "season run my-season --out pages --pdf"),
    ),
    "share": Command(
        "a pack for your association, shown before it is written",
        "Shows exactly what would go out, then asks. Private by default: no names, places, notes or dates go along.",
        ("season share my-season", "season share my-season --without effort --squares region"),
    ),
    "pool": Command(
        "an association's report from many packs",
        "Packs that cannot be read are named and left; groups too small to tell are left out.",
        ("season pool packs --out report", "season pool packs --for 0123456789abcdef --pdf"),
        takes="PACK [PACK ...]",
    ),
    "lab": Command(
        "the interactive notebooks, opened in JupyterLab on your records",
        "Copies stand in notebooks/ of the folder; edited ones are never overwritten. Stop with Ctrl-C.",
        ("season lab my-season",),
    ),
}
RUNS: dict[str, Parts] = {
    "review": frozenset({"review"}),
    "plan": frozenset({"plan"}),
    "record": frozenset({"record"}),
    "today": frozenset({"today"}),
    "run": frozenset({"review", "plan", "record"}),
}
"""Commands that write pages, and the parts they write."""


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="season",
        description="A bee farmer's year of mite control: record sheets in, season review and next-season plan out.",
        epilog=START,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=InAnyOrder)
    for name, said in COMMANDS.items():
        _described()[name](_added(commands, name, said))
    return top


COMPLETING = "_ARGCOMPLETE"
"""Set in the environment by the library behind the tab key."""


class InAnyOrder(argparse.ArgumentParser):
    """Takes options before, between and after lines or packs."""

    _mixing = False

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """As of any parser; the way that mixes them asks this one again, for the options and then for the rest.

        While the tab key asks what may follow, words are taken as they stand.
        """
        if self._mixing or COMPLETING in os.environ:
            return super().parse_known_args(args, namespace)
        self._mixing = True
        try:
            return self.parse_known_intermixed_args(args, namespace)
        finally:
            self._mixing = False


def _described() -> dict[str, Callable[[argparse.ArgumentParser], None]]:
    runs = {name: _runs(parts) for name, parts in RUNS.items()}
    own = {"new": _new, "check": _check, "note": _note, "share": _share, "pool": _pool, "lab": _lab}
    return runs | own | {"record": _record}


def _added(commands: argparse._SubParsersAction[InAnyOrder], name: str, said: Command) -> argparse.ArgumentParser:
    typed = "\n  ".join(("examples" if len(said.examples) > 1 else "example", *said.examples))
    return commands.add_parser(
        name,
        usage=f"season {name} [options] {said.takes}",
        help=said.help,
        description=said.more,
        epilog=typed,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def _new(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="made if missing; nothing in it is overwritten")
    command.add_argument("--workbook", action="store_true", help="one .xlsx workbook instead of a folder of CSV files")
    command.set_defaults(act=acts.make_sheets)


def _check(command: argparse.ArgumentParser) -> None:
    _records_arguments(command)
    command.set_defaults(act=acts.check_records)


def _note(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="record sheets with a log.csv")
    command.add_argument("lines", nargs="*", metavar="LINE", help="date, apiary, what was done, parted by commas")
    command.add_argument("--from", dest="batch", type=Path, metavar="FILE", help="a text file, one line for each visit")
    command.add_argument("--show", action="store_true", help="only show what would be stored")
    command.set_defaults(act=acts.add_notes)


def _lab(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="record sheets; copies stand in notebooks/ there")
    command.set_defaults(act=acts.open_lab)


def _runs(parts: Parts) -> Callable[[argparse.ArgumentParser], None]:
    return lambda command: _runner(command, parts)


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
    _cluster(command)
    command.add_argument("--seed", type=int, default=1, metavar="N", help="of the random draws; default 1")
    command.add_argument(
        "--language", default="", metavar="CODE", help="of an apiary's first sentences: en or de; default en"
    )
    command.add_argument("--fresh", action="store_true", help="work out and make all anew, not only what has changed")
    command.add_argument("--pdf", action="store_true", help="a PDF beside each page, through an installed Chromium")
    command.set_defaults(act=acts.run(parts))


def _record(command: argparse.ArgumentParser) -> None:
    _runner(command, RUNS["record"])
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
    command.set_defaults(act=acts.share_pack)


def _pool(command: argparse.ArgumentParser) -> None:
    command.add_argument("packs", type=Path, nargs="+", metavar="PACK", help="packs, or folders searched for them")
    command.add_argument("--out", type=Path, default=Path("pool"), metavar="OUT", help="where to write; default ./pool")
    command.add_argument("--season", type=int, metavar="YEAR", help="the year it starts in; default the packs' latest")
    command.add_argument(
        "--for", dest="keys", action="append", default=[], metavar="KEY", help="where that member stands"
    )
    _cluster(command)
    command.add_argument("--releases", type=Path, metavar="FILE", help="list of earlier reports; default beside OUT")
    command.add_argument("--pdf", action="store_true", help="a PDF beside the page, through an installed Chromium")
    _smallest_group(command, "members")
    command.set_defaults(act=acts.pool_packs)


def _cluster(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--cluster", default="", metavar="ADDRESS", help="of a cluster's scheduler that shares the work"
    )


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
