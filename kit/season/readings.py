"""What each count of the season says by itself, by the method named; a treatment's dead are not read as load."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.calc.counts import infestation_from_wash_pct, mites_from_board, mites_from_level, mites_from_wash
from kit.calc.ranges import Band
from kit.constants import counts as known
from kit.constants import reading
from kit.constants.treatment_words import KILLS_MITES
from kit.season.posterior.evidence import RECOVERY, day_of, readable
from kit.season.rounds import last_in_place
from kit.season.usual import Usual

if TYPE_CHECKING:
    from kit.records.records import Records

POINTS = ("p05", "p50", "p95")
COLUMNS = [
    "date", "apiary", "colony", "method", "mites", "level", "days", "bees", "per_day",
    *(f"mites_{p}" for p in POINTS), *(f"per_100_bees_{p}" for p in POINTS),
    "after_treatment", "reading", "from_file", "from_row",
]  # fmt: skip
NOTHING = Band(float("nan"), float("nan"), float("nan"))


def readings(records: Records, rounds: pd.DataFrame, usual: Usual) -> pd.DataFrame:
    """One row for each count of the season."""
    counts = records.in_season("counts").sort_values(
        ["date", "apiary", "colony", "method", "mites", "level", "from_file", "from_row"], kind="stable"
    )
    rows = [_row(records, rounds, usual, row) for row in counts.to_dict("records")]
    table = pd.DataFrame(rows, columns=COLUMNS)
    table["date"] = pd.to_datetime(table["date"])
    table["after_treatment"] = table["after_treatment"].astype(bool)
    return table


def dead_of(rounds: pd.DataFrame, row: Any) -> str:
    """The treatment whose dead a board of this apiary still holds, as words; '' when none."""
    laid = row["date"] - pd.Timedelta(days=float(row["days"]) if row["days"] > 0 else 0)
    here = rounds[(rounds["apiary"] == row["apiary"]) & rounds["treatment"].isin(KILLS_MITES)]
    for one in here[here["date"] < row["date"]].iloc[::-1].to_dict("records"):
        if laid <= last_in_place(one, row["date"]) + pd.Timedelta(days=reading.DEAD_TAIL_DAYS.value):
            return f"{one['treatment']} of {one['date']:%Y-%m-%d}"
    return ""


def _row(records: Records, rounds: pd.DataFrame, usual: Usual, row: Any) -> dict[str, Any]:
    dead = dead_of(rounds, row) if row["method"] == "board" else ""
    mites, share, how = _says(records, usual, row, dead)
    per_day = row["mites"] / row["days"] if row["method"] == "board" and row["days"] > 0 else float("nan")
    bands = {f"mites_{p}": v for p, v in zip(POINTS, mites, strict=True)}
    bands |= {f"per_100_bees_{p}": v for p, v in zip(POINTS, share, strict=True)}
    kept = {name: row[name] for name in COLUMNS if name in row}
    return kept | bands | {"per_day": per_day, "after_treatment": bool(dead), "reading": how}


def _says(records: Records, usual: Usual, row: Any, dead: str) -> tuple[Band, Band, str]:
    if not readable(row):
        return NOTHING, NOTHING, "not read: " + _lacks(row)
    if dead:
        return NOTHING, NOTHING, f"holds the dead of {dead}: read as evidence of its kill, not as load"
    if row["method"] == "board":
        return _board(records, row), NOTHING, "handbook factor on the board drop"
    if pd.isna(row["mites"]):
        return NOTHING, NOTHING, "not read: a word says nothing about a sample of bees"
    return _sample(usual, row)


def _board(records: Records, row: Any) -> Band:
    days, on = float(row["days"]), day_of(row)
    if pd.isna(row["mites"]):
        return mites_from_level(row["level"], few_max=records.settings.few_max, days=days, on=on)
    share = 100.0 if pd.isna(row["share_counted_pct"]) else float(row["share_counted_pct"])
    return mites_from_board(mites=float(row["mites"]), days=days, on=on, share_counted_pct=share)


def _sample(usual: Usual, row: Any) -> tuple[Band, Band, str]:
    bees = known.SAMPLE_BEES.value if pd.isna(row["bees"]) else float(row["bees"])
    day = usual.index(day_of(row))
    in_brood = 100 * float(usual.in_brood[day])
    around = Band(max(in_brood - 20, 0.0), in_brood, min(in_brood + 15, 95.0))
    sample: Any = {"mites": float(row["mites"]), "bees": bees, "method": row["method"]}
    mites = mites_from_wash(**sample, adults=float(usual.adults[day]), in_brood_pct=around)
    how = f"{row['method']}: its usual recovery; mites by the usual bees and brood of the date"
    return mites, infestation_from_wash_pct(**sample), how


def _lacks(row: Any) -> str:
    if row["method"] not in RECOVERY and row["method"] != "board":
        return f"the method {row['method']!r} is not known"
    if row["method"] == "board" and not row["days"] > 0:
        return "the days the board lay are not recorded"
    return "neither a number nor a word for the mites"
