"""`season share` and `season pool` as typed, on the demo: shown first, asked, the same bytes again, nothing private."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from kit import cli
from kit.cli import acts
from kit.report.share import run
from kit.report.share.keys import write_keys
from tests.unit.share.made import season
from tests.unit.share.test_attacks import ATTACKS
from tests.unit.share.test_pack import found_in, opened

DEMO = Path(__file__).parents[3] / "data_demo"
PRIVATE = {
    "apiaries": ("name", "grid_ref", "latitude", "longitude", "emergency", "notes"),
    "colonies": ("colony",),
    "gear": ("item", "notes"),
    "inspections": ("notes",),
    "labels": ("product",),
    "log": ("who", "notes"),
    "medicines": ("product", "batch", "supplier", "supplier_address", "evidence", "prescriber", "where_disposed"),
    "visits": ("people", "notes"),
}
"""Columns of the sheets in which a keeper names something."""


def told_by(folder: Path) -> tuple[str, ...]:
    """What the keeper wrote there, where it is long enough not to be met by chance; ids of apiaries and dates too."""
    found = {str(folder), folder.name + "/"}
    for name, columns in PRIVATE.items():
        path = folder / f"{name}.csv"
        text = path.read_bytes().decode("cp1252" if name == "log" else "utf-8-sig") if path.exists() else ""
        for row in csv.DictReader(text.splitlines()):
            found |= {row[column].strip() for column in columns if row.get(column)}
            found |= {row[column].strip() for column in ("apiary", "date") if row.get(column)}
    settings = (folder / "settings.csv").read_text(encoding="utf-8").splitlines()
    found |= {line.split(",", 1)[1] for line in settings if line.startswith("keeper,")}
    return tuple(sorted(text for text in found if len(text) >= 4))


def share(folder: Path, out: Path, *more: str) -> int:
    key = out.parent / "key.json"
    return cli.main(["share", str(folder), "--out", str(out), "--key", str(key), "--as-of", "2026-03-31", *more])


@pytest.mark.slow
def test_a_pack_of_the_full_demo_holds_nothing_its_keeper_wrote(tmp_path: Path) -> None:
    assert share(DEMO / "full", tmp_path / "out", "--also", "doses", "--also", "compliance", "--yes") == 0
    pack = next((tmp_path / "out").glob("*.zip")).read_bytes()
    told = told_by(DEMO / "full")
    assert len(told) > 100 and not found_in(pack, told)
    assert "operation.csv" in opened(pack) and not (DEMO / "full" / "share_key.json").exists()


@pytest.mark.slow
def test_sharing_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    for out in ("one", "two"):
        assert share(DEMO / "minimum", tmp_path / out, "--yes") == 0
    packs = [next((tmp_path / out).glob("*.zip")).read_bytes() for out in ("one", "two")]
    assert packs[0] == packs[1] and not found_in(packs[0], told_by(DEMO / "minimum"))


@pytest.mark.slow
def test_a_no_writes_neither_pack_nor_key_and_a_yes_both(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("builtins.input", lambda question: "no")
    assert share(DEMO / "minimum", tmp_path / "out") == 1
    said = capsys.readouterr().out
    assert "what_is_in_it.html" in said and "Nothing was written." in said and "Never in it: names" in said
    assert not list((tmp_path / "out").iterdir()) and not (tmp_path / "key.json").exists()
    monkeypatch.setattr("builtins.input", lambda question: "yes")
    assert share(DEMO / "minimum", tmp_path / "out") == 0
    assert len(list((tmp_path / "out").glob("*.zip"))) == 1 and (tmp_path / "key.json").exists()


def test_nobody_there_to_answer_is_a_no(monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(question: str) -> str:
        raise EOFError

    monkeypatch.setattr("builtins.input", gone)
    assert acts._ask("?") == "no"


def test_too_few_packs_are_one_sentence_and_no_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "packs").mkdir()
    (tmp_path / "packs" / "x.zip").write_bytes(b"no zip")
    assert cli.main(["pool", str(tmp_path / "packs"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "0 members can be pooled" in said and "--minimum 3 is the least" in said
    assert "no zip file" in said and not (tmp_path / "out").exists()


def test_a_report_that_differs_from_an_earlier_one_by_one_member_is_warned_of_and_strange_packs_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(run, "_write", lambda made, pdf: None)  # what is told and warned of, without the pages
    packs = tmp_path / "packs"
    packs.mkdir()
    for seed in range(6):
        (packs / f"{seed}.zip").write_bytes(season(seed, weeks=2).pack().content)
    (packs / "new.zip").write_bytes(ATTACKS["a version to come"]())
    key = season(3, weeks=2).keys
    write_keys(tmp_path / "mine.json", key)
    wanted = ["--for", str(tmp_path / "mine.json"), "--for", key.operation]
    assert cli.main(["pool", str(packs), "--out", str(tmp_path / "spring"), *wanted]) == 0
    said = capsys.readouterr()
    assert said.out.count("Of 6 members, you: lost ") == 2 and not said.err
    assert "'new.zip': its form has the version '3', which this kit does not know" in said.out
    (packs / "6.zip").write_bytes(season(6, weeks=2).pack().content)
    assert cli.main(["pool", str(packs), "--out", str(tmp_path / "summer")]) == 1
    said = capsys.readouterr()
    assert "7 members" in said.out and "whoever holds this report and spring" in said.err
    assert "of 1 member alone" in said.err and (tmp_path / "pool_releases.json").exists()
