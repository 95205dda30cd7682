"""A member's way to a pack: read the sheets, show exactly what would go, write it once they agree."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kit.errors import CannotGoOnError
from kit.records.load import load
from kit.report.compute import reviewed
from kit.report.kept import Kept
from kit.report.progress import bar
from kit.report.share.draft import draft
from kit.report.share.form import NOWHERE, Choices
from kit.report.share.keys import KEY_FILE, Keys, read_keys, write_keys
from kit.report.share.pack import PAGE, Pack, pack_of
from kit.report.share.places import places_of
from kit.report.write import write_bytes, write_text


@dataclass(frozen=True)
class Prepared:
    """A pack that waits for its member's yes; `preview` is its page, already written.

    Parameters
    ----------
    pack : Pack
        Ready to be written.
    out : Path
        Folder it goes to.
    preview : Path
        The page to look at first.
    keys : Keys
        To be kept with this pack among those made.
    key_file : Path
        Where they are kept.
    set_aside : int
        Rows of the sheets that could not be used.
    """

    pack: Pack
    out: Path
    preview: Path
    keys: Keys
    key_file: Path
    set_aside: int

    def send(self) -> Path:
        """Write the pack and keep the keys; gives the pack's path.

        Raises
        ------
        CannotGoOnError
            When either cannot be written.
        """
        target = self.out / self.pack.name
        write_keys(self.key_file, self.keys.numbered(self.pack.draft.digest))
        write_bytes(target, self.pack.content)
        self.withdraw()
        return target

    def withdraw(self) -> None:
        """Take the preview away again."""
        self.preview.unlink(missing_ok=True)


def prepare(  # noqa: PLR0913  the command's own options, keyword only
    folder: Path,
    *,
    out: Path,
    choices: Choices,
    season: int | None,
    as_of: date | None,
    seed: int,
    today: date,
    key_file: Path | None = None,
) -> Prepared:
    """Everything up to the member's yes; a season that was read before is not read again.

    Parameters
    ----------
    folder : Path
        The record sheets.
    out : Path
        Folder for the pack.
    choices : Choices
        What may go.
    season, as_of, seed, today
        As for a review.
    key_file : Path, optional
        Where the member's keys are kept; beside the record sheets without it.

    Raises
    ------
    CannotGoOnError
        When there is nothing to share, or no place to write.
    """
    if out.exists() and not out.is_dir():
        raise CannotGoOnError(f"{out} is a file; give a folder with --out")
    kept = key_file or (folder if folder.is_dir() else folder.parent) / KEY_FILE
    keys = read_keys(kept)
    keys.telling(choices.squares or NOWHERE)
    records = load(folder, season=season, as_of=as_of, today=today)
    with bar("reading the season") as progress:
        found = reviewed(records, Kept(), seed=seed, progress=progress)
    sheet = records.tables["apiaries"]
    access = dict(zip(sheet["apiary"].astype(str), sheet["access"].astype(str), strict=True))
    drafted = draft(found, places_of(records), access, choices)
    keys = keys.telling(drafted.squares)
    pack = pack_of(drafted, keys)
    preview = out / PAGE
    write_text(preview, pack.page)
    return Prepared(pack, out, preview, keys, kept, records.set_aside)
