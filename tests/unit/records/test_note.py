"""`season note`: a spoken line understood, shown and stored, or refused with the reason."""

import csv
import io
from datetime import date
from pathlib import Path

import pytest

from kit import cli
from kit.errors import CannotGoOnError
from kit.records.csv_text import decode
from kit.records.load import load
from kit.records.note import note
from kit.records.note_words import Known, read_note
from kit.records.places import Places

TODAY = date(2025, 10, 14)
KNOWN = Known(Places(["MEADOW", "BANK"], ["Far Meadow", "The Bank"]), TODAY, None)
LINE = "12 Oct, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"
STORED = {"date": "2025-10-12", "apiary": "MEADOW", "did": "oxalic sublimation 2", "done": "18", "standing": "20"}


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
        ("BANK, 1 seal in", {"seals_in": "1"}),
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
    assert "log.csv has no column weak; add it" in said[0].wrong


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


def test_what_is_shown_is_what_is_stored(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["note", str(folder), "3 Sep 2025, Far Meadow, oxalic sublimation 2, 18 of 20 done, wind"]) == 0
    shown = capsys.readouterr().out.splitlines()[0]
    with (folder / "log.csv").open(newline="") as file:
        stored = list(csv.DictReader(file))[-1]
    assert {f"{name} {cell}" for name, cell in stored.items() if cell} == set(shown.partition(": ")[2].split(" · "))


def test_a_line_that_stands_but_cannot_be_read_as_meant_says_so_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "apiaries.csv").write_text("apiary\nBANK\n")
    line = "14 Oct 2025, BANK, trays read, trays 18; 40"
    assert cli.main(["note", str(tmp_path), line]) == 0
    stored, doubtful = capsys.readouterr().out.splitlines()
    assert stored.startswith("row 2: ") and doubtful.startswith("row 2, doubtful: the days these trays lay")
    assert cli.main(["note", str(tmp_path), f"{line} in 6 days"]) == 0
    assert "doubtful" not in capsys.readouterr().out


def test_a_line_is_stored_even_where_the_other_sheets_cannot_be_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object, **__: object) -> None:
        raise CannotGoOnError("counts.csv is open in a spreadsheet")

    monkeypatch.setattr("kit.records.note.load", refused)
    (tmp_path / "apiaries.csv").write_text("apiary\nBANK\n")
    assert cli.main(["note", str(tmp_path), "14 Oct 2025, BANK, look"]) == 0
    stored, doubtful = capsys.readouterr().out.splitlines()
    assert stored.startswith("row 2: ") and doubtful == "row 2, doubtful: counts.csv is open in a spreadsheet"
    assert "look" in (tmp_path / "log.csv").read_text()
