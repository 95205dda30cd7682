"""Records written by hand in a test: any tables as lists of dicts, the rest empty, typed as the loader does."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta
from typing import Any

import pandas as pd

from kit.records.column import Table
from kit.records.records import Records
from kit.records.season import Season
from kit.records.settings import Settings
from kit.records.tables import ORIGIN, STATED, TABLES

HEADS = ("date", "apiary", "standing", "done", "dead", "cause", "weak", "light", "why_late", "wrong", "notes")
NUMBERS = {"standing", "done", "dead", "weak", "light", "from_row", "row", "rows", "used", "set_aside", "later"}
SETTINGS: dict[str, Any] = {
    "keeper": "A. Tester", "season_start": date(2025, 4, 1), "season_end": date(2026, 3, 31), "currency": "GBP",
    "labour_per_hour": 15.0, "vehicle_per_hour": 10.0, "colony_value": 200.0, "work_hours_per_day": 8.0,
    "work_days": (0, 1, 2, 3, 4, 5), "people": 1, "last_supers_off": date(2025, 8, 10), "treat_by": date(2025, 8, 31),
    "winter_bees_from": date(2025, 8, 15), "winter_bees_to": date(2025, 10, 5), "treat_above_pct": 3.0,
    "winter_limit_pct": 3.0, "wanted_chance": 80.0, "min_air_c": 4.0, "max_wind": "light", "group_size": 4,
    "few_max": 20, "climate": "maritime", "date_order": "", "jurisdiction": "eu", "base_latitude": None,
    "base_longitude": None, "plan_may_use": "",
}  # fmt: skip


def records(
    hives: dict[str, int | None],
    *,
    as_of: date = date(2026, 3, 31),
    heads: list[dict[str, Any]] | None = None,
    settings: dict[str, Any] | None = None,
    **tables: list[dict[str, Any]],
) -> Records:
    """Records of season 2025; `hives` names the apiaries and the usual number that stands there."""
    season = Season(2025, date(2025, 4, 1), date(2026, 3, 31))
    tables.setdefault("apiaries", [{"apiary": name, "hives": number} for name, number in hives.items()])
    assert set(SETTINGS) == {one.name for one in fields(Settings)}
    return Records(
        settings=Settings(**(SETTINGS | (settings or {}))),
        given=frozenset(),
        season=season,
        as_of=as_of,
        tables={name: frame(_columns(table), tables.get(name, []), table) for name, table in TABLES.items()},
        heads=frame([*HEADS, "from_file", "from_row"], heads or []),
        problems=frame(["file", "row", "column", "value", "problem", "remedy"], []),
        account=frame(["table", "rows", "used", "set_aside", "later"], []),
        apiaries=tuple(hives),
    )


def _columns(table: Table) -> list[str]:
    return [*table.names, *(STATED if table.name == "treatments" else ()), *ORIGIN]


def shuffled(given: Records, seed: int) -> Records:
    """The same records with the rows of every table in another order."""

    def mixed(table: pd.DataFrame) -> pd.DataFrame:
        return table.sample(frac=1, random_state=seed).reset_index(drop=True)

    return replace(given, tables={name: mixed(table) for name, table in given.tables.items()}, heads=mixed(given.heads))


def frame(columns: list[str], rows: list[dict[str, Any]], table: Any = None) -> pd.DataFrame:
    """Rows as the loader types them: datetime64, float64 with NaN, and text with ''."""
    kinds = {c.name: c.kind for c in table.columns} if table else {"date": "date"}
    made = {}
    for name in columns:
        values = [row.get(name) for row in rows]
        kind = kinds.get(name, "number" if name in NUMBERS else "text")
        if kind == "date":
            made[name] = pd.to_datetime(pd.Series(values, dtype="object"))
        elif kind in ("number", "whole"):
            made[name] = pd.Series([float("nan") if v is None else v for v in values], dtype="float64")
        else:
            made[name] = pd.Series(["" if v is None else str(v) for v in values], dtype="str")
    return pd.DataFrame(made)


def boards(apiary: str, colony: str, *rows: tuple[str, float, float]) -> list[dict[str, Any]]:
    """Boards of one hive as (day read, mites, days in place)."""
    return [
        {"date": on, "apiary": apiary, "colony": colony, "method": "board", "mites": mites, "days": days}
        for on, mites, days in rows
    ]


def series(apiary: str, start: date, rounds: int = 3, every: int = 6, **more: Any) -> list[dict[str, Any]]:
    """Rounds of oxalic sublimation on all hives of an apiary."""
    usual = {"apiary": apiary, "colonies": "all", "treatment": "oxalic sublimation", "dose": 2.3, "unit": "g"}
    return [
        usual | {"date": start + timedelta(days=every * n), "round": n + 1, "seal": "good"} | more
        for n in range(rounds)
    ]
