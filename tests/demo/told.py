"""The true story of the demo, for those who check what the kit finds."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import Any

import numpy as np

from tests.demo import year
from tests.demo.details import OVER_LABEL
from tests.demo.mess import spoiled
from tests.demo.places import PLACES
from tests.demo.stock import used
from tests.demo.world import SEED, World
from tests.simulator.truth import true_kill

TREAT_BY = date(2025, 8, 15)
SHOWN = tuple(
    date(y, m, 1) for y, m in ((2025, 4), (2025, 7), (2025, 8), (2025, 9), (2025, 10), (2025, 11), (2026, 1), (2026, 3))
)
WINTER_FROM, WINTER_TO = date(2025, 10, 1), date(2026, 3, 31)


def told(world: World) -> dict[str, Any]:
    late = {a: (when - TREAT_BY).days for a, when in year.MAIN_2025.items()}
    return {
        "season": 2025,
        "treat_by": f"{TREAT_BY}",
        "main_treatment": {a: {"on": f"{w}", "days_late": late[a], "what": year.MAIN[2025][a].treatment}
                           for a, w in year.MAIN_2025.items()},
        "late": {a: {"days": d, "why": "ground" if a == "SLUICE" else "supers"} for a, d in late.items() if d > 0},
        "slow_sublimator": {"item": "S2", "why": "worn element: slow at full battery volts, at every place"},
        "weak_generator": {"item": "G1", "apiary": "SALLOW", "why": "S1 does 20 s on other supplies, 36 s on this one"},
        "weak_battery": {"item": "B2", "apiary": "ASH", "doses_per_charge": year.ASH_DONE},
        "poor_seals": {"apiary": "KILN"},
        "forgotten_strips": {"apiary": "ROOK", "in": f"{year.MAIN_2025['ROOK']}", "out": None},
        "over_label": {"apiary": OVER_LABEL[0], "round": OVER_LABEL[1], "dose_g": OVER_LABEL[2], "limit_g": 2.3},
        "no_label": ["thymol trays C"],
        "record_gaps": {"formic acid D": ["batch", "supplier_address", "evidence"]},
        "used_past_expiry": {"batch": "OX-2311", "expiry": "2025-09-30", "apiary": "HOME"},
        "never_counted": ["NOOK", "ASH"],
        "unnumbered": [p.apiary for p in PLACES if not p.prefix],
        "set_aside": [list(one) for one in sorted(spoiled(set_aside=True))],
        "cells_not_read": [list(one) for one in sorted(spoiled(set_aside=False))],
        "used": {season: dict(sorted(used(world, season).items())) for season in (2024, 2025)},
        "winter": _winter(world),
        "mean_mites": _mites(world),
        "kill_pct": _kills(world),
    }  # fmt: skip


def _winter(world: World) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for place in PLACES:
        went_in = world.standing(place.apiary, WINTER_FROM)
        causes = Counter(world.died[x][1] for x in went_in if x in world.died and world.died[x][0] <= WINTER_TO)
        found[place.apiary] = {
            "wintered": len(went_in),
            "lost": sum(causes.values()),
            "by_cause": dict(sorted(causes.items())),
        }
    return found


def _mites(world: World) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for place in PLACES:
        rows = {}
        for when in SHOWN:
            lanes, day = list(world.standing(place.apiary, when)), world.day(when)
            on, bees = world.track.on_bees[lanes, day].sum(), world.track.bees[lanes, day].sum()
            rows[f"{when}"] = {"hives": len(lanes), "mites": round(float(world.track.mites[lanes, day].mean()), 1),
                               "per_100_bees": round(float(100 * on / bees), 2)}  # fmt: skip
        found[place.apiary] = rows
    return found


def _kills(world: World) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, course in sorted(world.courses.items()):
        true = true_kill(world.story, world.track, course, 6, np.random.default_rng([SEED, 5]))
        known = true.efficacy_pct[~np.isnan(true.a) & (true.b >= 5)]
        first, last = (f"{world.story.date_of(d)}" for d in (course.first, course.last))
        apiary, what = name.split("-", 1)
        found[name] = {"apiary": apiary, "what": what, "start": first, "end": last, "colonies": len(known),
                       "efficacy_pct": round(float(np.median(known)), 1) if len(known) else None}  # fmt: skip
    return found
