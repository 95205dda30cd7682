"""The facts of one apiary; their names and meanings stand in `kit.season.review`."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from kit.season.facts import DUE, accused, top_cause
from kit.season.heads import Heads
from kit.season.losses import ALL
from kit.season.parts import Parts, banded, picked, plain, points
from kit.season.posterior.evidence import readable
from kit.season.reading import Reading
from kit.season.units import COLONY
from kit.season.usual import Array, Draws
from kit.season.work import apiary_work

KILL = ["treatment", "treatment_no", "start", "end", "rounds", *points("efficacy"), "basis", "counted"]
COSTS = ("extra_mites", "extra_loss_pct", "extra_cost")


def apiary_facts(parts: Parts, apiary: str, heads: Heads) -> dict[str, Any]:
    """All facts of one apiary, in the order of its five sentences."""
    here = parts.season.readings[apiary]
    return {
        **_place(parts, here),
        **_winter(parts, heads),
        **_timing(parts, apiary),
        "treatments": _treatments(parts, apiary),
        **_loads(parts, here),
        **_open(parts, apiary),
        **apiary_work(parts, apiary),
    }


def _place(parts: Parts, here: Reading) -> dict[str, Any]:
    sheet = parts.records.tables["apiaries"]
    rows = sheet[sheet["apiary"] == here.apiary]
    known = rows.iloc[-1] if len(rows) else pd.Series({"name": "", "access": "", "mites_notified": pd.NaT})
    numbered = sum(
        u.scope == COLONY and bool(stood) for u, stood in zip(here.units, here.standing(here.last), strict=True)
    )
    return {
        "apiary": here.apiary,
        "name": str(known["name"]),
        "access": str(known["access"]),
        "notified": plain(known["mites_notified"]),
        "hives": parts.records.hives(here.apiary, here.usual.start + timedelta(days=here.last)),
        "numbered": numbered,
    }


def _winter(parts: Parts, heads: Heads) -> dict[str, Any]:
    rows = parts.of("losses", heads.apiary)
    row = rows[rows["cause"] == ALL].iloc[0]
    causes = sorted(heads.causes.items(), key=lambda item: (-item[1], item[0]))
    return {
        "wintered": heads.wintered,
        "came_out": heads.came_out,
        "lost": heads.lost,
        "lost_pct": plain(row["loss_pct"]),
        "lost_pct_low": plain(row["loss_pct_low"]),
        "lost_pct_high": plain(row["loss_pct_high"]),
        "lost_by_cause": [{"cause": cause, "lost": dead} for cause, dead in causes],
        "lost_before_winter": heads.before_winter,
        "heads_conflicts": list(heads.conflicts),
        "heads_missing": heads.missing,
        **{f"expected_loss_{p}": plain(row[f"expected_pct_{p}"]) for p in ("p05", "p50", "p95")},
    }


def _timing(parts: Parts, apiary: str) -> dict[str, Any]:
    row = parts.of("timing", apiary).iloc[0].to_dict()
    given = bool(row["treatment"])
    late = bool(row["days_late"] > 0)
    names = [name for cost in COSTS for name in points(cost)]
    return {
        "treatment": row["treatment"] or None,
        "treated_on": plain(row["treated_on"]),
        "treat_by": plain(row["treat_by"]),
        "days_late": int(row["days_late"]) if given or late else None,
        "late": late if given or late else None,
        "why_late": row["why_late"],
        **(picked(row, names) if late else dict.fromkeys(names)),
    }


def _treatments(parts: Parts, apiary: str) -> list[dict[str, Any]]:
    rows = parts.of("efficacy", apiary)
    found = []
    for row in rows[rows["scope"] == "apiary"].sort_values("treatment_no").to_dict("records"):
        cause = top_cause(parts, row) if accused(parts, row) else dict.fromkeys(("cause", "evidence", "check"))
        found.append(picked(row, KILL) | cause)
    return found


def _loads(parts: Parts, here: Reading) -> dict[str, Any]:
    on = here.usual.start + timedelta(days=here.last)
    autumn = (date(here.usual.start.year, 10, 1) - here.usual.start).days
    middle = [float(np.median(here.mean(here.mites[:, :, day], day))) for day in range(0, here.last + 1, 7)]
    peak = int(np.nanargmax(middle)) if not np.all(np.isnan(middle)) else None
    counts = parts.of("readings", here.apiary)
    return {
        **banded("load", _mean(here, here.mites, here.last)),
        **banded("per_100_bees", here.mean(here.infestation(here.last), here.last)),
        "load_on": plain(on),
        "load_basis": _basis(parts, here),
        **banded("load_autumn", _mean(here, here.mites, autumn) if 0 <= autumn <= here.last else None),
        "peak_p50": None if peak is None else middle[peak],
        "peak_on": None if peak is None else plain(here.usual.start + timedelta(days=7 * peak)),
        "counts": _used(parts, here.apiary),
        "last_count": plain(counts["date"].max()) if len(counts) else None,
    }


def _mean(here: Reading, values: Draws, day: int) -> Array:
    return here.mean(values[:, :, day], day)


def _basis(parts: Parts, here: Reading) -> str:
    used = _used(parts, here.apiary)
    if used:
        last = parts.of("readings", here.apiary)["date"].max()
        counts = "1 count" if used == 1 else f"{used} counts"
        return f"from {counts}, the last read {last:%Y-%m-%d}, carried by usual growth and kills"
    others = any(_used(parts, other) for other in parts.season.readings)
    return "no count here: " + ("the other apiaries' level and the usual year" if others else "the usual year only")


def _used(parts: Parts, apiary: str) -> int:
    counts = parts.records.in_season("counts")
    return sum(readable(row) for row in counts[counts["apiary"] == apiary].to_dict("records"))


def _open(parts: Parts, apiary: str) -> dict[str, Any]:
    due = parts.of("today", apiary).to_dict("records")
    open_points = parts.of("open_points", apiary).to_dict("records")
    strips = parts.of("strips_in", apiary).to_dict("records")
    return {
        "today": picked(due[0], DUE) if due else None,
        "open_points": [picked(row, ["kind", "what", "since", "remedy"]) for row in open_points],
        "strips_in": [picked(row, ["treatment", "since"]) for row in strips],
    }
