"""What a visit's sheet says beside its dates: power, grams, order of work, and its time line as bars that print."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import pandas as pd

from kit.calc.timeline import Bar
from kit.report.charts.gear import VISIT_ROWS, bars_told
from kit.report.tables import cell
from kit.report.words.phrases import a_date, listed, spoken
from kit.season.findings import Findings

Row = Mapping[Any, Any]
TICKS = (5, 10, 15, 20, 30, 60, 120)
MOST_TICKS = 6
NEARLY_PCT = 99.5


class Stretch(NamedTuple):
    """One bar in shares of the whole [%]; hollow when it has time to spare."""

    left: float
    width: float
    hollow: bool


class Strip(NamedTuple):
    """A visit's bars for the template: its words, a row for each kind of work, minutes along the foot."""

    title: str
    says: str
    rows: list[tuple[str, list[Stretch]]]
    ticks: list[tuple[float, int]]


def strip_of(plan: Findings, visit_id: str) -> Strip | None:
    """The time line of a visit; None where it has none."""
    bars = bars_of(plan, visit_id)
    if not bars:
        return None
    title, says = bars_told(bars)
    whole = max(bar.end_min for bar in bars)
    rows = [(name, [_stretch(bar, whole) for bar in bars if bar.what == name]) for name in VISIT_ROWS]
    step = next((t for t in TICKS if whole / t <= MOST_TICKS), TICKS[-1])
    ticks = [(100 * minute / whole, minute) for minute in range(0, math.floor(whole) + 1, step)]
    return Strip(title, says, [row for row in rows if row[1]], ticks)


def bars_of(plan: Findings, visit_id: str) -> list[Bar]:
    """Rows of the table `bars` as bars."""
    table = plan.tables.get("bars", pd.DataFrame({"visit_id": []}))
    mine = table[table["visit_id"] == visit_id]
    return [Bar(*values) for values in mine[list(Bar._fields)].itertuples(index=False)] if len(mine) else []


def _stretch(bar: Bar, whole: float) -> Stretch:
    share = 100 / whole
    return Stretch(bar.start_min * share, (bar.end_min - bar.start_min) * share, not bar.critical)


def numbers(plan: Findings, row: Row) -> list[tuple[str, str]]:
    """Minutes and charge in figures."""
    carry = float(row.get("carry_min", 0.0) or 0.0)
    said = [
        ("at the apiary, about [min]", f"{row['minutes']:.0f}"),
        ("drive there [min]", cell(round(float(row["drive_min"])))),
        ("carry, one way [min]", cell(carry) if carry else ""),
    ]
    return said + [
        (f"left in {at['battery']} after", f"{at['charge_left_pct_p50']:.0f} % (likely "
         f"{at['charge_left_pct_p05']:.0f} to {at['charge_left_pct_p95']:.0f} %)")
        for at in _of(plan, "at_hives", row) if at["battery"]
    ]  # fmt: skip


def lines(plan: Findings, row: Row) -> list[tuple[str, str]]:
    """What to mind, one line each: the plan's own note, power, what is refused, grams, order of work."""
    said = [("Mind", spoken(str(row.get("note") or "")))]
    for at in _of(plan, "at_hives", row):
        said += [("Power", _power(at)), ("Refused", str(at["refused"]).removeprefix("refused "))]
    said += [("Weigh out", _weigh(weigh)) for weigh in _of(plan, "weighing", row)]
    for at in _of(plan, "at_hives", row):
        several = "groups of " if "and" in at["hives_at_a_time"] else "one group of "
        order = f"from the downwind end towards the wind, in {several}{at['hives_at_a_time']} hives"
        said.append(("Order of work", order))
    said += [("Stop rules", str(row.get("stop_rules") or "")), ("If not today", _other_days(row))]
    return [(word, text) for word, text in said if text]


def _other_days(row: Row) -> str:
    """The chance of its day, the days kept spare, and the chance that it is done in time."""
    if not row.get("stop_rules"):
        return ""
    days = [a_date(text) for text in str(row["spare_days"]).split("; ") if text]
    last = a_date(row["not_after"].date().isoformat())
    kept = f"{listed(days, most=3)}, kept spare" if days else f"no day is kept spare up to {last}"
    done = "nearly every season" if row["in_time_pct"] >= NEARLY_PCT else f"{row['in_time_pct']:.0f} seasons of 100"
    fit = f"the day itself can be worked in {row['workable_pct']:.0f} years of 100"
    return f"{kept}; {fit}; by {last} it is done in {done}"


def _of(plan: Findings, table: str, row: Row) -> list[Row]:
    rows = plan.tables.get(table, pd.DataFrame({"visit_id": []}))
    return list(rows[rows["visit_id"] == row["visit_id"]].to_dict("records"))


def _power(row: Row) -> str:
    return "; ".join(str(row[name]) for name in ("supply_why", "take") if row.get(name))


def _weigh(row: Row) -> str:
    if pd.isna(row["weigh_g"]):
        return str(row["advice"])
    doses = f"{row['doses']:g} doses of {row['each_g']:.3g} g, {row['spare']:g} of them spare"
    limit = "" if pd.isna(row["limit_g"]) else f"; the label allows {row['limit_g']:.3g} g a hive"
    what = row["product"] if row["of"] == "product" else "crystals"
    advice = f". {str(row['advice']).capitalize()}" if row["advice"] else ""
    return f"{row['weigh_g']:.0f} g {what}: {doses}{limit}{advice}"
