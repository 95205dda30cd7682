"""Which sums of whose parts a pooled report tells: what differencing has to start from, in one report or in several.

A kind of number (hives, losses, a treatment's kill) to its rows, a row to the parts it adds up: member, and which part.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pandas as pd

from kit.calc.differencing import Part, fewest_behind
from kit.report.share.form import ALL
from kit.report.share.groups import Grouped
from kit.report.share.member import Member
from kit.report.share.pool_late import class_of, covers

Row = frozenset[Part]
Told = dict[str, dict[str, Row]]
Tables = dict[str, pd.DataFrame]


def told_sums(members: Sequence[Member], groups: dict[str, Grouped], tables: Tables) -> Told:
    """Every sum or mean that the tables tell, by kind and row.

    Parameters
    ----------
    members : sequence of Member
        In the pool.
    groups : mapping
        Name of a table of groups (`members`, `regions`) to its groups.
    tables : mapping of DataFrame
        Of the report.
    """
    told: Told = {"hives": _hives(members, groups, tables)}
    if not tables["losses"].empty:
        told["losses"] = {ALL: whole(m for m in members if m.wintered and m.lost is not None)}
    if rows := {
        f"{r.late}, {r.access}": _late(members, str(r.late), str(r.access)) for r in tables["lateness"].itertuples()
    }:
        told["losses by lateness"] = rows
    for word in tables["kills"]["treatment"]:
        told[f"kill of {word}"] = {ALL: whole(m for m in members if word in m.kills)}
    for week, rows_of_week in tables["loads"].groupby("week"):
        parted = {ALL: list(members)} | groups["regions"]
        told[f"loads of {week}"] = {
            str(region): whole(m for m in parted[region] if week in m.weeks) for region in rows_of_week["region"]
        }
    for task in tables["work"]["what"]:
        told[f"hours, {task}"] = {ALL: whole(m for m in members if _worked(m, task))}
    return told


def whole(members: Iterable[Member]) -> Row:
    """Members with all of what their packs tell."""
    return frozenset((member.operation, member.digest) for member in members)


def gives_away_hives(members: Sequence[Member], groups: dict[str, Grouped], tables: Tables, *, minimum: int) -> bool:
    """Whether hives of a region, less those of classes of size, are those of a few members."""
    rows = [row for row in _hives(members, groups, tables).values() if row]
    return fewest_behind(rows, below=minimum) is not None


def _hives(members: Sequence[Member], groups: dict[str, Grouped], tables: Tables) -> dict[str, Row]:
    """Of all, of groups that tell a number, and of those whose hives wintered stand in the losses."""
    rows = {ALL: whole(members)}
    for name, parted in groups.items():
        told = tables[name].set_index(tables[name].columns[0])["hives"].dropna()
        rows |= {str(group): whole(parted[group]) for group in told.index}
    if not tables["losses"].empty:
        rows["wintered"] = whole(m for m in members if m.wintered)
    return rows


def _late(members: Sequence[Member], late: str, access: str) -> Row:
    return frozenset(
        (member.operation, f"{member.digest}|{class_of(one.weeks_late)}|{one.access}")
        for member in members
        for one in member.late
        if covers(late, class_of(one.weeks_late)) and access in (ALL, one.access)
    )


def _worked(member: Member, task: str) -> bool:
    return (
        bool(member.doses) if task == "treatments given" else bool(member.hours) and task in (*member.hours, "all work")
    )
