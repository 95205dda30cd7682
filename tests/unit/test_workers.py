"""Work in threads and on a cluster: the same answers in order, few at a time, none lost when a worker is killed."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from kit.errors import CannotGoOnError
from kit.report.share.run import Pooled, _gather  # the reading alone, before anything is written
from kit.workers import AHEAD, map_ordered
from tests.unit.share.made import season
from tests.unit.share.test_attacks import ATTACKS

ROOT = Path(__file__).resolve().parents[3]


def counted(taken: list[int]) -> Iterator[int]:
    for at in range(200):
        taken.append(at)
        yield at


@pytest.mark.parametrize("jobs", [1, 3])
def test_answers_come_in_order_and_few_items_are_taken_ahead(jobs: int) -> None:
    taken: list[int] = []
    for at, answer in enumerate(map_ordered(lambda n: n * n, counted(taken), jobs=jobs)):
        assert answer == at * at and len(taken) <= at + AHEAD * jobs + 1
    assert len(taken) == 200


def test_no_cluster_at_an_address_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kit.workers.PATIENCE_S", 1)
    with pytest.raises(CannotGoOnError, match=r"no cluster answers at tcp://127\.0\.0\.1:9"):
        list(map_ordered(len, ["a"], cluster="tcp://127.0.0.1:9"))


@contextmanager
def cluster_of(count: int, folder: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and its workers as an association would start them, all here; its address, and the workers."""
    told = folder / "scheduler.json"
    common = ["--scheduler-file", str(told), "--no-dashboard"]
    found = {**os.environ, "PYTHONPATH": str(ROOT)}
    commands = [["dask_scheduler", "--host", "127.0.0.1", "--port", "0", *common]]
    commands += [["dask_worker", "--no-nanny", "--nthreads", "1", *common]] * count
    running = [
        subprocess.Popen([sys.executable, "-m", f"distributed.cli.{name}", *rest], env=found, stderr=subprocess.DEVNULL)
        for name, *rest in commands
    ]
    try:
        while not (told.exists() and told.read_text()):
            assert running[0].poll() is None, "the scheduler did not start"
            time.sleep(0.05)
        yield str(json.loads(told.read_text())["address"]), running[1:]
    finally:
        for one in reversed(running):
            one.kill()
            one.wait()


@pytest.mark.slow
def test_a_cluster_gives_the_same_pool_and_a_killed_worker_loses_nothing(tmp_path: Path) -> None:
    for seed in range(6):
        (tmp_path / f"{seed}.zip").write_bytes(season(seed, weeks=6).pack().content)
    for n, attack in enumerate(("a zip bomb", "a path upwards", "a script for a cause")):
        (tmp_path / f"x{n}.zip").write_bytes(ATTACKS[attack]())
    (tmp_path / "y.zip").symlink_to(tmp_path / "1.zip")
    here = Pooled(tmp_path)
    members = _gather([tmp_path], None, here)
    with cluster_of(2, tmp_path) as (address, workers):
        there = Pooled(tmp_path)
        assert _gather([tmp_path], None, there, address) == members
        assert there.not_pooled == here.not_pooled and len(here.not_pooled) == 4
        numbers = range(3000, 3080)
        answers = map_ordered(math.factorial, numbers, cluster=address)
        found = [next(answers)]
        workers[0].kill()
        found += answers
        assert found == [math.factorial(n) for n in numbers] and workers[1].poll() is None
