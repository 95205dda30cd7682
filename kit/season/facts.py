"""The facts of the whole operation; their names and meanings stand in `kit.season.review`."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from kit.season.causes import NOTHING_RECORDED
from kit.season.certainty import best_measurement, certainty
from kit.season.fit import BY_THE_LAW, COUNT_BY_COUNT
from kit.season.loads import POINTS
from kit.season.losses import ALL
from kit.season.parts import Parts, banded, picked, plain, points, whole
from kit.season.told_apart import told_apart
from kit.season.units import last_day
from kit.season.work import work

KILL = ["apiary", "treatment", "start", "end", "rounds", *points("efficacy"), "basis", "counted"]
DUE = ["apiary", "due", "from", "to", "reason", *points("load"), *points("wait_cost"), "next_count"]


def facts(parts: Parts) -> dict[str, Any]:
    """All facts of the operation, in the order of the ten sentences."""
    return {
        **_season(parts),
        **_winter(parts),
        **_late(parts),
        **_kills(parts),
        **_due(parts),
        **_open(parts),
        **work(parts),
        **certainty(parts),
        "best_measurement": best_measurement(parts),
    }


def _season(parts: Parts) -> dict[str, Any]:
    records = parts.records
    hives = [records.hives(apiary, last_day(records)) for apiary in records.apiaries]
    known = [n for n in hives if n is not None]
    return {
        "keeper": records.settings.keeper,
        "season": records.season.label,
        "season_start": plain(records.season.start),
        "season_end": plain(records.season.end),
        "as_of": plain(records.as_of),
        "in_season": records.as_of < records.season.end,
        "currency": records.settings.currency,
        "jurisdiction": records.settings.jurisdiction,
        "treat_above_pct": records.settings.treat_above_pct,
        "apiaries": list(parts.season.readings),
        "hives": sum(known) if known else None,
        "problems": records.set_aside,
        "remarks": len(records.problems) - records.set_aside,
        "rows_later": int(records.account["later"].sum()) if len(records.account) else 0,
        "load_method": _method(parts),
        "trust": [dict(here.trust) for here in parts.season.readings.values()],
    }


def _method(parts: Parts) -> str:
    """How loads were read; apiaries read another way are named."""
    back = parts.season.fallen_back
    if not back:
        return BY_THE_LAW
    if len(back) == len(parts.season.readings):
        return COUNT_BY_COUNT
    return f"{BY_THE_LAW}; {COUNT_BY_COUNT} where sampling failed: {', '.join(back)}"


def _winter(parts: Parts) -> dict[str, Any]:
    both = [h for h in parts.heads if h.lost is not None]
    rate = parts.losses.rate
    causes: dict[str, int] = {}
    for one in both:
        for cause, dead in one.causes.items():
            causes[cause] = causes.get(cause, 0) + dead
    missing = [{"apiary": h.apiary, "missing": h.missing} for h in parts.heads if h.missing]
    low, high = rate.interval_pct if rate else (None, None)
    rows = parts.of("losses", ALL)
    expected = rows[rows["cause"] == ALL]
    return {
        "wintered": sum(h.wintered or 0 for h in both) if both else None,
        "came_out": sum(h.came_out or 0 for h in both) if both else None,
        "lost": sum(h.lost or 0 for h in both) if both else None,
        "lost_pct": rate.loss_pct if rate else None,
        "lost_pct_low": low,
        "lost_pct_high": high,
        "lost_interval": rate.method if rate else "",
        "lost_by_cause": [{"cause": c, "lost": n} for c, n in sorted(causes.items(), key=lambda i: (-i[1], i[0]))],
        "lost_before_winter": sum(h.before_winter for h in parts.heads),
        "winter_over": any(h.came_out is not None for h in parts.heads),
        **{f"expected_loss_{p}": plain(expected[f"expected_pct_{p}"].iloc[0]) for p in POINTS},
        "heads_missing": missing,
        "heads_conflicts": [{"apiary": h.apiary, "what": what} for h in parts.heads for what in h.conflicts],
    }


def _late(parts: Parts) -> dict[str, Any]:
    table = parts.tables["timing"].sort_values(["days_late", "apiary"], ascending=[False, True])
    late = table[table["days_late"] > 0]
    given = table[(table["days_late"] <= 0) & table["treated_on"].notna()]
    names = [
        "apiary", "treatment", "treated_on", "days_late", "why_late", *points("extra_mites"), *points("extra_loss_pct"),
        *points("extra_cost"),
    ]  # fmt: skip
    colonies = [parts.timing.colonies[a] for a in late["apiary"] if a in parts.timing.colonies]
    known = [draws for draws in colonies if not np.isnan(draws).any()]
    total = np.sum(known, axis=0) if known else None
    cost = total * parts.records.settings.colony_value if total is not None else None
    verdict, why = told_apart(parts)
    return {
        "treat_by": plain(parts.records.settings.treat_by),
        "late": [picked(row, names) | {"lost_pct": _lost_pct(parts, row["apiary"])} for row in late.to_dict("records")],
        "on_time": list(given["apiary"]),
        **_heads_of_late(parts, set(late["apiary"])),
        **banded("late_extra_colonies", total),
        **banded("late_extra_cost", cost),
        "late_told_apart": verdict,
        "late_told_apart_why": why,
        "why_late": _why_late(late),
    }


def _heads_of_late(parts: Parts, late: set[str]) -> dict[str, int | None]:
    found: dict[str, int | None] = {}
    for name, inside in (("late", True), ("rest", False)):
        heads = [h for h in parts.heads if (h.apiary in late) == inside and h.lost is not None]
        found[f"{name}_wintered"] = sum(h.wintered or 0 for h in heads) if heads else None
        found[f"{name}_lost"] = sum(h.lost or 0 for h in heads) if heads else None
    return found


def _lost_pct(parts: Parts, apiary: str) -> float | None:
    rows = parts.of("losses", apiary)
    rows = rows[rows["cause"] == ALL]
    return plain(rows["loss_pct"].iloc[0]) if len(rows) else None


def _why_late(late: pd.DataFrame) -> list[dict[str, Any]]:
    total: dict[str, list[int]] = {}
    for row in late.to_dict("records"):
        for why in (row["why_late"] or "not recorded").split("; "):
            total.setdefault(why, []).append(int(row["days_late"]))
    ranked = sorted(total.items(), key=lambda item: (-sum(item[1]), item[0]))
    return [{"why": why, "apiaries": len(days), "days": sum(days)} for why, days in ranked]


def _kills(parts: Parts) -> dict[str, Any]:
    table = parts.tables["efficacy"]
    table = table[(table["scope"] == "apiary") & table["efficacy_p50"].notna()]
    best = table.sort_values(["efficacy_p50", "apiary", "treatment_no"], ascending=[False, True, True])
    weak_rows = [row for row in best.iloc[::-1].to_dict("records") if accused(parts, row)]
    return {
        "treatments": _by_word(parts, table),
        "worked": [picked(row, KILL) for row in best.to_dict("records")],
        "weak": [picked(row, KILL) | top_cause(parts, row) for row in weak_rows],
    }


def accused(parts: Parts, row: Any) -> bool:
    """Whether a treatment of one apiary stands among the weak ones, with or without a recorded cause."""
    causes = parts.tables["causes"]
    mine = (causes["apiary"] == row["apiary"]) & (causes["treatment_no"] == row["treatment_no"])
    return bool((mine & (causes["of"] == "kill")).any())


def top_cause(parts: Parts, row: Any) -> dict[str, str | None]:
    """The first likely cause of one weak kill, its evidence and what to check; None for each when there is none."""
    causes = parts.tables["causes"]
    mine = causes[(causes["of"] == "kill") & (causes["apiary"] == row["apiary"])]
    mine = mine[mine["treatment_no"] == row["treatment_no"]].sort_values("rank")
    names = ("cause", "evidence", "check")
    found = {name: str(mine[name].iloc[0]) if len(mine) else None for name in names}
    return found | {"cause": None, "evidence": None} if found["cause"] == NOTHING_RECORDED.cause else found


def _by_word(parts: Parts, table: pd.DataFrame) -> list[dict[str, Any]]:
    found = []
    for word, rows in table.groupby("treatment", sort=True):
        keys = list(zip(rows["apiary"], rows["treatment_no"], strict=True))
        weights = rows["hives"].fillna(1).to_numpy() + 1e-9
        draws = np.array([parts.outcomes.draws[key] for key in keys])
        counted = sorted(set(rows.loc[rows["counted"], "apiary"]))
        found.append(
            {
                "treatment": str(word),
                "apiaries": int(rows["apiary"].nunique()),
                "hives": whole(float(rows.groupby("apiary")["hives"].max().sum(min_count=1))),
                **banded("efficacy", weights @ draws / weights.sum()),
                "counted_apiaries": counted,
                "basis": f"counts at {len(counted)} of {rows['apiary'].nunique()} apiaries"
                if counted
                else "only the usual kill",
            }
        )
    return sorted(found, key=lambda row: (-row["efficacy_p50"], row["treatment"]))


def _due(parts: Parts) -> dict[str, Any]:
    rows = [picked(row, DUE) for row in parts.tables["today"].to_dict("records")]
    return {"first": rows[0] if rows else None, "today": rows}


def _open(parts: Parts) -> dict[str, Any]:
    points_open = parts.tables["open_points"]
    strips = parts.tables["strips_in"]
    counts = points_open.groupby("kind", sort=True).size()
    causes = parts.tables["causes"]
    slow = causes[(causes["of"] == "vapour") & (causes["rank"] == 1)]
    return {
        "strips_in": [picked(row, ["apiary", "treatment", "since"]) for row in strips.to_dict("records")],
        "open_points": [picked(row, list(points_open.columns)) for row in points_open.to_dict("records")],
        "open_by_kind": {str(kind): int(n) for kind, n in counts.items()},
        "slow_vapour": [picked(row, ["apiary", "cause", "evidence", "check"]) for row in slow.to_dict("records")],
    }
