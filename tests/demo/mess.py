"""The rows that nobody can use, slipped in among the good ones."""

from __future__ import annotations

from typing import NamedTuple

Row = dict[str, str]


class Bad(NamedTuple):
    """A line nobody can use as it stands: where it is put in (from 0), the cell that spoils it, what becomes of it.

    `set_aside` is the whole row; otherwise the cell alone is read as not recorded and the row goes on.
    """

    position: int
    row: Row
    column: str
    set_aside: bool


BAD: dict[str, list[Bad]] = {
    "treatments": [
        Bad(9, {"date": "2025-08-10", "apiary": "ORCHARD", "colonies": "all", "treatment": "amitraz strips",
             "product": "amitraz strips B", "dose": "2", "unit": "strips"}, "apiary", True),
        Bad(21, {"date": "2025-11-04", "apiary": "PLUM", "colonies": "P16", "treatment": "oxalic sublimation",
              "product": "oxalic powder A", "dose": "-2", "unit": "g", "round": "1"}, "dose", False),
    ],
    "counts": [
        Bad(5, {"date": "2205-11-08", "apiary": "HOME", "colony": "H05", "method": "board", "mites": "4", "days": "5"},
         "date", True),
        Bad(12, {"date": "2025-11-10", "apiary": "TERN", "colony": "T09", "method": "board", "mites": "1l?",
                 "days": "6"}, "mites", True),
    ],
}  # fmt: skip
"""By table. The colony of the negative dose is the one its apiary's own line of that day leaves out."""


def with_bad(table: str, rows: list[Row]) -> list[Row]:
    """The rows with the unusable ones of that table among them."""
    mixed = list(rows)
    for bad in BAD.get(table, []):
        mixed.insert(bad.position, bad.row)
    return mixed


def spoiled(*, set_aside: bool) -> set[tuple[str, int, str]]:
    """(file, row as a spreadsheet numbers it, column) of each bad line that is, or is not, set aside whole."""
    return {
        (f"{table}.csv", bad.position + 2, bad.column)
        for table, lines in BAD.items()
        for bad in lines
        if bad.set_aside == set_aside
    }
