"""`season pool`: packs in, the association's report out; every pack that is not pooled is named with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import kit
from kit.errors import CannotGoOnError
from kit.report.execute import NotebookFailedError, execute, read_notebook
from kit.report.export import Sheet, page_of
from kit.report.pdf import browser, print_pages
from kit.report.place import MANIFEST, claim, manifest_text
from kit.report.progress import bar
from kit.report.share.form import LEAST_GROUP, refuse_small
from kit.report.share.groups import standing_out
from kit.report.share.keys import read_keys
from kit.report.share.member import Member, told_by
from kit.report.share.pool import pool_told
from kit.report.share.reading import RefusedError, content_of, find_packs, printable
from kit.report.share.released import LEDGER, keep, read_releases, release_of, warnings
from kit.report.share.words import standing
from kit.report.write import write_table, write_text
from kit.season.findings import Findings, save
from kit.workers import map_ordered

PAGE, NOTEBOOK = "association.html", "notebooks/association.ipynb"


@dataclass
class Pooled:
    """What a pool left behind.

    Parameters
    ----------
    out : Path
        The folder written into.
    members : list of Member
        In the pool.
    findings : Findings
        Of the pool.
    not_pooled : list of str
        A sentence for each pack left out.
    standing_out : int
        Packs matched by fewer than the minimum where region and number of hives are known.
    warnings : list of str
        What this release and an earlier one together would tell.
    standings : list of str
        A sentence for each member asked for.
    failed : list of str
        What could not be made.
    """

    out: Path
    members: list[Member] = field(default_factory=list)
    findings: Findings = field(default_factory=lambda: Findings({}))
    not_pooled: list[str] = field(default_factory=list)
    standing_out: int = 0
    warnings: list[str] = field(default_factory=list)
    standings: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


def pool_all(  # noqa: PLR0913  the command's own options, keyword only
    packs: Sequence[Path],
    *,
    out: Path,
    season: int | None,
    minimum: int,
    keys: Sequence[str],
    pdf: bool,
    releases: Path | None = None,
    cluster: str = "",
) -> Pooled:
    """Pool packs and write the report.

    Parameters
    ----------
    packs : sequence of Path
        Files, or folders searched for zips.
    out : Path
        Where to write; ours or empty.
    season : int or None
        Start year; None for the latest among the packs.
    minimum : int
        Smallest group of members told.
    keys : sequence of str
        Operation keys, or key files, of members who want to know where they stand.
    pdf : bool
        A PDF beside the page.
    releases : Path, optional
        The list of earlier reports; beside `out` without it.
    cluster : str
        Address of a cluster that reads the packs; '' reads them here, with the same outcome.

    Raises
    ------
    CannotGoOnError
        When there is no pack to pool, fewer members than the minimum, or no place to write.
    """
    refuse_small(minimum)
    if pdf:
        browser()
    made = Pooled(out)
    found, year = _gather(packs, season, made, cluster)
    if len(found) < minimum:
        raise CannotGoOnError(
            f"{len(found)} members can be pooled, fewer than the smallest group of {minimum}"
            + f"; --minimum {LEAST_GROUP} is the least that protects anybody" * (minimum > LEAST_GROUP)
            + "".join(f"\n  {sentence}" for sentence in made.not_pooled[:20])
        )
    made.members, made.standing_out = found, standing_out(found, minimum=minimum)
    made.findings, told = pool_told(found, year, minimum=minimum)
    made.standings = [_standing(key, made) for key in keys]
    claim(out)
    _write(made, pdf)
    kept = releases or out.resolve().parent / LEDGER
    earlier, now = read_releases(kept), release_of(told, year, out.name)
    made.warnings = warnings(earlier, now, minimum=minimum)
    keep(kept, earlier, now)
    return made


def _gather(packs: Sequence[Path], season: int | None, made: Pooled, cluster: str = "") -> tuple[list[Member], int]:
    """One member for each operation of the season, the newest pack of each; few packs are held at a time."""
    newest: dict[tuple[int, str], tuple[Member, Path]] = {}
    paths = list(find_packs(packs))
    with bar("reading packs") as progress:
        found = map_ordered(told_by, map(_content, paths), cluster=cluster)
        for done, (path, one) in enumerate(zip(paths, found, strict=True), 1):
            if isinstance(one, Member):
                _put(newest, (one.season, one.operation), (one, path), made)
            else:
                made.not_pooled.append(f"{printable(path.name)}: {one}")
            progress(done, len(paths), path.name)
    year = season or max((year for year, _ in newest), default=0)
    for (other, _), (_, path) in newest.items():
        if other != year:
            made.not_pooled.append(f"{printable(path.name)}: it is of season {other}, not {year}")
    return [member for (one, _), (member, _) in sorted(newest.items(), key=lambda kept: kept[0]) if one == year], year


def _content(path: Path) -> bytes | str:
    """Of a pack, or why there is none: what goes to a cluster, whose workers need not see this disk."""
    try:
        return content_of(path)
    except RefusedError as error:
        return str(error)


def _put(
    newest: dict[tuple[int, str], tuple[Member, Path]], key: tuple[int, str], new: tuple[Member, Path], made: Pooled
) -> None:
    """The later week counts, and of one week the higher running number; the same file twice is the same pack."""
    held = newest.get(key)
    if held is None:
        newest[key] = new
        return
    first, second = sorted((held, new), key=lambda pair: (pair[0].week, pair[0].number, pair[0].digest))
    newest[key] = second
    if first[0].digest != second[0].digest:
        made.not_pooled.append(f"{printable(first[1].name)}: another pack of the same operation is newer")


def _standing(key: str, made: Pooled) -> str:
    """The sentence for a member named by key or key file."""
    wanted = read_keys(Path(key)).operation if Path(key).is_file() else key.strip().casefold()
    member = next((member for member in made.members if member.operation == wanted), None)
    if member is None:
        return f"No pack with the key {printable(key)} is in this pool."
    return standing(member, made.members, made.findings)


def _write(made: Pooled, pdf: bool) -> None:
    out, facts = made.out, made.findings.facts
    save(made.findings, out / "pool")
    for name, table in made.findings.tables.items():
        write_table(out / "tables" / f"{name}.csv", table)
    write_text(out / "not_pooled.txt", "".join(f"{sentence}\n" for sentence in made.not_pooled))
    try:
        execute("association", out / NOTEBOOK, {"pool": "../pool"})
    except NotebookFailedError as error:
        made.failed.append(f"{PAGE}: {error}; the notebook with the error is {NOTEBOOK}")
    sheet = Sheet(
        title="What our seasons say together",
        kicker=f"Season {facts['season']}, {facts['members']} members",
        aside="",
        made=f"Made with kit {kit.__version__} from packs of members; no group below {facts['minimum']} is shown.",
        notebook=NOTEBOOK,
    )
    write_text(out / PAGE, page_of(read_notebook(out / NOTEBOOK), sheet))
    if pdf:
        with bar("printing") as progress:
            made.failed += print_pages([out / PAGE], progress)
    told = {"complete": True, "season": facts["season"], "members": facts["members"], "minimum": facts["minimum"]}
    write_text(
        out / MANIFEST, manifest_text({"made_by": "season-kit", "kit": kit.__version__, "pages": [PAGE], **told})
    )
