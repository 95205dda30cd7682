"""The mark of the lines in a blank sheet that explain it and are never read as data.

A line whose first filled cell begins with `#help`, `#unit` or `#example` is such a line. No id, date or word of
the records begins so, and an apiary called `#12` stays an apiary.
"""

from __future__ import annotations

from collections.abc import Sequence

from kit.records.column import Table
from kit.records.problems import Problem

HELP, UNIT, EXAMPLE = "#help", "#unit", "#example"


def begins_marked(cell: str) -> bool:
    """Whether a cell begins as the first filled one of a line that explains the sheet."""
    return "#" in cell and cell.lstrip().casefold().startswith((HELP, UNIT, EXAMPLE))


def is_marked(cells: Sequence[str]) -> bool:
    """Whether a row explains the sheet."""
    return begins_marked(next((cell for cell in cells if cell.strip()), ""))


def example_cells(table: Table) -> list[str]:
    """The example line of a sheet, its first cell marked."""
    first, *others = (column.example for column in table.columns)
    return [f"{EXAMPLE} {first}".strip(), *others]


def marked_problem(cells: Sequence[str], names: Sequence[str], table: Table, place: tuple[str, int]) -> list[Problem]:
    """A problem when the example line was overwritten but its mark was left: what was typed there is not read."""
    by_name = dict(zip(names, cells, strict=False))
    if not next(cell for cell in cells if cell.strip()).lstrip().casefold().startswith(EXAMPLE):
        return []
    ours = dict(zip(table.names, example_cells(table), strict=True))
    typed = [text for name, text in by_name.items() if text.strip() and text.strip() != ours.get(name, "")]
    if not typed:
        return []
    said = "an example line that was written over: its mark #example is still there, so it is not read"
    return [Problem(*place, "", "; ".join(typed), said, "take #example out of its first cell")]
