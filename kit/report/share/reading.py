"""Reading a pack that nobody need trust: every claim is checked before it is believed, nothing is unpacked to disk.

A pack is refused with one sentence when it is no zip of ours: files other than ours (so no path can lead elsewhere),
names twice, links, locks, more bytes than claimed or than any honest pack has, hashes that do not match, forms this
kit does not know, bytes that are not UTF-8, words that are not the record sheets', numbers that are none.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kit.errors import KitError
from kit.report.share import form
from kit.report.share.cells import Columns, columns_of
from kit.report.share.pack import DESCRIPTOR, PAGE

MOST_BYTES = 20_000_000
"""Of a pack's file; two thousand apiaries make some ten million."""
MOST_UNPACKED = 60_000_000
MOST_RATIO = 200
"""Unpacked over packed of one file; tables of ours reach some twenty."""
MOST_DESCRIPTOR = 200_000
FILES = frozenset({DESCRIPTOR, PAGE, *(f"{name}.csv" for name in form.TABLES)})
HEX = re.compile(r"[0-9a-f]{32}")
WEEK = re.compile(r"(19|20)[0-9][0-9]-W(0[1-9]|[1-4][0-9]|5[0-3])")
TOLD = re.compile(f"{form.EXACT}|{form.IN_CLASSES}")
ENCRYPTED = 0x1
WAYS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
BROKEN = (zipfile.BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError)
"""What the library raises on a zip that is none, or not whole."""


class RefusedError(KitError):
    """A pack that cannot be pooled; the text says why and what to do."""


@dataclass(frozen=True)
class Read:
    """A pack as read: its marks, and its tables column by column.

    Parameters
    ----------
    operation : str
        Key of the operation.
    number : int
        Running number among its packs.
    season : int
        Start year.
    week : str
        ISO week of its records' last day.
    minimum : int
        Smallest group it was made with.
    tables : mapping
        Name to column to cells; numbers float (NaN for empty), the rest text.
    digest : str
        sha256 of the file.
    version : int
        Of its form.
    exact : bool
        Hives as counted, not in classes.
    """

    operation: str
    number: int
    season: int
    week: str
    minimum: int
    tables: dict[str, Columns]
    digest: str
    version: int = form.VERSION
    exact: bool = False


def find_packs(given: Sequence[Path]) -> Iterator[Path]:
    """Every zip among the files and folders given, each once, in the order of their paths."""
    found = {p for path in given for p in (sorted(path.rglob("*.zip")) if path.is_dir() else [path])}
    yield from sorted(found)


def read_pack(path: Path) -> Read:
    """Read one pack.

    Raises
    ------
    RefusedError
        With a sentence, when it is not a whole and honest pack of a known form.
    """
    return read_content(content_of(path))


def read_content(content: bytes) -> Read:
    """Read a pack from its bytes; otherwise as `read_pack`."""
    try:
        files = _files(content)
        about = _about(files[DESCRIPTOR])
        version = about["form"]["version"]
        tables = {name: columns_of(files[f"{name}.csv"], name, version) for name in _described(about, files)}
    except RefusedError:
        raise
    except KitError as error:
        raise RefusedError(str(error)) from error
    except RecursionError as error:
        raise RefusedError("its description is nested without end; ask for the pack again") from error
    if form.OPERATION not in tables or len(tables[form.OPERATION]["hives"]) != 1:
        raise RefusedError("it does not say what operation it stands for, in one row; ask for the pack again")
    return Read(
        operation=about["operation"],
        number=about["number"],
        season=about["season"],
        week=about["as_of_week"],
        minimum=about["smallest_group"],
        tables=tables,
        digest=hashlib.sha256(content).hexdigest(),
        version=version,
        exact=_hives_told(about) == form.EXACT,
    )


def content_of(path: Path) -> bytes:
    """The bytes of a pack's file.

    Raises
    ------
    RefusedError
        With a sentence, when it is a link, too large for a pack, or cannot be read.
    """
    try:
        held = path.lstat()
        if not stat.S_ISREG(held.st_mode):
            raise RefusedError("it is a link or no plain file; give the pack itself")
        if held.st_size > MOST_BYTES:
            raise RefusedError(f"it has {held.st_size / 1e6:.0f} MB, more than any pack of ours; ask for it again")
        return path.read_bytes()
    except OSError as error:
        raise RefusedError(f"it cannot be read: {error.strerror}") from error


def _files(content: bytes) -> dict[str, bytes]:
    """Files of the zip by name; the page is for people and not opened."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as book:
            entries = book.infolist()
            _refuse_entries(entries)
            return {entry.filename: _unpacked(book, entry) for entry in entries if entry.filename != PAGE}
    except BROKEN as error:
        raise RefusedError("it is no zip file, or not a whole one; ask for it again") from error


def _refuse_entries(entries: Sequence[zipfile.ZipInfo]) -> None:
    names = [entry.filename for entry in entries]
    # The name as it stands in the file, before the library cuts it at a zero byte or turns its strokes.
    strange = [entry.orig_filename for entry in entries if entry.orig_filename not in FILES]
    if strange:
        raise RefusedError(f"it holds the file {printable(strange[0])}, which is none of a pack's; ask for it again")
    if len(set(names)) < len(names):
        raise RefusedError("it holds a file twice; ask for it again")
    if DESCRIPTOR not in names:
        raise RefusedError(f"it lacks {DESCRIPTOR}; ask for it again")
    for entry in entries:
        _refuse_entry(entry)
    if sum(entry.file_size for entry in entries) > MOST_UNPACKED:
        raise RefusedError(f"it claims to unpack to more than {MOST_UNPACKED / 1e6:.0f} MB; ask for it again")


def _refuse_entry(entry: zipfile.ZipInfo) -> None:
    if entry.flag_bits & ENCRYPTED or entry.compress_type not in WAYS:
        raise RefusedError(f"{entry.filename} is locked or packed in another way; ask for it again")
    if stat.S_IFMT(entry.external_attr >> 16) not in (0, stat.S_IFREG):
        raise RefusedError(f"{entry.filename} is a link or no plain file; ask for it again")
    if entry.file_size > MOST_RATIO * max(entry.compress_size, 1000):
        raise RefusedError(f"{entry.filename} unpacks to far more than it holds; ask for it again")


def _unpacked(book: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    with book.open(entry) as file:
        content = file.read(entry.file_size + 1)
    if len(content) != entry.file_size:
        raise RefusedError(f"{entry.filename} is not as long as it claims; ask for it again")
    return content


def _about(content: bytes) -> dict[str, Any]:
    if len(content) > MOST_DESCRIPTOR:
        raise RefusedError(f"{DESCRIPTOR} is longer than any of ours; ask for it again")
    try:
        about = json.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, ValueError) as error:
        raise RefusedError(f"{DESCRIPTOR} is not JSON in UTF-8; ask for it again") from error
    named = about.get("form") if isinstance(about, dict) else None
    if not isinstance(named, dict) or named.get("name") != form.FORM:
        raise RefusedError("it is not a pack of this kit; ask for one made with `season share`")
    if type(named.get("version")) is not int or named["version"] not in form.VERSIONS:
        raise RefusedError(
            f"its form has the version {printable(str(named.get('version')))}, which this kit does not know"
        )
    if not _marked(about):
        raise RefusedError(f"{DESCRIPTOR} does not say whose, which season or which week; ask for it again")
    return dict(about)


def _marked(about: dict[str, Any]) -> bool:
    """Whether the marks are there and of their kind."""
    numbers = (
        (about.get("number"), 1, 100_000),
        (about.get("season"), 1990, 2199),
        (about.get("smallest_group"), 1, 1000),
    )
    texts = ((about.get("operation"), HEX), (about.get("as_of_week"), WEEK), (_hives_told(about), TOLD))
    return all(type(n) is int and low <= n <= high for n, low, high in numbers) and all(
        isinstance(text, str) and known.fullmatch(text) for text, known in texts
    )


def _hives_told(about: dict[str, Any]) -> object:
    """How it tells hives; the first form knew only one way and did not say."""
    return form.EXACT if about["form"]["version"] == 1 else about.get("hives_told")


def _described(about: dict[str, Any], files: dict[str, bytes]) -> list[str]:
    """Names of the tables, each with a file of the hash described."""
    listed = about.get("resources")
    if not isinstance(listed, list) or not all(isinstance(r, dict) for r in listed):
        raise RefusedError(f"{DESCRIPTOR} lists no tables; ask for it again")
    hashes = {str(r.get("path")): str(r.get("hash")) for r in listed}
    if set(hashes) != set(files) - {DESCRIPTOR} or len(hashes) < len(listed):
        raise RefusedError("its tables are not those that it lists; ask for it again")
    for name, said in hashes.items():
        if f"sha256:{hashlib.sha256(files[name]).hexdigest()}" != said:
            raise RefusedError(f"{name} is not as it was sent: its hash does not match; ask for it again")
    return [name.removesuffix(".csv") for name in hashes]


def printable(text: str) -> str:
    """A strange text as it may stand in a sentence.

    Examples
    --------
    >>> printable("../x" + chr(27))
    "'../x\\\\x1b'"
    """
    return repr(text[:60])
