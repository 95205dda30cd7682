"""The season's treatments, round by round: what makes one treatment, what was given, how, on how many hives."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.constants import reading
from kit.constants.treatment_words import OXALIC, WORKS_DAYS
from kit.records.corrections import season_in_force
from kit.records.texts import every_word

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    "apiary",
    "treatment",
    "treatment_no",
    "round",
    "date",
    "removed",
    "standing",
    "done",
    "product",
    "dose",
    "unit",
    "dose_g",
    "seal",
    "air_c",
    "wind",
    "expel_s",
    "sublimator",
    "wrong",
    "why_late",
    "supers_on",
    "from_file",
    "from_row",
]
_FIRST = ("removed", "product", "dose", "unit", "seal", "air_c", "wind", "expel_s", "sublimator", "supers_on", "round")


def rounds(records: Records) -> pd.DataFrame:
    """One row for each round of the season at each apiary; `treatment_no` counts an apiary's treatments by their start.

    `dose_g` is crystals [g] a hive; `done` hives treated, NaN when not recorded. A line that another one corrects
    is left out.
    """
    of_day = done_of_day(records)
    rows = [_round(records, key, part, of_day) for key, part in _same_day(season_in_force(records, "treatments"))]
    table = pd.DataFrame(rows, columns=[*COLUMNS])
    table = table.sort_values(["apiary", "date", "treatment"], kind="stable", ignore_index=True)
    return _numbered(table)


def last_in_place(row: Any, until: pd.Timestamp) -> pd.Timestamp:
    """The last day a round or placing worked: its removal, else the usual days in place, never past `until`."""
    usual = WORKS_DAYS.get(str(row["treatment"]))
    if usual is None:
        return min(pd.Timestamp(row["date"]), until)
    ends = row["removed"] if not pd.isna(row["removed"]) else row["date"] + pd.Timedelta(days=usual.value)
    return min(pd.Timestamp(max(ends, row["date"])), until)


def crystals_g(records: Records, product: str, dose: float, unit: str) -> float:
    """Crystals in one dose [g], through the label's strength where the user gave one; NaN for doses not in grams."""
    if unit not in ("g", ""):
        return float("nan")
    labels = records.tables["labels"]
    strength = labels.loc[labels["product"].str.casefold() == product.casefold(), "strength_mg_per_g"].dropna()
    return dose * float(strength.iloc[-1]) / 1000 if len(strength) and product else dose


def done_of_day(records: Records) -> dict[tuple[str, pd.Timestamp], float]:
    """Hives done by the log at an apiary on a day, where no treatment of that day carries a number of its own."""
    heads = records.heads.dropna(subset=["done"]).drop_duplicates(["apiary", "date"])
    treatments = records.tables["treatments"].dropna(subset=["done"])
    own = set(zip(treatments["apiary"], treatments["date"], strict=True))
    told = zip(heads["apiary"], heads["date"], heads["done"], strict=True)
    return {(apiary, day): float(done) for apiary, day, done in told if (apiary, day) not in own}


def _same_day(treatments: pd.DataFrame) -> list[tuple[tuple[Any, ...], pd.DataFrame]]:
    ordered = treatments.sort_values(
        ["apiary", "date", "treatment", "colonies", "from_file", "from_row"], kind="stable"
    )
    groups = ordered.groupby(["apiary", "date", "treatment"], sort=True, dropna=False)
    return [(key, part) for key, part in groups]


def _round(
    records: Records, key: tuple[Any, ...], part: pd.DataFrame, of_day: Mapping[tuple[str, pd.Timestamp], float]
) -> dict[str, Any]:
    apiary, day, word = key
    head = _head(records, str(apiary), day)
    first = {column: _first(part[column]) for column in _FIRST}
    crystals = crystals_g(records, str(first["product"]), float(first["dose"]), str(first["unit"]))
    return {
        "apiary": apiary, "date": day, "treatment": word, "treatment_no": 0, **first,
        "dose_g": crystals if word in OXALIC else float("nan"),
        "standing": head.get("standing", float("nan")),
        "done": _done(records, str(apiary), part, of_day.get((str(apiary), day), _own_done(part))),
        "wrong": head.get("wrong", ""), "why_late": head.get("why_late", ""),
        "from_file": part["from_file"].iloc[0], "from_row": part["from_row"].iloc[0],
    }  # fmt: skip


def _head(records: Records, apiary: str, day: pd.Timestamp) -> dict[str, Any]:
    heads = records.heads[(records.heads["apiary"] == apiary) & (records.heads["date"] == day)]
    if heads.empty:
        return {}
    words = {column: every_word(heads[column]) for column in ("wrong", "why_late")}
    return {"standing": _first(heads["standing"]), **words}


def _own_done(part: pd.DataFrame) -> float:
    """Hives done by one treatment's own lines of a day: lines of the log add up, never beyond the hives standing."""
    if not (part["from_table"] == "log").all():
        return float(_first(part["done"]))
    return float(np.fmin(part["done"].sum(min_count=1), part["standing"].max()))


def _done(records: Records, apiary: str, part: pd.DataFrame, told: float) -> float:
    """Hives done as told by the log, else those listed, else those standing; NaN where nothing says it."""
    if not pd.isna(told):
        return told
    lists = list(part["colonies"])
    if all(text not in ("", "all") for text in lists):
        return float(len({one for text in lists for one in text.split(";") if one}))
    if "all" not in lists:
        return float("nan")
    hives = records.hives(apiary, part["date"].iloc[0].date())
    return float("nan") if hives is None else float(hives)


def _first(values: pd.Series) -> Any:
    """The first value that was recorded, else the last of them, which is the empty one."""
    filled = values[(values != "") & values.notna()]
    return filled.iloc[0] if len(filled) else values.iloc[-1]


def _numbered(table: pd.DataFrame) -> pd.DataFrame:
    open_series: dict[tuple[str, str], tuple[pd.Timestamp, int, float]] = {}
    latest: dict[str, int] = {}
    for place, row in table.iterrows():
        key = (str(row["apiary"]), str(row["treatment"]))
        ended, number, last_round = open_series.get(key, (pd.Timestamp.min, 0, 0.0))
        gap = (row["date"] - ended).days if number else None
        begins = gap is None or gap > reading.SERIES_GAP_DAYS.value or row["round"] == 1
        if begins:
            number, last_round = latest.get(key[0], 0) + 1, 0.0
            latest[key[0]] = number
        this = row["round"] if not pd.isna(row["round"]) else last_round + 1
        table.loc[place, ["treatment_no", "round"]] = [number, this]
        open_series[key] = (last_in_place(row, pd.Timestamp.max), number, float(this))
    return table.astype({"treatment_no": "int64", "round": "float64"})
