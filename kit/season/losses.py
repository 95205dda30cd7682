"""Losses of the winter by apiary and cause, seen and expected; hives of an apiary share their luck.

The rows of the whole operation carry the apiary `all`, those of all causes the cause `all`. `expected_pct` stands in
the rows of all causes and of mites. Only survivors are counted in spring, and late apiaries were often late for a
reason that also kills.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from kit.calc.losses import LossRate, loss_rate
from kit.calc.ranges import Band, band_of
from kit.season.expected import Winter
from kit.season.heads import Heads
from kit.season.loads import POINTS
from kit.season.reading import Reading, Season
from kit.season.usual import Array

ALL, MITES = "all", "mites"
COLUMNS = [
    "apiary", "cause", "wintered", "lost", "loss_pct", "loss_pct_low", "loss_pct_high",
    *(f"expected_pct_{p}" for p in POINTS),
]  # fmt: skip
NAN = float("nan")


@dataclass(frozen=True)
class Losses:
    """The table, the rate of the whole operation (None without heads), and expected losses as draws by apiary [%]."""

    table: pd.DataFrame
    rate: LossRate | None
    expected: dict[str, Array]


def losses(heads: Sequence[Heads], season: Season, winter: Winter) -> Losses:
    """Rows for each apiary and for the whole, by cause."""
    expected, by_mites = {}, {}
    for apiary, here in season.readings.items():
        by_mites[apiary], expected[apiary] = _expected(here, winter)
    rows: list[list[Any]] = []
    for one in heads:
        rows += _apiary_rows(one, expected.get(one.apiary), by_mites.get(one.apiary))
    whole = _whole(heads)
    rows += _whole_rows(whole, _weighted(heads, expected), _weighted(heads, by_mites))
    rate = (
        loss_rate([h.wintered or 0 for h in whole], [h.lost or 0 for h in whole])
        if any(h.wintered for h in whole)
        else None
    )
    return Losses(pd.DataFrame(rows, columns=COLUMNS), rate, expected)


def _expected(here: Reading, winter: Winter) -> tuple[Array, Array]:
    day = here.usual.index(winter.last)
    by_mites = winter.by_mites_pct(here, here.course)
    return here.mean(by_mites, day), here.mean(winter.expected_pct(by_mites), day)


def _whole(heads: Sequence[Heads]) -> list[Heads]:
    """Apiaries whose both heads are recorded."""
    return [h for h in heads if h.lost is not None and h.wintered]


def _apiary_rows(one: Heads, expected: Array | None, by_mites: Array | None) -> list[list[Any]]:
    wintered = NAN if one.wintered is None else float(one.wintered)
    lost = NAN if one.lost is None else float(one.lost)
    rows = [[one.apiary, ALL, wintered, lost, *_rate([one], [one.lost]), *_band(expected)]]
    for cause in _causes([one]):
        rows.append(_cause_row(one.apiary, cause, wintered, [one], by_mites))
    return rows


def _whole_rows(whole: list[Heads], expected: Array | None, by_mites: Array | None) -> list[list[Any]]:
    wintered = float(sum(h.wintered or 0 for h in whole)) if whole else NAN
    lost = float(sum(h.lost or 0 for h in whole)) if whole else NAN
    rows = [[ALL, ALL, wintered, lost, *_rate(whole, [h.lost for h in whole]), *_band(expected)]]
    for cause in _causes(whole):
        rows.append(_cause_row(ALL, cause, wintered, whole, by_mites))
    return rows


def _cause_row(apiary: str, cause: str, wintered: float, heads: Sequence[Heads], by_mites: Array | None) -> list[Any]:
    of_cause = [h.causes.get(cause, 0) for h in heads]
    rate = _rate(heads, of_cause if all(h.lost is not None for h in heads) else [None])
    return [apiary, cause, wintered, float(sum(of_cause)), *rate, *_band(by_mites if cause == MITES else None)]


def _causes(heads: Sequence[Heads]) -> list[str]:
    total: dict[str, int] = {}
    for one in heads:
        for cause, dead in one.causes.items():
            total[cause] = total.get(cause, 0) + dead
    return sorted(total, key=lambda cause: (-total[cause], cause))


def _rate(heads: Sequence[Heads], lost: Sequence[int | None]) -> list[float]:
    known = [
        (h.wintered, min(k, h.wintered)) for h, k in zip(heads, lost, strict=False) if k is not None and h.wintered
    ]
    if not known or len(known) < len(heads):
        return [NAN, NAN, NAN]
    rate = loss_rate([n for n, _ in known], [k for _, k in known])
    return [rate.loss_pct, *rate.interval_pct]


def _weighted(heads: Sequence[Heads], draws: dict[str, Array]) -> Array | None:
    """Mean of draws over apiaries by the hives wintered; apiaries without heads do not count while others have them."""
    weights = {h.apiary: float(h.wintered or 0) for h in heads}
    if not any(weights.values()):
        weights = dict.fromkeys(draws, 1.0)
    known = [(weights.get(apiary, 0.0), values) for apiary, values in draws.items() if not np.isnan(values).any()]
    total = sum(w for w, _ in known)
    return np.asarray(sum(w * values for w, values in known)) / total if total else None


def _band(draws: Array | None) -> Band:
    return Band(NAN, NAN, NAN) if draws is None or np.isnan(draws).any() else band_of(draws)
