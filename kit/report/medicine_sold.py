"""The treatment history that travels with a sold colony, or with the hives of a sold apiary."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pandas as pd

from kit.report.compute import Computed
from kit.report.medicine import history_page
from kit.season.findings import file_names
from kit.season.medicine.history import of_apiary, of_colony


class Sold(NamedTuple):
    """Whose history is asked for, by their ids."""

    colonies: tuple[str, ...] = ()
    apiaries: tuple[str, ...] = ()


NOTHING_SOLD = Sold()


class History(NamedTuple):
    """One history: the name of its files, its lines and its page."""

    name: str
    lines: pd.DataFrame
    page: str


def histories(computed: Computed, sold: Sold, today: str) -> Iterator[History]:
    """One history for each colony and apiary asked for.

    Raises
    ------
    CannotGoOnError
        When the records hold no such colony or apiary.
    """
    if not any(sold):
        return
    records, record = computed.records, computed.medicine
    found = [(f"colony {one}", of_colony(record.lines, records, one)) for one in sold.colonies]
    found += [(f"apiary {one}", of_apiary(record.lines, records, one)) for one in sold.apiaries]
    names = file_names([of for of, _ in found])
    for of, lines in found:
        yield History(f"medicine_history_{names[of]}", lines, history_page(records, record, lines, of, today))
