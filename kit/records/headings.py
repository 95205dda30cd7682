"""Which row of a sheet holds the headings, and which column each heading means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from kit.records.column import Table
from kit.records.tables import ORIGIN, STATED

SEARCHED_ROWS = 10
"""Rows looked through for the headings, below titles and blank lines."""

UNIT_ENDINGS = ("_g", "_ml", "_min", "_s", "_c", "_pct", "_days")


class Headings(NamedTuple):
    """The headings of a sheet.

    Parameters
    ----------
    at : int
        Position of the heading row, from 0; -1 when no row names a documented column.
    names : tuple of str
        The name of each column: a documented one, or the heading as written.
    unknown : tuple of (str, str)
        Headings that are no documented column of the sheet, with what is said about each.
    """

    at: int
    names: tuple[str, ...]
    unknown: tuple[tuple[str, str], ...]


def key(heading: str) -> str:
    """A heading without case, spaces, hyphens and underscores.

    Examples
    --------
    >>> key(" Air-C ")
    'airc'
    """
    return re.sub(r"[\W_]+", "", heading.casefold())


@lru_cache(maxsize=4096)
def column_named(heading: str, table: Table) -> str:
    """The documented column a heading means, "" when none.

    Examples
    --------
    >>> from kit.records.tables import TABLES
    >>> column_named("Dose (g)", TABLES["treatments"]), column_named("Drive", TABLES["apiaries"])
    ('dose', 'drive_min')
    """
    if heading.lower() == heading.upper():
        return ""
    known, short = _keys(table)
    bare = re.sub(r"[(\[].*?[)\]]", "", heading)
    for spelled in (heading, bare):
        if key(spelled) in known:
            return known[key(spelled)]
    return short.get(key(bare), "") or known.get(key(_without_unit(bare.strip().casefold())), "")


@cache
def _keys(table: Table) -> tuple[dict[str, str], dict[str, str]]:
    """The columns by their keys, and by their keys without a unit at the end."""
    bare = {key(_without_unit(name)): name for name in table.names if _without_unit(name) not in table.names}
    return {key(name): name for name in table.names}, bare


def unit_named(heading: str) -> str:
    """The unit a heading carries in brackets or as an ending: `g` of `Dose (g)` and of `dose_g`; "" when none."""
    bracket = re.search(r"[(\[]\s*(.*?)\s*[)\]]", heading)
    ending = re.search(r"_([a-z]+)$", heading.strip().casefold())
    return (bracket or ending or ["", ""])[1].casefold()


def matched(cells: Sequence[str], table: Table) -> int:
    """How many cells of a row are headings of the table."""
    return len({column_named(cell, table) for cell in cells if cell.strip()} - {""})


def find_headings(rows: Sequence[Sequence[str]], table: Table) -> Headings:
    """The headings among the first rows of a sheet: the row that names the most documented columns.

    When no row names one, `at` is -1: every row is data, in columns that are called by their number.
    """
    first = next((n for n, row in enumerate(rows) if any(cell.strip() for cell in row)), 0)
    looked = range(first, min(len(rows), first + SEARCHED_ROWS))
    at = max(looked, key=lambda n: (matched(rows[n], table), -n), default=-1)
    if at < 0 or matched(rows[at], table) == 0:
        return _named(-1, [""] * max((len(row) for row in rows), default=0), table)
    width = max(len(row) for row in rows[at:])
    return _named(at, [cell.strip() for cell in [*rows[at], *[""] * (width - len(rows[at]))]], table)


def _named(at: int, cells: list[str], table: Table) -> Headings:
    names: list[str] = []
    unknown: list[tuple[str, str]] = []
    for n, cell in enumerate(cells, start=1):
        name = column_named(cell, table)
        said = "" if name else "not a documented column: kept and passed through"
        if name in names:
            name, said = "", f"a second column for {name}: kept under its own heading"
        if said and cell:
            unknown.append((cell, said))
        names.append(name or _free(cell or f"column {n}", [*names, *table.names, *STATED, *ORIGIN]))
    return Headings(at, tuple(names), tuple(unknown))


def _free(name: str, taken: Sequence[str]) -> str:
    n = 1
    free = name
    while free in taken:
        n += 1
        free = f"{name} {n}"
    return free


def _without_unit(name: str) -> str:
    return next((name.removesuffix(ending) for ending in UNIT_ENDINGS if name.endswith(ending)), name)
