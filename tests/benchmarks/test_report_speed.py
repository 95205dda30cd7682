"""Pages against a plain loop of stock papermill and stock nbconvert, on the same notebook, in the same run: a ratio."""

from __future__ import annotations

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from kit.report.execute import execute, source
from kit.report.export import Sheet, page_of
from kit.report.kernels import CAN_FORK, forked_kernels
from kit.report.write import write_text
from kit.season.findings import OPERATION, read
from tests.notebooks.conftest import run_demo

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not CAN_FORK, reason="forking is used on Linux only")]
PAGES, STOCK, THREADS = 12, 2, 4
AT_LEAST = 4.0
"""Times faster; with room for a busy machine."""


def test_pages_are_made_several_times_faster_than_by_the_stock_commands(tmp_path: Path) -> None:
    out = run_demo(tmp_path / "out", apiaries=("HOME",)).out
    assert read(out / "review" / "season" / f"{OPERATION}.json").facts["season"] == 2025
    ours, stock = _ours(out) / PAGES, _stock(out) / STOCK
    print(f"\none page: ours {ours:.2f} s, stock {stock:.2f} s, {stock / ours:.1f} times faster")
    assert stock / ours >= AT_LEAST


def _ours(out: Path) -> float:
    def make(n: int) -> None:
        book = execute(
            "apiary_review", out / "notebooks" / "bench" / f"{n}.ipynb", {"review": "../../review", "apiary": "HOME"}
        )
        write_text(out / f"{n}.html", page_of(book, Sheet("t", "k", "")))

    start = time.perf_counter()
    with forked_kernels(), ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(make, range(PAGES)))
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
