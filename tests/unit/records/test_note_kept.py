"""A log in which no line is ever lost or torn: two writers, a writer killed, a full disk, no permission."""

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from kit.errors import CannotGoOnError
from kit.records import append
from kit.records.note import note

from .conftest import APIARIES
from .test_note import LINE, TODAY


def _lines(folder: Path) -> list[str]:
    text = (folder / "log.csv").read_text()
    assert text.endswith("\n")
    return text.splitlines()


WRITER = """
import sys
from datetime import date
from pathlib import Path
from kit.records.note import note
folder, name, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
print("ready", flush=True)
for n in range(count):
    said = note(folder, [f"BANK, look, note {name} {n} " + "x" * 300], today=date(2025, 10, 14))
    print(said[0].row, flush=True)
"""


def _writer(folder: Path, name: str, count: int) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder), name, str(count)], stdout=subprocess.PIPE, text=True
    )


@pytest.mark.slow
def test_two_writers_at_once_lose_and_tear_no_line(folder: Path) -> None:
    writers = [_writer(folder, name, 40) for name in "abc"]
    told = [writer.communicate(timeout=120)[0].split() for writer in writers]
    lines = _lines(folder)
    assert len(lines) == 2 + 3 * 40 and len(set(lines)) == len(lines)
    assert all(line.count(",") == 6 and line.endswith("x" * 300) for line in lines[2:])
    rows = sorted(int(row) for words in told for row in words[1:])
    assert rows == list(range(3, 123))


def _killed(writer: "subprocess.Popen[str]", moment: random.Random) -> int:
    """Kill a writer at some moment after it told of none, one or two; how many it told of in all."""
    assert writer.stdout is not None and writer.stdout.readline() == "ready\n"
    heard = moment.randrange(3)
    for _ in range(heard):
        writer.stdout.readline()
    time.sleep(moment.uniform(0.0, 0.03))
    os.kill(writer.pid, signal.SIGKILL)
    return heard + len(writer.communicate()[0].splitlines())


@pytest.mark.slow
def test_killed_at_random_moments_every_line_told_is_there_and_none_is_torn(folder: Path) -> None:
    moment = random.Random(11)
    told = sum(_killed(_writer(folder, f"turn{turn}", 10_000), moment) for turn in range(8))
    note(folder, ["BANK, look, note the last one"], today=TODAY)
    lines = _lines(folder)[2:-1]
    assert told > 5 and told <= len(lines) <= told + 8
    assert all(line.count(",") == 6 and line.endswith("x" * 300) for line in lines)
    assert len(set(lines)) == len(lines) and not list(folder.glob(".log.csv.pl*"))


BATCHES = """
import sys
from datetime import date
from pathlib import Path
from kit.records.note import note
folder, name = Path(sys.argv[1]), sys.argv[2]
print("ready", flush=True)
for n in range(10_000):
    lines = [f"BANK, look, note {name} {n} of {line} " + "x" * 900 for line in range(60)]
    note(folder, lines, today=date(2025, 10, 14))
    print(n, flush=True)
"""


@pytest.mark.slow
def test_killed_in_the_middle_of_a_batch_all_of_it_is_there_or_none(folder: Path) -> None:
    moment = random.Random(5)
    told = 0
    for turn in range(5):
        program = [sys.executable, "-c", BATCHES, str(folder), f"turn{turn}"]
        told += _killed(subprocess.Popen(program, stdout=subprocess.PIPE, text=True), moment)
    note(folder, ["BANK, look, note the last one"], today=TODAY)
    batches = Counter(" ".join(line.split(",")[-1].split()[:2]) for line in _lines(folder)[2:-1])
    assert 2 < told <= len(batches) <= told + 5 and set(batches.values()) == {60}


def test_what_a_stopped_writer_left_half_done_is_finished_by_the_next(folder: Path) -> None:
    log = folder / "log.csv"
    whole = log.read_bytes()
    planned = b"2025-10-01,BANK,look,,,,half\n"
    (folder / ".log.csv.plan").write_text(f'{{"at": {len(whole)}, "data": "{planned.hex()}"}}')
    log.write_bytes(whole + planned[:9])
    note(folder, ["BANK, look"], today=TODAY)
    assert log.read_bytes() == whole + planned + b"2025-10-14,BANK,look,,,,\n"


def test_a_plan_is_dropped_when_the_file_was_changed_since(folder: Path) -> None:
    log = folder / "log.csv"
    (folder / ".log.csv.plan").write_text('{"at": 20, "data": "6162"}')
    before = log.read_bytes()
    note(folder, ["BANK, look"], today=TODAY)
    assert log.read_bytes() == before + b"2025-10-14,BANK,look,,,,\n" and not (folder / ".log.csv.plan").exists()


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 64 kB with a log on it; only root may mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True).returncode:
        pytest.skip("no file system can be mounted here")
    (place / "apiaries.csv").write_text(APIARIES)
    (place / "log.csv").write_text("date,apiary,did,notes\n")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.slow
def test_a_full_disk_refuses_the_line_and_leaves_the_log_whole(disk: Path) -> None:
    written = 0
    with pytest.raises(CannotGoOnError, match=r"No space left.*nothing was written"):
        for written in range(400):
            note(disk, [f"BANK, look, note {written} {'x' * 200}"], today=TODAY)
    lines = _lines(disk)
    assert written > 50 and len(lines) == 1 + written and all(line.endswith("x" * 200) for line in lines[1:])
    assert not [file.name for file in disk.iterdir() if file.name.endswith((".part", ".plan"))]
    subprocess.run(["mount", "-o", "remount,size=256k", str(disk)], check=True)
    assert note(disk, ["BANK, look, note there is room again"], today=TODAY)[0].row == written + 2


@pytest.mark.slow
def test_a_disk_that_may_not_be_written_is_said_and_showing_still_works(disk: Path) -> None:
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    with pytest.raises(CannotGoOnError, match="Read-only file system"):
        note(disk, [LINE], today=TODAY)
    assert note(disk, ["BANK, look"], today=TODAY, write=False)[0].row == 2


NOBODY = 65534
DENIED = """
import os, sys
from datetime import date
from pathlib import Path
from kit.errors import CannotGoOnError
from kit.records.note import note
from kit.records.sheets import new_folder, new_workbook
folder = Path(sys.argv[1])
if os.geteuid() == 0:
    os.setgid(int(sys.argv[2]))
    os.setuid(int(sys.argv[2]))
for act in (lambda: note(folder, ["BANK, look"], today=date(2025, 10, 14)),
            lambda: new_folder(folder / "new"), lambda: new_workbook(folder / "book")):
    try:
        act()
    except CannotGoOnError as error:
        print(error)
"""
"""As a user who may not write there; root, who may write anywhere, becomes nobody first."""


@pytest.mark.skipif(os.name != "posix", reason="permissions of another kind")
def test_a_folder_without_permission_is_said_in_one_sentence_and_nothing_changes(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as place:  # no parent of it shuts nobody out
        there = Path(place)
        for file in folder.iterdir():
            shutil.copy(file, there)
        before = {file.name: file.read_bytes() for file in there.iterdir()}
        there.chmod(0o555)
        said = subprocess.run([sys.executable, "-c", DENIED, place, str(NOBODY)], capture_output=True, text=True)
        after = {file.name: file.read_bytes() for file in there.iterdir()}
        there.chmod(0o755)
    lines = said.stdout.splitlines()
    assert said.returncode == 0 and "Traceback" not in said.stderr, said.stderr
    assert len(lines) == 3 and all("Permission denied" in line for line in lines)
    assert after == before


@pytest.mark.skipif(sys.platform != "linux", reason="asks the system which file a handle is of")
def test_the_line_is_forced_to_the_disk_before_it_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forced: list[tuple[str, bytes]] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        file = Path(f"/proc/self/fd/{handle}").resolve()
        forced.append((file.name, file.read_bytes() if file.is_file() else b""))
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    note(folder, [LINE], today=TODAY)
    names = [name for name, _ in forced]
    assert any("plan" in name for name in names[: names.index("log.csv")]), "the plan first"
    assert forced[names.index("log.csv")][1].endswith(b"2025-10-12,MEADOW,oxalic sublimation 2,20,18,wind,\n")
    assert any("log-2025-10-14.csv" in name for name in names[: names.index("log.csv")]), "and the backup"


def test_a_second_writer_waits_for_the_lock_and_is_told_when_it_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (folder / "log.csv").read_bytes()
    monkeypatch.setattr(append, "TRIES", 2)
    with append.locked(folder / "log.csv"), pytest.raises(CannotGoOnError, match="another note is being written"):
        note(folder, [LINE], today=TODAY)
    assert (folder / "log.csv").read_bytes() == before
    assert note(folder, [LINE], today=TODAY)[0].row == 3
