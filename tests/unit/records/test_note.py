"""`season note`: a spoken line understood or refused, and a log in which no line is ever lost or torn."""

import csv
import io
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
from datetime import date
from pathlib import Path

import pytest

from kit import cli
from kit.errors import CannotGoOnError
from kit.records import append
from kit.records.csv_text import decode
from kit.records.load import load
from kit.records.note import note
from kit.records.note_words import Known, read_note
from kit.records.places import Places

from .conftest import APIARIES

TODAY = date(2025, 10, 14)
KNOWN = Known(Places(["MEADOW", "BANK"], ["Far Meadow", "The Bank"]), TODAY, None)
LINE = "12 Oct, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"
STORED = {"date": "2025-10-12", "apiary": "MEADOW", "did": "oxalic sublimation 2", "done": "18", "standing": "20"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "apiaries.csv").write_text(APIARIES)
    (tmp_path / "log.csv").write_text("date,apiary,did,standing,done,wrong,notes\n2025-09-03,BANK,look,8,,,\n")
    return tmp_path


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        (LINE, STORED | {"wrong": "wind"}),
        ("far meadow, look", {"date": "2025-10-14", "apiary": "MEADOW", "did": "look"}),
        ("yesterday, BANK, heads, 12 standing", {"date": "2025-10-13", "did": "heads", "standing": "12"}),
        ("3/9/25, BANK, thymol; strips out, 8 of 8 done", {"date": "2025-09-03", "did": "thymol; strips out"}),
        ("3 Dec, BANK, look", {"date": "2024-12-03"}),
        ("29 Feb 2024, BANK, look", {"date": "2024-02-29"}),
        ("BANK, 2 dead starved, 3 weak, 1 light", {"dead": "2", "cause": "starved", "weak": "3", "light": "1"}),
        ("BANK, trays 12, few, 31 in 6 days, no crumbs", {"trays": "12; few; 31", "tray_days": "6", "crumbs": "no"}),
        ("BANK, could not, late ground, ground", {"why_late": "ground", "wrong": "ground"}),
        ("BANK, weather", {"why_late": "weather"}),
        ("BANK, look, note gate open, again", {"did": "look", "notes": "gate open, again"}),
        ("BANK, 4 seals out, 3 seals in, with Sam", {"seals_out": "4", "seals_in": "3", "who": "Sam"}),
        ("BANK, look, trays read, cause mites", {"did": "look; trays read", "cause": "mites"}),
    ],
)
def test_a_spoken_line_is_read_as_it_was_meant(line: str, cells: dict[str, str]) -> None:
    noted = read_note(line, KNOWN)
    assert noted.wrong == "" and noted.cells == noted.cells | cells


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("MEDOW, look", 'did you mean "MEADOW"?'),
        ("BANK, oxalic sublimaton 2", 'did you mean "oxalic sublimation"?'),
        ("look", "no apiary is named"),
        ("BANK", "nothing is said of what was done"),
        ("BANK, 20 of 18 done", "20 hives treated of 18 standing"),
        ("BANK, 3 done, 4 done", "done is given twice"),
        ("BANK, MEADOW, look", "apiary is given twice"),
        ("2025-10-15, BANK, look", "lies after today"),
        ("20 Oct, BANK, look", "write the year too"),
        ("31 Feb, BANK, look", "not understood"),
        ("BANK, trays lots", "not a number of mites"),
        ("BANK, 2 dead sadness", "does not know"),
        ("BANK, all done", "does not say how many"),
        ("BANK, tray days 4000", "between 0.1 and 400"),
        ("BANK, =cmd|' /C calc'!A0", "not understood"),
        ("", "no apiary"),
    ],
)
def test_what_is_not_understood_is_refused_with_the_reason(line: str, why: str) -> None:
    noted = read_note(line, KNOWN)
    assert not noted.cells and why in noted.wrong


def test_a_line_is_stored_as_it_is_shown_and_read_back(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (folder / "log.csv").read_bytes()
    assert note(folder, [LINE], today=TODAY)[0].row == 3
    after = (folder / "log.csv").read_bytes()
    assert after == before + b"2025-10-12,MEADOW,oxalic sublimation 2,20,18,wind,\n"
    heads = load(folder, today=TODAY).heads
    assert heads.loc[heads["apiary"] == "MEADOW", ["standing", "done"]].to_numpy().tolist() == [[20, 18]]


def test_the_same_line_twice_is_said_and_not_written(folder: Path) -> None:
    said = note(folder, [LINE, LINE], today=TODAY)
    assert (said[0].row, said[1].row) == (3, 3) and "stands already as row 3" in said[1].wrong
    assert not said[1].refused and (folder / "log.csv").read_bytes().count(b"\n") == 3


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_the_files_own_way_of_writing_is_kept(folder: Path, encoding: str, separator: str, line_end: str) -> None:
    rows = ["Apiary,DATE,Notes,did,own column", "BANK,2025-09-03,Käfer,look,x"]
    text = line_end.join(row.replace(",", separator) for row in rows)  # the last line is not ended
    (folder / "log.csv").write_bytes(text.encode(encoding))
    note(folder, ["BANK, look, note süß; kalt, still"], today=TODAY)
    data = (folder / "log.csv").read_bytes()
    assert data.startswith(text.encode(encoding))
    written = decode(data).split(line_end)
    assert written[:2] == text.split(line_end) and written[3:] == [""]
    cells = next(csv.reader(io.StringIO(written[2]), delimiter=separator))
    assert cells == ["BANK", "2025-10-14", "süß; kalt, still", "look", ""]


def test_a_letter_the_files_encoding_lacks_is_refused(folder: Path) -> None:
    (folder / "log.csv").write_bytes("date,apiary,did,notes\n2025-09-03,BANK,look,Käfer\n".encode("cp1252"))
    said = note(folder, ["BANK, look, note Ωmega"], today=TODAY)
    assert "cp1252" in said[0].wrong and (folder / "log.csv").read_bytes().count(b"\n") == 2


def test_a_column_the_log_lacks_is_refused_and_named(folder: Path) -> None:
    said = note(folder, ["BANK, 3 weak"], today=TODAY)
    assert "log.csv has no column weak" in said[0].wrong


def test_a_note_never_starts_a_formula_and_is_read_back_as_spoken(folder: Path) -> None:
    note(folder, ["BANK, look, note =1+1"], today=TODAY)
    assert b",'=1+1\n" in (folder / "log.csv").read_bytes()
    assert load(folder, today=TODAY).tables["log"]["notes"].tolist() == ["", "=1+1"]


def test_the_log_as_it_stood_is_kept_once_a_day(folder: Path) -> None:
    before = (folder / "log.csv").read_bytes()
    note(folder, [LINE], today=TODAY)
    note(folder, ["BANK, look"], today=TODAY)
    note(folder, ["BANK, heads, 8 standing"], today=date(2025, 10, 15))
    kept = {file.name: file.read_bytes() for file in (folder / "backup").iterdir()}
    assert set(kept) == {"log-2025-10-14.csv", "log-2025-10-15.csv"} and kept["log-2025-10-14.csv"] == before
    assert kept["log-2025-10-15.csv"].count(b"\n") == 4


def test_a_log_is_begun_where_there_is_none(folder: Path) -> None:
    (folder / "log.csv").unlink()
    assert note(folder, ["BANK, 3 weak"], today=TODAY)[0].row == 2
    assert load(folder, today=TODAY).tables["log"]["weak"].tolist() == [3]


def test_only_showing_writes_nothing(folder: Path) -> None:
    before = sorted(file.name for file in folder.iterdir()), (folder / "log.csv").read_bytes()
    assert note(folder, [LINE], today=TODAY, write=False)[0].row == 3
    assert (sorted(file.name for file in folder.iterdir()), (folder / "log.csv").read_bytes()) == before


def test_a_workbook_is_refused_and_told_what_to_do(tmp_path: Path) -> None:
    assert cli.main(["new", str(tmp_path / "book"), "--workbook"]) == 0
    with pytest.raises(CannotGoOnError, match=r"workbook records\.xlsx.*log\.csv only"):
        note(tmp_path / "book", [LINE], today=TODAY)


def test_a_log_open_in_a_spreadsheet_is_refused(folder: Path) -> None:
    (folder / ".~lock.log.csv#").write_text("someone")
    with pytest.raises(CannotGoOnError, match="open in a spreadsheet"):
        note(folder, [LINE], today=TODAY)


def test_a_batch_is_written_whole_or_not_at_all(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    visits = folder / "visits.txt"
    visits.write_text("BANK, look\n\nBNAK, look\n3 Sep 2025, Far Meadow, 12 standing\n")
    before = (folder / "log.csv").read_bytes()
    assert cli.main(["note", str(folder), "--from", str(visits)]) == 2
    said = capsys.readouterr()
    assert said.out.count("understood, not written: date ") == 2
    assert 'visits.txt line 3: refused: BNAK, look: "BNAK" is not understood' in said.err
    assert "nothing was written: 1 of 3 lines refused" in said.err
    assert (folder / "log.csv").read_bytes() == before and not (folder / "backup").exists()
    visits.write_text(visits.read_text().replace("BNAK", "BANK, 3 Sep 2025"))
    assert cli.main(["note", str(folder), "--from", str(visits)]) == 0
    assert capsys.readouterr().out.splitlines()[0].startswith("visits.txt line 1: row 3: date ")
    assert cli.main(["note", str(folder), "--from", str(visits)]) == 0, "a batch given again adds nothing"
    assert "stands already as row 4" in capsys.readouterr().out
    assert (folder / "log.csv").read_bytes().count(b"\n") == 5
    assert cli.main(["note", str(folder), "BNAK, look"]) == 2


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
    told = sum(_killed(_writer(folder, f"turn{turn}", 10_000), moment) for turn in range(15))
    note(folder, ["BANK, look, note the last one"], today=TODAY)
    lines = _lines(folder)[2:-1]
    assert told > 10 and told <= len(lines) <= told + 15
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
    for turn in range(8):
        program = [sys.executable, "-c", BATCHES, str(folder), f"turn{turn}"]
        told += _killed(subprocess.Popen(program, stdout=subprocess.PIPE, text=True), moment)
    note(folder, ["BANK, look, note the last one"], today=TODAY)
    batches = Counter(" ".join(line.split(",")[-1].split()[:2]) for line in _lines(folder)[2:-1])
    assert 3 < told <= len(batches) <= told + 8 and set(batches.values()) == {60}


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


def test_what_is_shown_is_what_is_stored(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["note", str(folder), "3 Sep 2025, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"]) == 0
    shown = capsys.readouterr().out.splitlines()[0]
    with (folder / "log.csv").open(newline="") as file:
        stored = list(csv.DictReader(file))[-1]
    assert {f"{name} {cell}" for name, cell in stored.items() if cell} == set(shown.partition(": ")[2].split(" · "))
