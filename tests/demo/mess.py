"""The rows that nobody can use, slipped in among the good ones."""

from __future__ import annotations

Row = dict[str, str]

BAD: dict[str, list[tuple[int, Row, str]]] = {
    "treatments": [
        (9, {"date": "2025-08-10", "apiary": "ORCHARD", "colonies": "all", "treatment": "amitraz strips",
             "product": "amitraz strips B", "dose": "2", "unit": "strips"}, "apiary"),
        (21, {"date": "2025-11-04", "apiary": "PLUM", "colonies": "P03", "treatment": "oxalic sublimation",
              "product": "oxalic powder A", "dose": "-2", "unit": "g", "round": "1"}, "dose"),
    ],
    "counts": [
        (5, {"date": "2205-11-08", "apiary": "HOME", "colony": "H05", "method": "board", "mites": "4", "days": "5"},
         "date"),
        (12, {"date": "2025-11-10", "apiary": "TERN", "colony": "T09", "method": "board", "mites": "1l?", "days": "6"},
         "mites"),
    ],
}  # fmt: skip
"""By table: where each is put in (counting from 0), the row, and the column that spoils it."""


def with_bad(table: str, rows: list[Row]) -> list[Row]:
    """The rows with the unusable ones of that table among them."""
    mixed = list(rows)
    for position, row, _ in BAD.get(table, []):
        mixed.insert(position, row)
    return mixed


def bad_rows() -> set[tuple[str, int, str]]:
    """(file, row as a spreadsheet numbers it, column) of each."""
    return {(f"{table}.csv", position + 2, column) for table, bad in BAD.items() for position, _, column in bad}
