"""The page that stands in a pack and says, table by table, what is in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from kit.report.export import Sheet, render
from kit.report.share import form
from kit.report.share.draft import Draft
from kit.report.share.headings import HEADS
from kit.report.share.recognised import hives_told, place_told
from kit.report.tables import MOST_ROWS, Table

MANY_ROWS = 12
"""More stand behind a line to open."""


def contents_page(draft: Draft, about: Mapping[str, Any], tables: Mapping[str, pd.DataFrame]) -> str:
    """One whole HTML file: what goes and what does not, every row of it, and how to recognise it.

    Parameters
    ----------
    draft : Draft
        What the pack is made from.
    about : mapping
        The data package's description.
    tables : mapping of DataFrame
        As they go.
    """
    sheet = Sheet(
        title="What is in this pack",
        kicker=f"Season {draft.season}, for an association",
        aside="",
        made=f"Made with kit {about['made_with']['kit']}; form {form.FORM} {form.VERSION}.",
    )
    shown = [(name, table, _shown(name, table), form.TABLES[name].fields) for name, table in tables.items()]
    return render(
        "share_contents.html.j2",
        sheet,
        points=_points(draft, tables),
        never=form.NEVER,
        tables=[(name, form.TABLES[name].what, len(table), html, fields) for name, table, html, fields in shown],
        marks=_marks(about),
    )


def _points(draft: Draft, tables: Mapping[str, pd.DataFrame]) -> list[str]:
    left = [name for name in form.TABLES if name not in tables]
    points = [
        f"{len(tables)} tables with {sum(len(table) for table in tables.values())} rows about one operation; every row "
        "stands below.",
        "You are named by a random key that you alone can recognise, apiaries by keys drawn for this pack alone.",
        f"Weeks instead of dates, at least {draft.choices.minimum} hives behind a number.",
        place_told(draft),
        hives_told(draft),
    ]
    if draft.choices.totals_only:
        points.append("Totals only: nothing is told of single apiaries.")
    elif draft.hidden:
        points.append(
            f"{draft.hidden} apiaries are left out of the tables by apiary, because they are small or would give a "
            "small one away by subtraction; their hives count in the totals."
        )
    if left:
        points.append(f"Not sent: {', '.join(left)}.")
    return points


def _marks(about: Mapping[str, Any]) -> list[tuple[str, str]]:
    hashes = [(f"sha256 of {r['path']}", r["hash"].removeprefix("sha256:")) for r in about["resources"]]
    return [
        ("key of the operation", about["operation"]),
        ("running number", str(about["number"])),
        ("records up to week", about["as_of_week"]),
        ("how loads were read", about["made_with"]["method"]),
        *hashes,
    ]


def _shown(name: str, table: pd.DataFrame) -> str:
    """Every row, folded where there are many; where a page would cut them, by apiary."""
    if table.empty:
        return '<p class="note">No row.</p>'
    if name == form.OPERATION:
        table = table.replace({"place": {"": "not told"}})
    told = table[[name for name in table if (table[name].notna() & table[name].ne("")).any()]]
    if len(told) <= MOST_ROWS:
        return _html(told, f"{name}.csv")
    return "".join(_html(rows, f"Apiary {key}") for key, rows in told.groupby("apiary", sort=False))


def _html(rows: pd.DataFrame, caption: str) -> str:
    return Table(rows, caption, folded=len(rows) > MANY_ROWS, heads=HEADS)._repr_html_()
