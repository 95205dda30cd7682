"""One apiary's programme and its winter round as facts: what was chosen, what was done, and what would be surer.

`programme`: {treatments: list of {treatment, rounds, window}, chance_pct, wanted_pct, minutes, is_did, weakest, did,
surer}. `did` {chance_pct, minutes} is what was done last season, None where that is chosen. `surer` {programme,
chance_pct, minutes, why_not} is the least work that reaches the chance where the chosen one, on the plan's days, does
not; None where none does. `winter_round`: {first, last, chance_pct} by the odds of brood, None where none is planned.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from kit.plan.programme.broodless import Brood
from kit.plan.programme.wishes import Wanted
from kit.plan.sites import Site

LIMITS = ("summer", "october", "spring")


def programme_fact(table: pd.DataFrame, apiary: str, wishes: Sequence[Wanted]) -> dict[str, Any] | None:
    """Of one apiary, from the rows of `programmes`; None where nothing was weighed."""
    rows = table[table["apiary"] == apiary].to_dict("records")
    if not rows:
        return None
    chosen = next(row for row in rows if row["chosen"] == "yes")
    did = next(row for row in rows if row["did"] == "yes")
    short = chosen["chance_pct"] < chosen["wanted_pct"]
    enough = [row for row in rows if short and row["chance_pct"] >= chosen["wanted_pct"]]
    surer = min(enough, key=lambda row: (row["why_not"] != "", row["minutes"]), default=None)
    return {
        "treatments": [{"treatment": wish.word, "rounds": wish.rounds, "window": wish.window} for wish in wishes],
        **_short(chosen), "wanted_pct": chosen["wanted_pct"], "is_did": chosen is did,
        "weakest": min(LIMITS, key=lambda name: chosen[f"chance_{name}_pct"]),
        "did": None if chosen is did else _short(did),
        "surer": None if surer is None else _short(surer) | {k: surer[k] for k in ("programme", "why_not")},
    }  # fmt: skip


def _short(row: Any) -> dict[str, float]:
    return {"chance_pct": row["chance_pct"], "minutes": row["minutes"]}


def winter_fact(site: Site, brood: Brood, wishes: Sequence[Wanted]) -> dict[str, Any] | None:
    """The winter round's days and the least chance on them of a hive with hardly any brood."""
    window = site.broodless
    if window is None or not any(wish.window == "winter" for wish in wishes):
        return None
    inside = [
        chance for day, chance in zip(brood.days, brood.chance_pct, strict=True) if window.opens <= day <= window.due
    ]
    return {
        "first": window.opens.isoformat(), "last": window.due.isoformat(),
        "chance_pct": float(min(inside, default=0.0)),
    }  # fmt: skip
