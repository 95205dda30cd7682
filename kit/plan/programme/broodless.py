"""When a hive has no brood, or hardly any: odds by date from the hives as read, corrected by crumbs seen on trays.

Hardly any: no more than a tenth of its mites sit in capped cells, so that a winter round misses no more than that.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import pandas as pd

from kit.calc.ranges import band_of
from kit.constants import plan
from kit.plan.ahead import Ahead, Window
from kit.plan.solver.problem import Floats

if TYPE_CHECKING:
    from kit.plan.programme.futures import Futures

BROODLESS_COLUMNS = [
    *("apiary", "date", "chance_pct", "capped_cells_p05", "capped_cells_p50", "capped_cells_p95"),
    *("in_window", "crumbs_seen", "basis"),
]
FROM, TO = (10, 1), (2, 15)
"""First and last day looked at, month and day."""
WEEK = 7
TENTH = 10.0
"""Points of chance that the odds may lie under their best."""
WHY = "hardly any brood, by odds: check for capping crumbs before driving"


class Brood(NamedTuple):
    """Odds of one apiary by day, shape (days,), with what they stand on.

    Parameters
    ----------
    days : tuple of date
        Each day from 1 October to mid-February.
    chance_pct : array
        Of a hive with hardly any brood [%].
    cells : array, shape (draws, days)
        Capped cells standing.
    crumbs : int
        Looks at trays for crumbs that the odds were corrected by.
    """

    days: tuple[date, ...]
    chance_pct: Floats
    cells: Floats
    crumbs: int


def brood_of(futures: Futures, crumbs: int) -> Brood:
    """The odds of one apiary's hives."""
    first = date(futures.winter_bees[0].year, *FROM)
    last = date(first.year + 1, *TO)
    days = tuple(first + timedelta(days=n) for n in range((last - first).days + 1))
    share, cells = futures.brood(days)
    return Brood(days, 100 * (share <= plan.BROODLESS_SHARE.value / 100).mean(axis=0), cells, crumbs)


def window_of(brood: Brood, ahead: Ahead) -> Window:
    """The winter round's days: from when the odds are near their best to when they have fallen by a tenth."""
    best = float(brood.chance_pct.max())
    good, fair = (
        [day for day, chance in zip(brood.days, brood.chance_pct, strict=True) if chance >= best - points]
        for points in (TENTH / 2, TENTH)
    )
    opens = max(good[0], ahead.earliest)
    return Window("winter", opens, max(good[-1], opens), fair[-1], WHY)


def broodless_table(broods: Mapping[str, Brood], windows: Mapping[str, Window]) -> pd.DataFrame:
    """One row for each apiary and week; columns `BROODLESS_COLUMNS`."""
    rows = [_row(apiary, brood, n, windows[apiary]) for apiary, brood in broods.items()
            for n in range(0, len(brood.days), WEEK)]  # fmt: skip
    table = pd.DataFrame(rows, columns=BROODLESS_COLUMNS)
    return table.astype({"date": "datetime64[us]", "chance_pct": "float64", "crumbs_seen": "int64"})


def _row(apiary: str, brood: Brood, n: int, window: Window) -> dict[str, object]:
    cells = band_of(brood.cells[:, n])
    day = brood.days[n]
    seen = f" and {brood.crumbs} looks for crumbs" if brood.crumbs else ""
    return {
        "apiary": apiary, "date": day, "chance_pct": float(brood.chance_pct[n]),
        "capped_cells_p05": cells.p05, "capped_cells_p50": cells.p50, "capped_cells_p95": cells.p95,
        "in_window": "yes" if window.opens <= day <= window.closes else "no", "crumbs_seen": brood.crumbs,
        "basis": f"the mite model's brood, as this season's hives were read{seen}",
    }  # fmt: skip
