"""Copies of the interactive notebooks: made, brought up to date, and never over what a person wrote."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kit.errors import CannotGoOnError
from kit.report import copies
from kit.report.copies import NAMES, REGISTER, copy_notebooks


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "my records"
    made.mkdir()
    return made


def edit(path: Path, text: str) -> None:
    book = json.loads(path.read_text(encoding="utf-8"))
    book["cells"][0]["source"] = text
    path.write_text(json.dumps(book), encoding="utf-8")


def test_a_copy_names_the_records_beside_it(folder: Path) -> None:
    place, said = copy_notebooks(folder)
    assert said == []
    assert all('folder: str = ".."' in (place / f"{name}.ipynb").read_text().replace('\\"', '"') for name in NAMES)


def test_outputs_do_not_make_it_edited_and_a_second_call_says_nothing(folder: Path) -> None:
    place, _ = copy_notebooks(folder)
    path = place / f"{NAMES[0]}.ipynb"
    book = json.loads(path.read_text(encoding="utf-8"))
    book["cells"][-1]["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "kept"}]
    path.write_text(json.dumps(book), encoding="utf-8")
    assert copy_notebooks(folder)[1] == []
    assert "kept" in path.read_text(encoding="utf-8")


def test_an_edited_copy_is_kept_and_said_to_be_newer(folder: Path) -> None:
    place, _ = copy_notebooks(folder)
    edit(place / f"{NAMES[0]}.ipynb", "# mine")
    said = copy_notebooks(folder)[1]
    assert len(said) == 1 and "yours is newer" in said[0]
    assert "# mine" in (place / f"{NAMES[0]}.ipynb").read_text(encoding="utf-8")


def test_when_the_kits_own_changed_an_edited_copy_is_kept_and_another_brought_up_to_date(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, _ = copy_notebooks(folder)
    newer = {}
    for name in NAMES:
        newer[name] = tmp_path / f"{name}.ipynb"
        newer[name].write_text(copies.source(name).read_text(encoding="utf-8"), encoding="utf-8")
        edit(newer[name], "# newer")
    monkeypatch.setattr(copies, "source", newer.__getitem__)
    edit(place / f"{NAMES[0]}.ipynb", "# mine")
    said = copy_notebooks(folder)[1]
    assert "the kit's own is newer; yours is kept" in said[0]
    assert all("brought up to date" in sentence for sentence in said[1:])
    assert "# newer" in (place / f"{NAMES[1]}.ipynb").read_text(encoding="utf-8")


def test_a_notebook_of_the_same_name_that_is_not_ours_is_kept(folder: Path) -> None:
    (folder / "notebooks").mkdir()
    stranger = folder / "notebooks" / f"{NAMES[0]}.ipynb"
    stranger.write_text("not even a notebook", encoding="utf-8")
    assert "not one that the kit put there; it is kept" in copy_notebooks(folder)[1][0]
    assert stranger.read_text(encoding="utf-8") == "not even a notebook"
    assert NAMES[0] not in json.loads((folder / "notebooks" / REGISTER).read_text(encoding="utf-8"))


def test_no_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(CannotGoOnError, match="there is no"):
        copy_notebooks(tmp_path / "nowhere")
