"""How well a reading of the season holds against the truth of a simulated one.

`python -m tests.simulator.score OUT FOLDER` prints it: OUT as `season review FOLDER/records --out OUT` left it,
FOLDER as `tests.simulator.sheets` wrote it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

PARTS = (  # first day of each part as month and day; winter runs on to the end of March
    ("spring", (4, 1)), ("early summer", (5, 16)), ("late summer", (7, 16)), ("autumn", (9, 16)), ("winter", (12, 1)),
)  # fmt: skip
FEWEST_MITES = 5.0
FEWEST_WITHOUT = 20.0
MISSED = 2 / 0.10  # weight of a miss in the interval score of a 90 % band (Gneiting & Raftery 2007, memory)
HANDBOOK = {1: 400, 2: 400, 3: 100, 4: 100, 5: 30, 6: 30, 7: 30, 8: 30, 9: 100, 10: 100, 11: 400, 12: 400}
"""Mites in the colony for one mite a day on the board, by month: *Managing Varroa* (second-hand)."""
LASTS_DAYS = 21


def part_of(day: pd.Timestamp) -> str:
    """The part of the season a day falls in.

    >>> part_of(pd.Timestamp("2026-02-03")), part_of(pd.Timestamp("2025-09-16"))
    ('winter', 'autumn')
    """
    if day.month < 4:
        return "winter"
    return [name for name, first in PARTS if (day.month, day.day) >= first][-1]


def loads(read: pd.DataFrame, truth: pd.DataFrame, counts: pd.DataFrame | None = None) -> pd.DataFrame:
    """Score `loads.csv` on colony-weeks with at least five true mites; one row for each part and one for all.

    With the counts given, two rows more part the colonies that were counted from those that never were.

    Parameters
    ----------
    read : DataFrame
        As the kit writes `loads.csv`.
    truth : DataFrame
        As `truth_loads.csv`, one row for every day.
    counts : DataFrame, optional
        The `counts` sheet.

    Returns
    -------
    DataFrame
        By part: colony-weeks, how many of the truth's had no row in `read`, share inside the 90 % band [%] for mites
        and for mites per 100 bees, median and 90th percentile of the error factor of the middle, interval score of
        the logarithms.
    """
    start = truth["date"].min()
    weekly = truth[((truth["date"] - start).dt.days % 7 == 0) & (truth["scope"] == "colony")]
    weekly = weekly[weekly["mites"] >= FEWEST_MITES]
    keys = ["date", "apiary", "colony", "scope"]
    both = weekly.merge(read.drop_duplicates(keys), on=keys, how="left", suffixes=("", "_read"))
    both["part"] = both["date"].map(part_of)
    names = [name for name, _ in PARTS]
    rows = {name: _load_row(both[both["part"] == name]) for name in names}
    if counts is not None:
        counted = both["colony"].isin(counts["colony"])
        rows |= {"counted": _load_row(both[counted]), "never counted": _load_row(both[~counted])}
    return pd.DataFrame({**rows, "all": _load_row(both)}).T


def _load_row(rows: pd.DataFrame) -> dict[str, float]:
    known = rows.dropna(subset=["mites_p50"])
    error = error_factor(known["mites_p50"], known["mites"])
    return {
        "colony_weeks": len(rows),
        "missing": len(rows) - len(known),
        "in_band_pct": inside_pct(known["mites"], known["mites_p05"], known["mites_p95"]),
        "per_100_in_band_pct": inside_pct(known["per_100_bees"], known["per_100_bees_p05"], known["per_100_bees_p95"]),
        "error_p50": float(np.median(error)) if len(error) else np.nan,
        "error_p90": float(np.quantile(error, 0.9)) if len(error) else np.nan,
        "interval_score": interval_score(known["mites"], known["mites_p05"], known["mites_p95"]),
    }


def inside_pct(true: pd.Series, low: pd.Series, high: pd.Series) -> float:
    """Share of the truth inside its band [%]; a hair of rounding in the tables is allowed for."""
    known = low.notna() & high.notna()
    true, low, high = true[known], low[known], high[known]
    if not len(true):
        return float("nan")
    return float(100 * ((true >= low * (1 - 1e-5)) & (true <= high * (1 + 1e-5))).mean())


def error_factor(middle: pd.Series, true: pd.Series) -> np.ndarray:
    """By what factor the middle is off, never below 1; both are held at half a mite or more.

    >>> error_factor(pd.Series([50.0, 200.0, 100.0]), pd.Series([100.0, 100.0, 100.0])).round(6).tolist()
    [2.0, 2.0, 1.0]
    """
    ratio = np.maximum(middle.to_numpy(float), 0.5) / np.maximum(true.to_numpy(float), 0.5)
    return np.exp(np.abs(np.log(ratio)))


def interval_score(true: pd.Series, low: pd.Series, high: pd.Series) -> float:
    """Mean interval score of 90 % bands on natural logarithms: width, and what a miss costs on top; lower is better.

    >>> one = pd.Series([100.0])
    >>> round(interval_score(one, one / 2, one * 2), 4), round(interval_score(one, one * 2, one * 2), 4)
    (1.3863, 13.8629)
    """
    if not len(true):
        return float("nan")
    x, a, b = (np.log(np.maximum(one.to_numpy(float), 0.5)) for one in (true, low, high))
    return float(np.mean((b - a) + MISSED * (np.maximum(a - x, 0) + np.maximum(x - b, 0))))


def efficacy(read: pd.DataFrame, truth: pd.DataFrame) -> pd.DataFrame:
    """Score `efficacy.csv` where the colony would have held at least 20 mites; with and without a board after."""
    keys = ["apiary", "colony", "treatment", "start"]
    wanted = truth[truth["mites_without"] >= FEWEST_WITHOUT]
    both = wanted.merge(read.drop_duplicates(keys), on=keys, how="left", suffixes=("", "_read"))
    after = both["board_after"] == "yes"
    return pd.DataFrame({"board after": _kill_row(both[after]), "no board": _kill_row(both[~after]),
                         "all": _kill_row(both)}).T  # fmt: skip


def _kill_row(rows: pd.DataFrame) -> dict[str, float]:
    known = rows.dropna(subset=["efficacy_p50"])
    inside = (known["efficacy"] >= known["efficacy_p05"] - 1e-3) & (known["efficacy"] <= known["efficacy_p95"] + 1e-3)
    return {
        "colonies": len(rows),
        "missing": len(rows) - len(known),
        "in_band_pct": float(100 * inside.mean()) if len(known) else np.nan,
        "width_p50": float((known["efficacy_p95"] - known["efficacy_p05"]).median()) if len(known) else np.nan,
        "miss_p50": float((known["efficacy_p50"] - known["efficacy"]).abs().median()) if len(known) else np.nan,
    }


def handbook(counts: pd.DataFrame, truth: pd.DataFrame) -> pd.DataFrame:
    """The handbook's reading scored the same way: the last board's drop a day times the month's factor.

    Bands are the reading over and times 2.5 (good to a factor of 2-3 either way). Colony-weeks without a board in
    the last three weeks have none and count as missing; 100 bees are not read.
    """
    boards = counts[(counts["method"] == "board") & (counts["colony"] != "")].copy()
    boards["mites_p50"] = boards["mites"] / boards["days"] * boards["date"].dt.month.map(HANDBOOK)
    ahead = pd.concat([_on_day(boards, days) for days in range(LASTS_DAYS)])
    read = ahead.sort_values("age").drop_duplicates(["date", "apiary", "colony"])
    read = read.assign(mites_p05=read["mites_p50"] / 2.5, mites_p95=read["mites_p50"] * 2.5, scope="colony")
    empty = dict.fromkeys(("per_100_bees_p05", "per_100_bees_p50", "per_100_bees_p95"), np.nan)
    columns = ["date", "apiary", "colony", "scope", "mites_p05", "mites_p50", "mites_p95"]
    return loads(read[columns].assign(**empty), truth)


def _on_day(boards: pd.DataFrame, days: int) -> pd.DataFrame:
    return boards.assign(date=boards["date"] + pd.Timedelta(days=days), age=days)


WORDS = ("apiary", "colony", "scope", "treatment", "basis", "board_after", "method", "season", "level")


def table(path: Path) -> pd.DataFrame:
    """A CSV with ids as text and dates as dates."""
    return typed(pd.read_csv(path, dtype=str, keep_default_na=False, na_values={}))


def typed(frame: pd.DataFrame) -> pd.DataFrame:
    """A table of texts with its dates as dates and its numbers as numbers, in place."""
    for name in frame.columns:
        if name in {"date", "start", "end"}:
            frame[name] = pd.to_datetime(frame[name])
        elif name not in WORDS:
            frame[name] = pd.to_numeric(frame[name].replace("", None))
    return frame


def main(out: Path, folder: Path) -> None:
    """Print the scores of a review."""
    truth = table(folder / "truth_loads.csv")
    counts = table(folder / "records/counts.csv")
    print(loads(table(out / "tables/loads.csv"), truth, counts).round(2).to_string(), "\n")
    print("the handbook's reading\n", handbook(counts, truth).round(2).to_string(), "\n")
    read, true = table(out / "tables/efficacy.csv"), table(folder / "truth_efficacy.csv")
    print(efficacy(read, true).round(2).to_string())


if __name__ == "__main__":
    main(*(Path(argument) for argument in sys.argv[1:3]))
