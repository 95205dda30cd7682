"""Records written by hand in a test: any tables as lists of dicts, the rest empty, typed as the loader does."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from types import SimpleNamespace
from typing import Any

import pandas as pd

from kit.records.season import Season
from kit.records.tables import ORIGIN, TABLES

HEADS = ("date", "apiary", "standing", "done", "dead", "cause", "weak", "light", "why_late", "wrong", "notes")
DATES = {
    "date", "from", "to", "removed", "written_on", "supers_on", "supers_off", "read_on", "expiry", "opened", "expires",
    "bought",
}  # fmt: skip
SETTINGS = {
    "keeper": "A. Tester", "currency": "£", "labour_per_hour": 15.0, "vehicle_per_hour": 10.0, "colony_value": 200.0,
    "work_hours_per_day": 8.0,
    "work_days": (0, 1, 2, 3, 4, 5), "people": 1, "few_max": 20, "group_size": 4, "min_air_c": 4.0,
    "treat_above_pct": 3.0, "winter_limit_pct": 3.0, "wanted_chance": 80.0, "climate": "maritime", "jurisdiction": "gb",
}  # fmt: skip


@dataclass
class ByHand:
    """Stands for `kit.records.load.Records`, attribute for attribute."""

    settings: Any
    season: Season
    as_of: date
    tables: dict[str, pd.DataFrame]
    heads: pd.DataFrame
    apiaries: tuple[str, ...]
    standing: dict[str, Any]
    given: frozenset[str] = frozenset()
    problems: pd.DataFrame = field(
        default_factory=lambda: frame(["file", "row", "column", "value", "problem", "remedy"], [])
    )
    account: pd.DataFrame = field(default_factory=lambda: frame(["table", "rows", "used", "set_aside", "later"], []))

    def in_season(self, name: str) -> pd.DataFrame:
        table = self.tables[name]
        inside = (table["date"] >= pd.Timestamp(self.season.start)) & (table["date"] <= pd.Timestamp(self.season.end))
        return table[inside].reset_index(drop=True)

    def hives(self, apiary: str, on: date) -> int | None:
        return self.standing.get(apiary)

    def shuffled(self, seed: int) -> ByHand:
        tables = {
            name: table.sample(frac=1, random_state=seed).reset_index(drop=True) for name, table in self.tables.items()
        }
        heads = self.heads.sample(frac=1, random_state=seed).reset_index(drop=True)
        return replace(self, tables=tables, heads=heads)


def records(
    hives: dict[str, int | None],
    *,
    as_of: date = date(2026, 3, 31),
    heads: list[dict[str, Any]] = (),
    settings: dict[str, Any] | None = None,
    **tables: list[dict[str, Any]],
) -> ByHand:
    """Records of season 2025; `hives` names the apiaries and what stands there."""
    season = Season(2025, date(2025, 4, 1), date(2026, 3, 31))
    dates = {
        "season_start": season.start, "season_end": season.end, "treat_by": date(2025, 8, 31),
        "last_supers_off": date(2025, 8, 10),
        "winter_bees_from": date(2025, 8, 15), "winter_bees_to": date(2025, 10, 5),
    }  # fmt: skip
    tables.setdefault("apiaries", [{"apiary": name} for name in hives])
    made = {name: frame([*table.names, *ORIGIN], tables.get(name, []), table) for name, table in TABLES.items()}
    return ByHand(
        settings=SimpleNamespace(**(SETTINGS | dates | (settings or {}))),
        season=season,
        as_of=as_of,
        tables=made,
        heads=frame([*HEADS, "from_file", "from_row"], list(heads)),
        apiaries=tuple(hives),
        standing=hives,
    )


def frame(columns: list[str], rows: list[dict[str, Any]], table: Any = None) -> pd.DataFrame:
    """Rows as the loader types them: datetime64, float64 with NaN, and text with ''."""
    kinds = {c.name: c.kind for c in table.columns} if table else {}
    number = {"standing", "done", "dead", "weak", "light", "from_row", "row"}
    made = {}
    for name in columns:
        values = [row.get(name) for row in rows]
        if kinds.get(name, "date" if name in DATES else "") == "date":
            made[name] = pd.to_datetime(pd.Series(values, dtype="object"))
        elif kinds.get(name) in ("number", "whole") or (name in number and not kinds.get(name)):
            made[name] = pd.to_numeric(pd.Series([float("nan") if v is None else v for v in values], dtype="float64"))
        else:
            made[name] = pd.Series(["" if v is None else str(v) for v in values], dtype="str")
    return pd.DataFrame(made)
