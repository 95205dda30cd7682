"""What was read: rows in = used + set aside + dated later, proven on every run, and told by `season check`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from kit.errors import KitError
from kit.records.advice import worth_writing
from kit.records.records import Records
from kit.records.setting_list import SETTINGS
from kit.records.settings import WEEK
from kit.records.tables import TABLES
from kit.records.texts import holds
from kit.records.typed import Typed, each, shown

MOST_PROBLEMS = 60
"""More than this `season check` counts, and `tables/problems.csv` lists."""


def account_of(sheets: Iterable[Typed], tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """One row for each sheet that was read: `table rows used set_aside later`.

    Raises
    ------
    KitError
        When the rows do not add up, or a table does not hold exactly the rows counted as used: a fault of the kit.
    """
    rows = [_account(sheet) for sheet in sheets]
    frame = pd.DataFrame(rows, columns=["table", "rows", "used", "set_aside", "later"])
    frame = frame.astype({"table": "str"} | dict.fromkeys(["rows", "used", "set_aside", "later"], "int64"))
    _prove(frame, tables)
    return frame


def _account(sheet: Typed) -> tuple[str, int, int, int, int]:
    later = sheet.later & ~sheet.aside
    used = ~sheet.aside & ~sheet.later
    return sheet.table.name, len(sheet.frame), int(used.sum()), int(sheet.aside.sum()), int(later.sum())


def _prove(account: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> None:
    parts = account["used"] + account["set_aside"] + account["later"]
    held = [int(holds(tables[name]["from_table"], name).sum()) for name in account["table"]]
    wrong = account[(parts != account["rows"]) | (account["used"] != held)]
    if len(wrong):
        names = ", ".join(wrong["table"])
        raise KitError(f"the rows of {names} do not add up; this is a fault of the kit, please report it")


def check_text(records: Records) -> str:
    """What `season check` says: what was read, what was not, what is missing, the settings, what to write next."""
    season = records.season
    head = f"Season {season.label}, {season.start} to {season.end}, as of {records.as_of}"
    parts = [
        (head, _read(records)),
        ("Set aside or doubtful", _problems(records)),
        ("Sheets that are empty or missing, and what each would add", _missing(records)),
        ("Settings in force", _settings(records)),
        ("Most worth writing down next", [f"{n}. {text}" for n, text in enumerate(worth_writing(records), start=1)]),
    ]
    return "\n\n".join("\n".join([title, *(f"  {line}" for line in lines or ["none"])]) for title, lines in parts)


def _read(records: Records) -> list[str]:
    account = records.account
    wide = max((len(name) for name in account["table"]), default=0)
    lines = [
        f"{row.table:<{wide}}  {row.rows} rows = {row.used} used + {row.set_aside} set aside + {row.later} dated later"
        for row in each(account)
    ]
    rows, used, aside, later = (int(account[name].sum()) for name in ("rows", "used", "set_aside", "later"))
    total = f"{'in all':<{wide}}  {rows} rows = {used} used + {aside} set aside + {later} dated later"
    made = {
        name: int((records.tables[name]["from_table"] == "log").sum()) for name in ("visits", "treatments", "counts")
    }
    from_log = f"from the log: {made['visits']} visits, {made['treatments']} treatments, {made['counts']} tray counts"
    return [*lines, total, f"{from_log}, {len(records.heads)} head counts"]


def _problems(records: Records) -> list[str]:
    lines = [_line(problem) for problem in each(records.problems.head(MOST_PROBLEMS))]
    more = len(records.problems) - MOST_PROBLEMS
    return [*lines, f"and {more} more; `season review` lists all in tables/problems.csv"] if more > 0 else lines


def _line(problem: Any) -> str:
    place = f"{problem.file}, row {problem.row}" if not pd.isna(problem.row) else problem.file
    cell = ": ".join(part for part in (problem.column, problem.value) if part)
    return f"{place}{f' ({cell})' if cell else ''}: {problem.problem}; {problem.remedy}"


def _missing(records: Records) -> list[str]:
    read = set(records.account.loc[records.account["used"] > 0, "table"])
    return [f"{name}: {table.adds}" for name, table in TABLES.items() if name not in read]


def _settings(records: Records) -> list[str]:
    return [f"{name} = {_shown(records, name)}" for name in SETTINGS]


def _shown(records: Records, name: str) -> str:
    value = getattr(records.settings, name)
    text = ", ".join(WEEK[day].title() for day in value) if name == "work_days" else shown(value) or "not recorded"
    setting = SETTINGS[name]
    unit = f" {setting.column.unit}".replace("money", records.settings.currency) if setting.column.unit else ""
    unit = unit if value is not None else ""
    why = "yours" if name in records.given else f"default, {setting.grade}: {setting.reason}"
    return f"{text}{unit}  ({why})"
