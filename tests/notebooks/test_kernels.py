"""Forked kernels: each notebook in a process of its own, and none outlives the run."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import nbformat
import papermill
import pytest

from kit.report import kernels
from kit.report.execute import in_own_loop
from kit.report.kernels import CAN_FORK, forked_kernels

pytestmark = [
    pytest.mark.xdist_group("report run"),
    pytest.mark.skipif(not CAN_FORK, reason="forking is used on Linux only"),
]
LEAVE = """import os, sys, pandas, altair, random
pandas.set_option("display.max_rows", 7)
os.environ["LEFT_BEHIND"] = "yes"
pandas.left_behind = True
print(os.getpid(), os.getcwd(), random.random())"""
LOOK = """import os, pandas, random
print(os.getpid(), os.getcwd(), random.random())
print(pandas.get_option("display.max_rows"), os.environ.get("LEFT_BEHIND"), hasattr(pandas, "left_behind"))"""


def run(code: str, folder: Path) -> list[list[str]]:
    folder.mkdir(exist_ok=True)
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(code)])
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(book, folder / "in.ipynb")
    where = {"metadata": {"path": str(folder)}}
    done = in_own_loop(
        lambda: papermill.execute_notebook(str(folder / "in.ipynb"), None, progress_bar=False, resources=where)
    )
    return [line.split() for output in done.cells[0].outputs for line in output.text.splitlines()]


def test_nothing_leaks_from_one_notebook_into_the_next(tmp_path: Path) -> None:
    with forked_kernels() as forked:
        assert forked
        ((first, folder, luck),) = run(LEAVE, tmp_path / "a")
        (second, other, more_luck), state = run(LOOK, tmp_path / "b")
    assert first != second and luck != more_luck
    assert (folder, other) == (str(tmp_path / "a"), str(tmp_path / "b"))
    assert state == ["60", "None", "False"]


def test_kernels_are_ordinary_again_afterwards(tmp_path: Path) -> None:
    with forked_kernels():
        pass
    ((parent,),) = run("import os; print(os.getppid())", tmp_path / "a")
    assert int(parent) == os.getpid()


def test_a_kernel_that_dies_ends_its_notebook_and_not_the_run(tmp_path: Path) -> None:
    with forked_kernels():
        with pytest.raises(Exception, match="died"):
            run("import os; os.kill(os.getpid(), 9)", tmp_path / "a")
        assert run("print(1)", tmp_path / "b") == [["1"]]


def test_where_forking_is_not_possible_the_ordinary_kernel_serves(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(kernels, "CAN_FORK", False)
    with forked_kernels() as forked:
        assert not forked
        assert run("print(1)", tmp_path / "a") == [["1"]]


@pytest.mark.slow
def test_no_process_outlives_a_killed_run(tmp_path: Path) -> None:
    script = tmp_path / "run.py"
    script.write_text(
        f"""import sys; sys.path.insert(0, {str(Path(__file__).parents[2])!r})
from pathlib import Path
from kit.report.kernels import forked_kernels
from tests.notebooks.test_kernels import run
with forked_kernels():
    run("import os, time; open('pid', 'w').write(str(os.getpid())); time.sleep(600)", Path({str(tmp_path / "a")!r}))
"""
    )
    parent = subprocess.Popen([sys.executable, str(script)])
    pid_file = tmp_path / "a" / "pid"
    until(lambda: pid_file.exists() and pid_file.read_text() != "", 60)
    kernel = int(pid_file.read_text())
    parent.send_signal(signal.SIGKILL)
    parent.wait()
    until(lambda: not alive(kernel), 15)


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return "Z" not in Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]


def until(true: object, seconds: float) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():  # type: ignore[operator]
            return
        time.sleep(0.1)
    raise AssertionError(f"not within {seconds} s")
