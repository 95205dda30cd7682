"""A small invented operation, written to a folder sheet by sheet."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from kit.records.load import load
from kit.records.records import Records

APIARIES = "apiary,name,hives,floor\nMEADOW,Far Meadow,12,mesh\nBANK,The Bank,8,solid\n"
SETTINGS = "setting,value\nseason_start,2025-04-01\n"
TODAY = date(2026, 6, 1)

Read = Callable[..., Records]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Write sheets (name to CSV text) beside two apiaries and a season, and load them."""

    def write_and_load(sheets: dict[str, str], **how: object) -> Records:
        for name, text in ({"apiaries": APIARIES, "settings": SETTINGS} | sheets).items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        return load(tmp_path, **({"today": TODAY} | how))  # type: ignore[arg-type]

    return write_and_load


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two apiaries and a log of one line."""
    (tmp_path / "apiaries.csv").write_text(APIARIES)
    (tmp_path / "log.csv").write_text("date,apiary,did,standing,done,wrong,notes\n2025-09-03,BANK,look,8,,,\n")
    return tmp_path


def said(records: Records, **where: object) -> pd.DataFrame:
    """The problems with these values in these columns."""
    found = records.problems
    for column, value in where.items():
        found = found[found[column] == value]
    return found
