"""How far one apiary's draws can be leant on: have the chains forgotten their start, do its counts look like its draws.

A count that fits nothing is named, not swallowed: the chance of one as far off is below 1 in 200 on its own side, over
all draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy import special

from kit.calc.mites import simulate_many
from kit.season.posterior.draws import Drawn
from kit.season.posterior.place import Place, Whole
from kit.season.posterior.sight import Look
from kit.season.usual import Array

OUTLYING = 0.005
JUDGED_EVERY_DAYS = 60


def trust(place: Place, drawn: Drawn, last: int) -> dict[str, Any]:
    """Diagnostics of one apiary, as the fact `trust` holds them."""
    checked = [row for n in range(len(place.sights)) for row in _checked(place, drawn, n)]
    inside = [row["low_tail"] > 0.05 and row["high_tail"] > 0.05 for row in checked]
    outlying = [row for row in checked if min(row["low_tail"], row["high_tail"]) < OUTLYING]
    return {
        "apiary": place.apiary,
        "draws": len(drawn.parameters),
        "ess": round(effective(place, drawn, last)),
        "counts": len(checked),
        "counts_inside_90_pct": round(100 * float(np.mean(inside))) if inside else None,
        "outlying": [{k: v for k, v in row.items() if not k.endswith("_tail")} for row in outlying],
    }


def effective(place: Place, drawn: Drawn, last: int) -> float:
    """Draws that have forgotten their start: count (1 - r²), r the rank correlation of loads over hives and days."""
    at = np.arange(min(last, JUDGED_EVERY_DAYS), last + 1, JUDGED_EVERY_DAYS, dtype=np.int64)
    before, after = (_loads(place, parameters, at) for parameters in (drawn.first.astype(np.float64), drawn.parameters))
    if not (np.isfinite(before).all() and np.isfinite(after).all()):
        return 0.0
    ranks = [np.argsort(np.argsort(each, axis=0), axis=0) for each in (before, after)]
    stray = [each - each.mean(axis=0) for each in ranks]
    r = (stray[0] * stray[1]).mean(axis=0) / np.maximum(stray[0].std(axis=0) * stray[1].std(axis=0), 1e-9)
    return float(len(before) * (1 - max(float(r.mean()), 0.0) ** 2))


def _loads(place: Place, parameters: Array, at: Whole) -> Array:
    draws, units, size = parameters.shape
    lanes = place.hives.lanes(parameters.reshape(-1, size), np.tile(np.arange(units), draws))
    return simulate_many(lanes, at=at).total.reshape(draws, -1)


def _checked(place: Place, drawn: Drawn, unit: int) -> list[dict[str, Any]]:
    sight, parameters = place.sights[unit], drawn.parameters[:, unit]
    if not sight.looks:
        return []
    lanes = np.arange(len(parameters))
    run = place.run(parameters, np.full(len(parameters), unit))
    expected = np.exp(sight.log_expected(place.seen(run, lanes, unit), parameters))
    counts = [k for k, look in enumerate(sight.looks) if look.kind in ("board", "sample")]
    sizes = sight.sizes(parameters)
    return [_row(place.hives.units[unit].colony, sight.looks[k], expected[:, k], sizes[:, k]) for k in counts]


def _row(colony: str, look: Look, expected: Array, size: Array) -> dict[str, Any]:
    tails = _tails(look, expected, size)
    points = np.quantile(expected, [0.05, 0.5, 0.95])
    return {
        "date": look.read.isoformat(),
        "colony": colony,
        "method": look.method,
        "found": look.low if look.low == look.high else _word(look),
        **dict(zip(("expected_p05", "expected_p50", "expected_p95"), (float(p) for p in points), strict=True)),
        "low_tail": tails[0],
        "high_tail": tails[1],
    }


def _tails(look: Look, expected: Array, size: Array) -> Sequence[float]:
    """Chance of a count as low, and of one as high, over all draws of what is expected and of its size."""
    share = size / (size + expected)
    low, high = np.floor(look.low), np.floor(look.high)
    as_low = 1.0 if np.isinf(high) else float(np.mean(special.betainc(size, high + 1, share)))
    as_high = float(np.mean(special.betaincc(size, low, share))) if low > 0 else 1.0
    return as_low, as_high


def _word(look: Look) -> str:
    return "many" if np.isinf(look.high) else "few"
