"""Files are whole, tables plain."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.errors import CannotGoOnError
from kit.report import place, write
from kit.report.place import MANIFEST, claim


def test_a_stop_while_writing_leaves_the_earlier_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.html"
    write.write_text(target, "earlier")

    def stop(self: Path, other: Path) -> Path:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write.write_text(target, "later")
    assert target.read_text() == "earlier"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_what_is_not_recorded_is_an_empty_cell_and_numbers_carry_six_digits() -> None:
    table = pd.DataFrame(
        {"date": pd.to_datetime(["2025-09-03", None]), "x": [1 / 3, np.nan], "n": [12, 7], "b": [True, False]}
    )
    assert write.csv_text(table) == "date,x,n,b\n2025-09-03,0.333333,12,yes\n,,7,no\n"


def test_text_that_a_spreadsheet_would_run_is_made_harmless_and_numbers_are_left_alone() -> None:
    table = pd.DataFrame({"t": ["=1+1", "@x", "+cmd", "-1.5", "-2,5", "plain"]})
    assert write.csv_text(table).splitlines()[1:] == ["'=1+1", "'@x", "'+cmd", "-1.5", '"-2,5"', "plain"]


def test_a_folder_of_somebody_else_is_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(CannotGoOnError, match="not empty and was not written by"):
        claim(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_our_own_folder_is_taken_again_also_after_a_stop(tmp_path: Path) -> None:
    assert claim(tmp_path / "out") == {}
    assert claim(tmp_path / "out")["complete"] is False


def test_a_manifest_that_is_not_ours_is_no_passport(tmp_path: Path) -> None:
    (tmp_path / MANIFEST).write_text('{"made_by": "another"}')
    with pytest.raises(CannotGoOnError):
        claim(tmp_path)
    assert place.MADE_BY not in (tmp_path / MANIFEST).read_text()


def test_a_place_that_cannot_be_written_to_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(CannotGoOnError, match="is a file"):
        claim(tmp_path / "file")
