"""Pages against a plain loop of stock papermill and stock nbconvert, on the same notebook, in the same run: a ratio."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from statistics import median

import pytest

from kit.report.execute import execute, source
from kit.report.export import Sheet, page_of
from kit.report.kernels import CAN_FORK, forked_kernels
from kit.report.write import write_text
from kit.season.findings import OPERATION, read
from tests.notebooks.conftest import run_demo
from tests.notebooks.test_faults import descendants, said

pytestmark = pytest.mark.skipif(not CAN_FORK, reason="forking is used on Linux only")
PAGES, STOCK, THREADS = 12, 2, 4
AT_LEAST = 4.0
"""Times faster; with room for a busy machine."""
MOST_MB = 250
"""For a worker, what it shares counted by its part."""


@pytest.mark.long
def test_pages_are_made_several_times_faster_than_by_the_stock_commands(tmp_path: Path) -> None:
    out = run_demo(tmp_path / "out", apiaries=("HOME",)).out
    assert read(out / "review" / "season" / f"{OPERATION}.json").facts["season"] == 2025
    with memory_of_kernels() as megabytes:
        ours = _ours(out, PAGES) / PAGES
    stock = _stock(out) / STOCK
    print(f"\none page: ours {ours:.2f} s, stock {stock:.2f} s, {stock / ours:.1f} times faster")
    print(f"a worker of its own: {max(megabytes):.0f} MB at most, {median(megabytes):.0f} MB in the middle")
    assert stock / ours >= AT_LEAST
    assert max(megabytes) < MOST_MB


@pytest.mark.long
def test_sixty_apiaries_are_made_six_times_faster_than_by_the_stock_commands(tmp_path: Path) -> None:
    out = run_demo(tmp_path / "out", apiaries=("HOME",)).out
    ours, stock = _ours(out, 60) / 60, _stock(out) / STOCK
    print(f"\nsixty pages: ours {ours:.2f} s each, stock {stock:.2f} s, {stock / ours:.1f} times faster")
    assert stock / ours >= 6


@contextmanager
def memory_of_kernels() -> Iterator[list[float]]:
    """Megabytes that each kernel holds for itself, what it shares with the warm process counted by its part."""
    seen, stop = [0.0], threading.Event()

    def look() -> None:
        while not stop.wait(0.05):
            seen.extend(_held(pid) for pid in descendants(os.getpid()) if "kernel_server" in said(pid))

    watcher = threading.Thread(target=look)
    watcher.start()
    try:
        yield seen
    finally:
        stop.set()
        watcher.join()


def _held(pid: int) -> float:
    try:
        rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
    except OSError:
        return 0.0
    return next((int(line.split()[1]) / 1024 for line in rollup.splitlines() if line.startswith("Pss:")), 0.0)


def _ours(out: Path, pages: int) -> float:
    def make(n: int) -> None:
        book = execute(
            "apiary_review", out / "notebooks" / "bench" / f"{n}.ipynb", {"review": "../../review", "apiary": "HOME"}
        )
        write_text(out / f"{n}.html", page_of(book, Sheet("t", "k", "")))

    start = time.perf_counter()
    with forked_kernels(), ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(make, range(pages)))
    return time.perf_counter() - start


def _stock(out: Path) -> float:
    folder = out / "notebooks" / "bench"
    start = time.perf_counter()
    for n in range(STOCK):
        made = folder / f"stock{n}.ipynb"
        parameters = ["-p", "review", "../../review", "-p", "apiary", "HOME"]
        papermill = [
            sys.executable,
            "-m",
            "papermill",
            str(source("apiary_review")),
            str(made),
            *parameters,
            "--cwd",
            str(folder),
        ]
        subprocess.run(papermill, check=True, capture_output=True)
        subprocess.run([sys.executable, "-m", "nbconvert", "--to", "html", str(made)], check=True, capture_output=True)
    return time.perf_counter() - start
