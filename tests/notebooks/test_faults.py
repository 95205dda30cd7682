"""What a run leaves when something goes wrong around it: a full or locked place, a kill; and what it makes again."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import nbformat
import pytest

from kit.errors import CannotGoOnError
from kit.report.run import run_all
from tests.notebooks.conftest import ALL, AS_OF, DEMO, run_demo, two_apiaries
from tests.notebooks.test_kernels import alive

pytestmark = pytest.mark.xdist_group("report run")
CAN_MOUNT = sys.platform == "linux" and os.geteuid() == 0
PAGE = Path("apiaries", "SLUICE", "review.html")


@contextmanager
def small_disk(place: Path, megabytes: int) -> Iterator[None]:
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "tmpfs", str(place)]
    if not CAN_MOUNT or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("a small disk can only be mounted by root")
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def half_files(out: Path) -> list[str]:
    return [path.name for path in out.rglob("*") if ".part" in path.name]


@pytest.mark.slow
def test_a_full_disk_is_said_in_a_sentence_and_the_earlier_reports_stay_whole(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 20):
        out = run_demo(tmp_path / "disk" / "out", apiaries=("SLUICE",)).out
        before = (out / PAGE).read_bytes()
        free = shutil.disk_usage(out).free
        (tmp_path / "disk" / "filling").write_bytes(b"x" * (free - 20_000))
        with pytest.raises(CannotGoOnError, match=r"cannot write .*No space left.*; make room or give another folder"):
            run_all(
                DEMO / "minimum", out=out, parts=ALL, season=None, as_of=AS_OF, apiaries=("SLUICE",), jobs=2, seed=1,
                pdf=False, today=AS_OF, language="de",
            )  # fmt: skip
        assert (out / PAGE).read_bytes() == before
        assert half_files(out) == []
        (tmp_path / "disk" / "filling").unlink()
        assert run_demo(out, apiaries=("SLUICE",)).failed == ()


@pytest.mark.slow
def test_a_place_that_cannot_be_written_to_is_said_in_a_sentence(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 2):
        subprocess.run(["mount", "-o", "remount,ro", str(tmp_path / "disk")], check=True)
        with pytest.raises(CannotGoOnError, match=r"Read-only file system; give a folder that can be written to"):
            run_demo(tmp_path / "disk" / "out", apiaries=("SLUICE",))


@pytest.mark.slow
def test_a_note_in_one_apiary_makes_its_pages_again_and_those_of_the_whole(tmp_path: Path) -> None:
    (tmp_path / "records").mkdir()
    records = two_apiaries(tmp_path / "records")

    def made(language: str = "") -> dict[str, int]:
        out = run_all(
            records, out=tmp_path / "out", parts=ALL, season=None, as_of=AS_OF, apiaries=("SLUICE", "HOME"), jobs=2,
            seed=1, pdf=False, today=AS_OF, language=language,
        ).out  # fmt: skip
        return {str(p.relative_to(out / "notebooks")): p.stat().st_mtime_ns for p in out.rglob("*.ipynb")}

    first, log = made(), records / "log.csv"
    lines = log.read_text(encoding="utf-8").splitlines()
    last = max(n for n, line in enumerate(lines) if ",SLUICE," in line)
    lines[last] += "fence to mend"
    log.write_text("\n".join(lines) + "\n", encoding="utf-8")
    second = made()
    assert {name for name in first if "HOME" in name and first[name] != second[name]} == set()
    assert {name for name in first if "SLUICE" in name and "review" in name and first[name] == second[name]} == set()
    made("de")
    assert '<ol class="said" lang="de">' in (tmp_path / "out" / PAGE).read_text(encoding="utf-8")


@pytest.mark.long
def test_ten_runs_killed_at_random_leave_nothing_half_done_and_the_next_completes(tmp_path: Path) -> None:
    """Parent or kernels, at a moment drawn from a fixed seed."""
    out, luck = tmp_path / "out", random.Random(1)
    command = [sys.executable, "-m", "kit.cli", "run", str(DEMO / "minimum"), "--as-of", AS_OF.isoformat(), "--fresh"]
    for n in range(10):
        run = subprocess.Popen([*command, "--out", str(out), "--jobs", "2"], stdout=subprocess.DEVNULL)
        time.sleep(luck.uniform(1, 25))
        family = descendants(run.pid)
        kernels = [pid for pid in family if "kernel_server" in said(pid)]
        for pid in kernels[1:] if n % 2 and len(kernels) > 1 else [run.pid]:
            os.kill(pid, signal.SIGKILL)
        run.wait(300)
        end = time.monotonic() + 15
        while any(map(alive, family)) and time.monotonic() < end:
            time.sleep(0.2)
        assert [pid for pid in family if alive(pid)] == []
        for page in out.rglob("*.html"):
            assert page.read_text(encoding="utf-8").rstrip().endswith("</html>")
        for book in (book for book in out.rglob("*.ipynb") if ".part" not in book.name):
            nbformat.validate(nbformat.read(book, as_version=4))
    assert subprocess.run([*command, "--out", str(out)], stdout=subprocess.DEVNULL, check=False).returncode == 0
    assert half_files(out) == []


def descendants(pid: int) -> list[int]:
    try:
        tasks = list(Path(f"/proc/{pid}/task").iterdir())
        children = [int(child) for task in tasks for child in (task / "children").read_text().split()]
    except OSError:
        return []
    return [*children, *(below for child in children for below in descendants(child))]


def said(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_text().replace("\0", " ")
    except OSError:
        return ""
