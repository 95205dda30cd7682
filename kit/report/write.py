"""Files written whole or not at all, tables in one plain form that no spreadsheet runs."""

from __future__ import annotations

import csv
import errno
import io
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

import pandas as pd

from kit.errors import CannotGoOnError
from kit.records.formulas import guarded


def write_text(path: Path, text: str) -> None:
    """Write `text` as UTF-8 with its line ends as they are; otherwise as `write_bytes`."""
    write_bytes(path, text.encode("utf-8", errors="replace"))


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file; a stop in between leaves the earlier file whole.

    Raises
    ------
    CannotGoOnError
        When the place cannot be written to.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def cannot_write(path: Path, error: OSError) -> CannotGoOnError:
    """The sentence for a place that takes no more: what, why, what to do."""
    remedy = REMEDIES.get(error.errno or 0, "look at the folder")
    return CannotGoOnError(f"cannot write {path.name}: {error.strerror}; {remedy}; earlier files are whole")


REMEDIES = {
    errno.ENOSPC: "make room or give another folder with --out",
    errno.EDQUOT: "make room or give another folder with --out",
    errno.EROFS: "give a folder that can be written to with --out",
    errno.EACCES: "give a folder that can be written to with --out",
}
"""What to do about a place that takes no more, by what the system said."""


def write_table(path: Path, table: pd.DataFrame) -> None:
    """Write a table as CSV: comma, LF, ISO dates, six significant digits, an empty cell for what is not recorded."""
    write_text(path, csv_text(table))


def csv_text(table: pd.DataFrame) -> str:
    """The table as CSV text.

    Examples
    --------
    >>> csv_text(pd.DataFrame({"a": [1 / 3, 2.0], "b": ["=x", "-1"]}))
    "a,b\\n0.333333,'=x\\n2,-1\\n"
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([guarded(str(name)) for name in table.columns])
    writer.writerows([_cell(value) for value in row] for row in table.itertuples(index=False, name=None))
    return out.getvalue()


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return guarded(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or pd.isna(value):
        return ""
    return value.strftime("%Y-%m-%d") if isinstance(value, pd.Timestamp) else f"{float(value):.6g}"
