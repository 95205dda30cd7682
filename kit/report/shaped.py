"""Tables whose rows a page tells in fewer columns than their CSV file holds: what belongs together stands together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pandas as pd

from kit.report.words.phrases import SAVED, a_date, listed, spoken, what_it_saves

Row = Mapping[Any, Any]
NO_BREAK = "\N{NO-BREAK SPACE}"
TAKE_OUT = "take out"
VISIT_EVENTS = ("treat", "strips out")
"""Events of the calendar that are visits, and stand among them."""


def shaped(name: str, table: pd.DataFrame) -> pd.DataFrame:
    """The table as a page tells it; as it is where nothing is to be joined."""
    return SHAPES[name](table) if name in SHAPES and not table.empty else table


def _visits(table: pd.DataFrame) -> pd.DataFrame:
    rows = table.to_dict("records")
    told = pd.DataFrame(
        {
            "date": table["date"],
            "what": [_what(row) for row in rows],
            "apiary": table["apiary"],
            "may_move": [_between(row) for row in rows],
            "colonies": table["colonies"],
            "minutes": table["minutes"],
        }
    )
    odds = table[["in_time_pct"]] if "in_time_pct" in table else pd.DataFrame(index=table.index)
    spare = [_days(row.get("spare_days", "")) for row in rows]
    return told.join(odds).assign(spare_days=spare, note=table["note"])


def _what(row: Row) -> str:
    if row.get("deed") == TAKE_OUT:
        return f"{TAKE_OUT} {row['treatment']}"
    several = bool(pd.notna(row["rounds"]) and row["rounds"] > 1)
    return f"{row['treatment']}, {row['round']:g} of {row['rounds']:g}" if several else str(row["treatment"])


def _between(row: Row) -> str:
    first, last = row["not_before"], row["not_after"]
    return "" if pd.isna(first) or pd.isna(last) else f"{_short(first)} to {_short(last)}"


def _days(spare: str) -> str:
    days = [_unbroken(day) for day in str(spare).split("; ") if day]
    return listed(days) if days else ""


def _short(day: pd.Timestamp) -> str:
    return _unbroken(day.date().isoformat())


def _unbroken(day: str) -> str:
    """A date whose day and month stay on one line."""
    return a_date(day).replace(" ", NO_BREAK)


def _kit(table: pd.DataFrame) -> pd.DataFrame:
    """One row for each visit, with all that goes along, a line for each thing."""
    visits = table.groupby(["visit_id", "date"], sort=False)
    rows = [(date, "\n".join(_thing(row) for row in things.to_dict("records"))) for (_, date), things in visits]
    return pd.DataFrame(rows, columns=["date", "to take"]).sort_values("date", kind="stable")


def _thing(row: Row) -> str:
    note = f" ({spoken(str(row['note']))})" if row["note"] else ""
    count = "" if row["count"] == 1 else f"{row['count']:g} "
    return f"{count}{row['item']}{note}"


def _calendar(table: pd.DataFrame) -> pd.DataFrame:
    """The dates that are no visits, with the days between which they may move."""
    others = table[~table["event"].isin(VISIT_EVENTS)]
    fixed = others["not_before"] == others["not_after"]
    move = ["" if one else _between(row) for one, row in zip(fixed, others.to_dict("records"), strict=True)]
    return others.assign(not_before=move).rename(columns={"not_before": "may_move"}).drop(columns="not_after")


def _causes(table: pd.DataFrame) -> pd.DataFrame:
    """A second cause does not say the evidence of the first again, only how likely it is."""
    told, first = [], ""
    for rank, evidence in zip(table["rank"].astype(float), table["evidence"].astype("str"), strict=True):
        seen, _, odds = evidence.rpartition(" (")
        told.append(f"the same ({odds}" if rank > 1 and seen and seen == first else evidence)
        first = first if rank > 1 else seen
    return table.assign(evidence=told)


def _rounds(table: pd.DataFrame) -> pd.DataFrame:
    """The treatment with its round, the dose with its unit."""
    rows = table.to_dict("records")
    dose = ["" if pd.isna(row["dose"]) else f"{row['dose']:.3g} {row['unit']}".strip() for row in rows]
    what = [f"{row['treatment']} {row['round']:g}" if pd.notna(row["round"]) else row["treatment"] for row in rows]
    return table.assign(treatment=what, dose=dose).drop(columns=["unit", "round"])


def _mends(table: pd.DataFrame) -> pd.DataFrame:
    """What a mend saves in one cell; what it does not save is not told."""
    told = [listed(what_it_saves(row)) for row in table.to_dict("records")]
    shorter = table.drop(columns=list(SAVED)).assign(saves=["nothing" if text == "none" else text for text in told])
    return shorter[["mend", "cost", "saves", *(c for c in shorter if c not in ("mend", "cost", "saves"))]]


def _today(table: pd.DataFrame) -> pd.DataFrame:
    """What is due does not say the next count a second time."""
    pairs = zip(table["due"], table["next_count"], strict=True)
    return table.assign(next_count=["" if str(count).startswith(str(due)) else count for due, count in pairs])


def _gear(table: pd.DataFrame) -> pd.DataFrame:
    """What was recorded with its unit."""
    pairs = zip(table["recorded"], table["unit"], strict=True)
    return table.assign(recorded=[f"{value:.3g} {unit}".strip() for value, unit in pairs]).drop(columns="unit")


SHAPES: dict[str, Callable[[pd.DataFrame], pd.DataFrame]] = {
    "visits": _visits,
    "kit": _kit,
    "calendar": _calendar,
    "today": _today,
    "causes": _causes,
    "rounds": _rounds,
    "mends": _mends,
    "gear": _gear,
}
"""Table to how a page tells it."""
