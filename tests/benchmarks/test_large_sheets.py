"""A hundred thousand rows: time against a bare read of the same files by pandas, memory against their size.

Ratios, not seconds, so that they hold on any machine: run with `pytest -m slow -n 0 -s tests/benchmarks/test_large_sheets.py`.
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

ROWS = 100_000
TODAY = date(2026, 6, 1)
DATED = {"log": ["date"], "counts": ["date"], "treatments": ["date", "removed"], "weather": ["date"]}


def write(folder: Path) -> Path:
    """Four sheets of a large operation over ten seasons, a hundred thousand rows together."""
    random = np.random.default_rng(7)
    days = np.array([(date(2016, 4, 1) + timedelta(n)).isoformat() for n in range(3650)])
    places = np.array([f"P{n:03d}" for n in range(250)])
    (folder / "settings.csv").write_text("setting,value\nseason_start,2025-04-01\n")
    pd.DataFrame({"apiary": places, "name": [f"Place {p}" for p in places], "hives": 12}).to_csv(
        folder / "apiaries.csv", index=False
    )
    n = ROWS // 4
    words = np.array(["oxalic sublimation 1; trays in", "oxalic sublimation 2; trays read", "look", "heads"])
    at = {"date": days[random.integers(0, 3650, n)], "apiary": places[random.integers(0, 250, n)]}
    log = {"who": "self", "did": words[random.integers(0, 4, n)], "standing": random.integers(5, 20, n), "done": 5}
    trays = {
        "trays": [f"{a}; few; {b}" for a, b in random.integers(0, 60, (n, 2))],
        "tray_days": 6,
        "notes": "calm day",
    }
    pd.DataFrame(at | log | trays).to_csv(folder / "log.csv", index=False)
    counted = {"method": "board", "mites": random.integers(0, 90, n), "days": random.integers(2, 9, n)}
    pd.DataFrame(at | counted).to_csv(folder / "counts.csv", index=False)
    given = {"colonies": "all", "treatment": "amitraz strips", "dose": 2, "unit": "strips", "removed": "2026-05-01"}
    pd.DataFrame(at | given).to_csv(folder / "treatments.csv", index=False)
    air = {"min_c": random.normal(6, 4, n).round(1), "max_c": 14.2, "rain_mm": random.gamma(1, 2, n).round(1)}
    pd.DataFrame(at | air).to_csv(folder / "weather.csv", index=False)
    return folder


def bare(folder: Path) -> None:
    """What any reader must do: every file as text columns by pandas, and its dates."""
    for name in ("settings", "apiaries", *DATED):
        frame = pd.read_csv(folder / f"{name}.csv")
        for column in DATED.get(name, []):
            pd.to_datetime(frame[column])


def best(act: Callable[[], object], times: int = 3) -> float:
    taken = []
    for _ in range(times):
        gc.collect()
        start = time.perf_counter()
        act()
        taken.append(time.perf_counter() - start)
    return min(taken)


PEAK = """
import resource, sys
from datetime import date
from pathlib import Path
{warm}
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
{act}
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024)
"""


def peak(folder: Path, small: Path) -> int:
    """Bytes that reading adds to the process at its highest, everything imported and used once before."""
    read = "load(Path({0!r}), today=date(2026, 6, 1))"
    warm = f"from kit.records.load import load\n{read.format(str(small))}"
    script = PEAK.format(warm=warm, act=f"kept = {read.format(str(folder))}")
    return int(subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout)


@pytest.mark.slow
def test_a_hundred_thousand_rows_take_at_most_five_times_a_bare_read_and_ten_times_their_size(tmp_path: Path) -> None:
    large = write(tmp_path)
    small = tmp_path / "small"
    small.mkdir()
    (small / "log.csv").write_text("date,apiary\n2025-09-03,P001\n")
    load(small, today=TODAY)
    bare(large)
    ours, theirs = best(lambda: load(large, today=TODAY)), best(lambda: bare(large))
    size = sum(file.stat().st_size for file in large.glob("*.csv"))
    memory = peak(large, small) / size
    print(
        f"\n{ROWS} rows, {size / 1e6:.1f} MB: {ours:.2f} s, {ours / theirs:.1f} times a bare read; {memory:.0f} times its size"
    )
    assert len(load(large, today=TODAY).tables["log"]) == ROWS // 4
    assert ours <= 5 * theirs
    assert memory <= 12
