"""The printed reference of every sheet, column and setting, as Markdown."""

from __future__ import annotations

from collections.abc import Iterable

from kit.records.cells import span
from kit.records.column import Column, Table
from kit.records.setting_list import SETTINGS, Setting
from kit.records.tables import MINIMUM, TABLES


def tables_reference() -> str:
    """Every sheet with its columns: what to write, in what unit or words, and whether a row needs it."""
    return "\n\n".join(_table(table) for table in TABLES.values()) + "\n"


def settings_reference() -> str:
    """Every setting with its default, the grade of that default and its reason."""
    head = ("setting", "what it means", "what to write", "default", "grade", "why")
    return _rows(head, (_setting(name, setting) for name, setting in SETTINGS.items())) + "\n"


def what_to_write(column: Column) -> str:
    """The words, the range or the kind of a column, in one phrase."""
    if column.words:
        return " / ".join(column.words)
    if column.kind in {"number", "whole"}:
        return f"{'whole number, ' if column.kind == 'whole' else ''}{span(column)}"
    kinds = {
        "date": "date",
        "clock": "clock time, as 09:30",
        "colonies": "all, one id, or a list as M1, M3-M7",
        "id": "id",
    }
    return kinds.get(column.kind, "text")


def _table(table: Table) -> str:
    minimum = " One of the three that are enough to start with." if table.name in MINIMUM else ""
    head = ("column", "what it means", "what to write", "needed")
    rows = ((f"`{c.name}`", c.help, what_to_write(c), "yes" if c.required else "") for c in table.columns)
    return f"### `{table.name}`\n\nOne row is {table.row_is}. It gives {table.adds}.{minimum}\n\n{_rows(head, rows)}"


def _setting(name: str, setting: Setting) -> tuple[str, ...]:
    column = setting.column
    write = "month and day, as 08-31" if column.kind == "date" else what_to_write(column)
    return f"`{name}`", column.help, write, setting.default or "none", setting.grade, setting.reason


def _rows(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)
