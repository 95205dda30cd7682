"""What the commands `share` and `pool` do with their arguments: say, ask, write; the words for a terminal."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from datetime import date

from kit.report.share.alike import groups_told
from kit.report.share.form import Choices, choose
from kit.report.share.run import PAGE, Pooled, pool_all
from kit.report.share.send import prepare

Say = Callable[[str], None]
MOST_NAMED = 20
"""So many packs left out are named in a terminal; all of them in the file."""


def share(given: Namespace, *, today: date, say: Say, ask: Callable[[str], str]) -> bool:
    """Show what would go out, ask, and write the pack; whether it was written, and whole where `strict` asks for it.

    Parameters
    ----------
    given : Namespace
        The command's arguments.
    today : date
        The day of the run.
    say, ask : callable
        A line out; a question, and the answer typed.
    """
    ready = prepare(
        given.folder,
        out=given.out,
        choices=_ticked(given),
        season=given.season,
        as_of=given.as_of,
        seed=given.seed,
        today=today,
        key_file=given.key,
    )
    for line in ready.pack.summary():
        say(line)
    if ready.set_aside:
        say(f"{ready.set_aside} rows of the sheets were set aside and are not in it; `season check` names them.")
    if not given.yes:
        say(f"Every row of it, to look at before you answer: {ready.preview}")
    agreed = given.yes or ask("Write this pack? [yes/no] ").strip().casefold() in ("y", "yes")
    if not agreed:
        ready.withdraw()
        say("Nothing was written.")
        return False
    say(f"The pack: {ready.send()}; every row of it stands on the page {ready.preview.name} inside it.")
    say(f"Your key {ready.keys.operation}, kept in {ready.key_file}; keep that file, and send it to nobody.")
    return not (given.strict and ready.set_aside)


def _ticked(given: Namespace) -> Choices:
    return choose(
        tuple(given.also),
        tuple(given.without),
        minimum=given.minimum,
        totals_only=given.totals_only,
        exact=given.exact_hives,
        squares=given.squares,
        among=groups_told(given.among, minimum=given.minimum) if given.among else None,
    )


def pool(given: Namespace, *, say: Say, warn: Say) -> bool:
    """Pool packs and write the report; whether all is well."""
    made = pool_all(
        given.packs,
        out=given.out,
        season=given.season,
        minimum=given.minimum,
        keys=given.keys,
        pdf=given.pdf,
        releases=given.releases,
        cluster=given.cluster,
    )
    say(f"Open {made.out / PAGE}: {len(made.members)} members, season {made.findings.facts['season']}")
    _not_pooled(made, say)
    if made.standing_out:
        say(
            f"{made.standing_out} packs might be recognised by whoever knows their keepers' region and number of "
            f"hives: keep packs to yourselves.{_next_packs(made)}"
        )
    for sentence in made.standings:
        say(sentence)
    for sentence in [*made.failed, *made.warnings]:
        warn(sentence)
    return not made.failed and not made.warnings


def _next_packs(made: Pooled) -> str:
    if made.findings.tables["crossed"].empty:
        return ""
    return f" Ask for the next with `season share --among {made.out / 'tables' / 'crossed.csv'}`."


def _not_pooled(made: Pooled, say: Say) -> None:
    if not made.not_pooled:
        return
    say(f"{len(made.not_pooled)} packs were not pooled; each with its reason: {made.out / 'not_pooled.txt'}")
    for sentence in made.not_pooled[:MOST_NAMED]:
        say(f"  {sentence}")
