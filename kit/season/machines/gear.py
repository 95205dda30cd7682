"""One row for each check of a supply or sublimator: what was recorded, what is to be expected, what is likely wrong.

Columns of `tables/gear.csv`

=============================  ===========================================================================
`item`, `kind`                 of the gear sheet; '' when the line names none; kind sublimator or battery
`date`, `apiary`               of the visit; the day's apiaries joined by `; ` for the doses of a charge
`check`                        warm-up, expulsion, resting volts, volts after, or doses of a charge
`recorded`, `unit`             what was written down
`expected_p05` `_p50` `_p95`   of one such reading with the item in good order
`verdict`                      in order / slow / fast / low / not full / ran out early / not run down
`likely_cause`                 '' when in order; two joined by "or" when one alone would say too much
`what_to_check`                what tells the likely causes apart
`basis`                        what the expected range rests on
`from_file`, `from_row`        where it was written
=============================  ===========================================================================
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.calc.causes import NO_FAULT, Timing, expected_times
from kit.calc.ranges import Band, band_of
from kit.constants import causes as slow_k
from kit.constants import heat as heat_k
from kit.season.machines.charges import charge_checks
from kit.season.machines.supplies import gear_row
from kit.season.machines.uses import air_or_usual, uses
from kit.season.machines.vapour import Pairing, pairings, supply_key

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    *("item", "kind", "date", "apiary", "check", "recorded", "unit", "expected_p05", "expected_p50", "expected_p95"),
    *("verdict", "likely_cause", "what_to_check", "basis", "from_file", "from_row"),
]


def gear_checks(records: Records) -> pd.DataFrame:
    """Every check that the season's records allow, sorted by date, apiary, item and check; empty when there is none."""
    used = uses(records)
    rows = [*_machine_checks(records, used), *charge_checks(records, used)]
    table = pd.DataFrame(rows, columns=COLUMNS)
    table["date"] = pd.to_datetime(table["date"])
    return table.sort_values(["date", "apiary", "item", "check"], kind="stable", ignore_index=True)


def _machine_checks(records: Records, used: pd.DataFrame) -> Iterator[dict[str, Any]]:
    known = pairings(records)
    for key, cells in zip(supply_key(used), used.to_dict("records"), strict=True):
        row = {str(name): value for name, value in cells.items()}
        pairing = known.get((row["sublimator"], key))
        if pairing is None:
            continue
        seconds, minutes = _expected(row, pairing)
        place = {"item": row["sublimator"], "kind": "sublimator"}
        place |= {name: row[name] for name in ("date", "apiary", "from_file", "from_row")}
        for check, column, unit, band in (
            ("warm-up", "warm_up_min", "min", minutes),
            ("expulsion", "expel_s", "s", seconds),
        ):
            if not math.isnan(row[column]):
                basis = _basis(records, row["sublimator"], column, pairing)
                said = _verdict(row[column], band, pairing)
                yield place | {"check": check, "recorded": row[column], "unit": unit, "basis": basis, **said}


def _expected(row: dict[str, Any], pairing: Pairing) -> tuple[Band, Band]:
    """Seconds and minutes of one reading of this machine in good order."""
    rng = np.random.default_rng(0)
    dose_g = row["dose_g"] if row["dose_g"] > 0 else pairing.machine.dose_g
    timing = Timing(None, None, dose_g=dose_g, air_c=air_or_usual(row["air_c"]))
    seconds, minutes = expected_times(timing, pairing.machine, NO_FAULT, rng.standard_normal((4, 2000)))
    watch, clock, room = rng.standard_normal((3, 2000))
    minutes = minutes * np.exp(slow_k.WARM_UP_SCATTER.value * room) + heat_k.WARM_UP_READING_MIN.value * clock
    return band_of(seconds * np.exp(heat_k.STOPWATCH_REL.value * watch)), band_of(np.maximum(minutes, 0.5))


def _basis(records: Records, item: str, column: str, pairing: Pairing) -> str:
    printed = gear_row(records, item).get(column)
    said = "usual of the trade" if printed is None or pd.isna(printed) else "as the gear sheet has it"
    return f"{said}; on {pairing.supply.said}"


def _verdict(recorded: float, band: Band, pairing: Pairing) -> dict[str, Any]:
    verdict = "slow" if recorded > band.p95 else "fast" if recorded < band.p05 else "in order"
    slow = verdict == "slow"
    return {
        **dict(zip(("expected_p05", "expected_p50", "expected_p95"), band, strict=True)),
        "verdict": verdict,
        "likely_cause": pairing.likely if slow else "",
        "what_to_check": pairing.check if slow else "",
    }
