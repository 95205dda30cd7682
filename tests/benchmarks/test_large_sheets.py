"""A hundred thousand rows: time against a bare read of the same files by pandas, memory against their size.

Ratios, not seconds, so that they hold on any machine: `pytest -m slow -n 0 -s tests/benchmarks/test_large_sheets.py`.
"""

import gc
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.records.load import load
from kit.records.tables import TABLES

TODAY = date(2026, 6, 1)
ROWS = {"counts": 45_000, "inspections": 25_000, "weather": 20_000, "treatments": 5_000, "log": 5_000}
"""Ten years of sixty apiaries that count much: a hundred thousand rows."""
MOST_TIMES_SIZE = 10
TURNS = 6
"""Runs of both in turn, so that a busy minute slows both; the quickest of each are set against each other."""
MOST_TIMES_BARE = 5
"""Against the quickest pandas can do, dates of one style that it guesses by itself."""


def write(folder: Path) -> Path:
    """The sheets with every documented column, as a spreadsheet saves them; what stands in them fits together."""
    random = np.random.default_rng(7)
    first = date(2016, 4, 1)
    days = np.array([(first + timedelta(n)).isoformat() for n in range(3650)])
    places = np.array([f"P{n:03d}" for n in range(60)])
    words = np.array(["oxalic sublimation 1; trays in", "oxalic sublimation 2; trays read", "look", "heads"])
    strips = [
        {"date": str(first.replace(year=year, month=month)), "apiary": place, "did": f"amitraz strips; strips {way}"}
        for year in range(2016, 2026)
        for place in places
        for month, way in ((8, "in"), (10, "out"))
    ]
    trays = np.array(["", "12; 5; few"])
    mine: dict[str, Callable[[int], dict[str, object]]] = {
        "counts": lambda n: {"method": "board", "mites": random.integers(0, 90, n),
                             "days": random.integers(2, 9, n), "notes": "calm, a little rain in the afternoon"},
        "inspections": lambda n: {"strength": "strong", "queen": "seen", "supers": 1,
                                  "bee_frames": random.integers(3, 11, n), "notes": "quiet bees, good pattern"},
        "weather": lambda n: {"min_c": random.normal(5, 3, n).round(1), "max_c": 12.5, "rain_mm": 0.2, "wind_kmh": 9},
        "treatments": lambda n: {"colonies": "all", "treatment": "oxalic sublimation", "product": "powder", "dose": 2.3,
                                 "unit": "g", "round": 1, "air_c": random.integers(2, 12, n), "wind": "calm"},
        "log": lambda n: {"who": "self", "did": words[random.integers(0, 4, n)], "standing": 8, "done": 8,
                          "trays": trays[random.integers(0, 2, n)], "tray_days": 5},
    }  # fmt: skip
    (folder / "settings.csv").write_text("setting,value\nseason_start,2025-04-01\n")
    pd.DataFrame({"apiary": places, "hives": 8}).to_csv(folder / "apiaries.csv", index=False)
    stays = [{"colony": f"{place}-{n}", "apiary": place} for place in places for n in range(8)]
    pd.DataFrame(stays).to_csv(folder / "colonies.csv", index=False)
    for name, rows in ROWS.items():
        blank = dict.fromkeys(TABLES[name].names, "")
        when = {"date": days[random.integers(0, 3650, rows)], "apiary": places[random.integers(0, 60, rows)]}
        frame = pd.DataFrame(blank | when | mine[name](rows), index=range(rows))
        if "colony" in frame:
            frame["colony"] = frame["apiary"] + "-" + pd.Series(random.integers(0, 8, rows)).astype(str)
        if name == "log":
            first_lines = pd.DataFrame(strips).reindex(columns=frame.columns, fill_value="")
            frame = pd.concat([first_lines, frame.iloc[len(strips) :].astype(object)])
        frame.to_csv(folder / f"{name}.csv", index=False)
    return folder


def bare(folder: Path) -> None:
    """What any reader must do: every file as text by pandas, and its dates."""
    for file in folder.glob("*.csv"):
        frame = pd.read_csv(file, dtype=str, keep_default_na=False)
        for column in TABLES[file.stem].columns:
            if column.kind == "date" and column.name in frame:
                filled = frame[column.name]
                pd.to_datetime(filled[filled != ""])


def _seconds(act: Callable[[], object]) -> float:
    """Processor time of one run [s]."""
    gc.collect()
    start = time.process_time()
    act()
    return time.process_time() - start


PEAK = """
import re
from datetime import date
from pathlib import Path
from kit.records.load import load
load(Path({small!r}), today=date(2026, 6, 1))
peak = lambda: int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1])
before = peak()
kept = load(Path({large!r}), today=date(2026, 6, 1))
print((peak() - before) * 1024)
"""


def peak(large: Path, small: Path) -> int:
    """Bytes that reading adds to the process at its highest, everything imported and used once before."""
    script = PEAK.format(small=str(small), large=str(large))
    return int(subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout)


@pytest.mark.long
def test_a_hundred_thousand_rows_take_at_most_five_times_a_bare_read_and_ten_times_their_size(tmp_path: Path) -> None:
    large = write(tmp_path)
    small = tmp_path / "small"
    small.mkdir()
    (small / "log.csv").write_text("date,apiary\n2025-09-03,P001\n")
    load(small, today=TODAY)
    turns = [(_seconds(lambda: load(large, today=TODAY)), _seconds(lambda: bare(large))) for _ in range(TURNS)]
    ours, theirs = (min(seconds) for seconds in zip(*turns, strict=True))
    size = sum(file.stat().st_size for file in large.glob("*.csv"))
    memory = peak(large, small) / size
    told = f"{ours / theirs:.1f} times a bare read, memory {memory:.1f} times the {size / 1e6:.1f} MB"
    print(f"\n{sum(ROWS.values())} rows: {ours:.2f} s, {told}")
    records = load(large, today=TODAY)
    assert records.account["rows"].sum() == sum(ROWS.values()) + 61 + 480 and records.set_aside == 0
    assert ours <= MOST_TIMES_BARE * theirs
    assert memory <= MOST_TIMES_SIZE
