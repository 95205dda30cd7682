"""What was found out, held in one plain shape that is computed once, saved once and rendered many times.

Saved as JSON: `operation.json` for the whole and one file for each apiary with its slice, so that a
notebook for an apiary opens its own small file. No pickle; dates as ISO text; a missing number as null.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from kit.errors import CannotGoOnError

INDEX = "files.json"
"""Name of a file beside a saved review and plan: apiary to the name of its file and its folder."""
OPERATION = "operation"
"""Name of the file that holds the whole; no apiary's file may take it."""
SHARED_FACTS = frozenset(
    {"keeper", "currency", "jurisdiction", "season", "season_start", "season_end", "as_of", "in_season"}
    | {"treat_by", "treat_above_pct", "problems", "remarks", "start", "end", "heading", "date_that_matters"}
)
"""Facts of the whole operation that the file of one apiary holds too."""
SHARED_TABLES = frozenset({"problems", "weather"})
"""Tables of which it holds the rows that name no apiary too."""


@dataclass(frozen=True)
class Findings:
    """Facts of the operation, facts by apiary, and tables.

    Parameters
    ----------
    facts : mapping
        Of the whole operation; values of JSON only (dates as ISO text).
    apiary_facts : mapping of mapping
        By apiary; values of JSON only.
    tables : mapping of DataFrame
        By name. A column `apiary` lets a table be sliced; dates are `datetime64`.
    """

    facts: Mapping[str, Any]
    apiary_facts: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    tables: Mapping[str, pd.DataFrame] = field(default_factory=dict)

    def of(self, apiary: str) -> Findings:
        """The slice of one apiary: its own facts, and of each table the rows that name it.

        Raises
        ------
        CannotGoOnError
            When the apiary is unknown.
        """
        if apiary not in self.apiary_facts:
            known = ", ".join(self.apiary_facts) or "none"
            raise CannotGoOnError(f"apiary {apiary!r} is not in this review; it holds: {known}")
        tables = {
            name: table[table["apiary"] == apiary].reset_index(drop=True) if "apiary" in table else table
            for name, table in self.tables.items()
        }
        return Findings(self.facts, {apiary: self.apiary_facts[apiary]}, tables)

    def page_of(self, apiary: str) -> Findings:
        """The slice of one apiary without what only the whole operation's pages show.

        So its file, and the page made from it, stay the same when only other apiaries' records change.

        Raises
        ------
        CannotGoOnError
            When the apiary is unknown.
        """
        own = self.of(apiary)
        facts = {name: fact for name, fact in own.facts.items() if name in SHARED_FACTS}
        tables = {name: table for name, table in own.tables.items() if "apiary" in table}
        for name in SHARED_TABLES & self.tables.keys():
            tables[name] = _for_all_or(apiary, self.tables[name])
        return Findings(facts, own.apiary_facts, tables)


def _for_all_or(apiary: str, table: pd.DataFrame) -> pd.DataFrame:
    return table[table["apiary"].isin(["", apiary])].reset_index(drop=True) if "apiary" in table else table


def file_names(apiaries: Iterable[str]) -> dict[str, str]:
    """A safe file name for each apiary; ids of letters, digits, `_` and `-` stay as they are.

    Returns
    -------
    dict
        Apiary to file name, unique also where a file system ignores case.

    Examples
    --------
    >>> file_names(["Far Meadow", "B-2", "b-2", "../x"])
    {'Far Meadow': 'Far_Meadow', 'B-2': 'B-2', 'b-2': 'b-2_2', '../x': 'x'}
    """
    names: dict[str, str] = {}
    taken = {OPERATION, "con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
    for apiary in apiaries:
        safe = "".join(c if c.isascii() and (c.isalnum() or c in "_-") else "_" for c in apiary)
        stem = safe.strip("_")[:60] or "apiary"
        stem = apiary if stem == apiary else stem
        name, n = stem, 1
        while name.casefold() in taken:
            n += 1
            name = f"{stem}_{n}"
        taken.add(name.casefold())
        names[apiary] = name
    return names


def save(findings: Findings, folder: Path) -> None:
    """Write `operation.json` and one file for each apiary into `folder`, made if missing."""
    folder.mkdir(parents=True, exist_ok=True)
    _write(findings, folder / f"{OPERATION}.json")
    for apiary, name in file_names(findings.apiary_facts).items():
        _write(findings.page_of(apiary), folder / f"{name}.json")


def read(path: Path) -> Findings:
    """Read one saved file back.

    Raises
    ------
    CannotGoOnError
        When there is no such file or it is not one of ours.
    """
    try:
        return from_text(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise CannotGoOnError(f"{path.name} is not a saved review: {error}; run `season review` again") from error


def from_text(text: str) -> Findings:
    """Findings from their JSON; raises ValueError, KeyError or TypeError on any other text."""
    saved = json.loads(text)
    tables = {name: _frame(table) for name, table in saved["tables"].items()}
    return Findings(saved["facts"], saved["apiary_facts"], tables)


def to_text(findings: Findings) -> str:
    """Findings as JSON; numbers come back from it to the last digit."""
    plain = {
        "facts": findings.facts,
        "apiary_facts": findings.apiary_facts,
        "tables": {name: _plain(table) for name, table in findings.tables.items()},
    }
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=1)


def _write(findings: Findings, path: Path) -> None:
    part = path.with_suffix(".part")
    part.write_text(to_text(findings), encoding="utf-8")
    part.replace(path)


def _plain(table: pd.DataFrame) -> dict[str, Any]:
    columns = {}
    for name in table.columns:
        column = table[name]
        is_date = pd.api.types.is_datetime64_any_dtype(column)
        values = column.dt.strftime("%Y-%m-%d") if is_date else column
        kind = "date" if is_date else "number" if pd.api.types.is_numeric_dtype(column) else "text"
        kind = "yes/no" if pd.api.types.is_bool_dtype(column) else kind
        columns[name] = {"kind": kind, "values": [None if pd.isna(v) else v for v in values.tolist()]}
    return columns


def _frame(columns: Mapping[str, Any]) -> pd.DataFrame:
    readers: dict[str, Callable[[list[Any]], pd.Series]] = {
        "date": lambda v: pd.to_datetime(pd.Series(v, dtype="object")),
        "number": lambda v: pd.to_numeric(pd.Series(v, dtype="object")),
        "yes/no": lambda v: pd.Series(v, dtype="bool"),
        "text": lambda v: pd.Series(v, dtype="str"),
    }
    return pd.DataFrame({name: readers[c["kind"]](c["values"]) for name, c in columns.items()})
