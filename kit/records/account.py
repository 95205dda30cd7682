"""Rows in = rows used + rows set aside + rows dated later, proven on every run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pandas as pd

from kit.errors import KitError
from kit.records.typed import Typed


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
    held = [int((tables[name]["from_table"] == name).sum()) for name in account["table"]]
    wrong = account[(parts != account["rows"]) | (account["used"] != held)]
    if len(wrong):
        names = ", ".join(wrong["table"])
        raise KitError(f"the rows of {names} do not add up; this is a fault of the kit, please report it")
