"""What a run leaves behind: every path of the contract, whole, movable, and with nothing of this machine in it."""

from __future__ import annotations

import getpass
import json
import platform
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import nbformat
import pandas as pd
import papermill
import pytest

from kit.errors import CannotGoOnError
from kit.report import execute as execute_module
from kit.report.compute import Computed, save_computed
from kit.report.execute import NotebookFailedError, execute, in_own_loop
from kit.report.place import claim
from kit.report.run import Outcome, run_all
from tests.notebooks.conftest import ALL, DEMO, run_demo, two_apiaries

pytestmark = pytest.mark.xdist_group("report run")

PAGES = ("index.html", "season.html", "plan.html", "medicine_record.html", "numbers.html")
APIARY_PAGES = ("review.html", "plan.html", "visits.html")
TABLES = [
    "problems",
    "loads",
    "efficacy",
    "timing",
    "losses",
    "effort",
    "gear",
    "today",
    "programmes",
    "mends",
    "calendar",
    "shopping",
    "medicine_record",
]


def test_every_path_of_the_contract_is_there(made: Outcome) -> None:
    wanted = [*PAGES, "calendar.ics", "manifest.json", *(f"tables/{name}.csv" for name in TABLES)]
    wanted += [f"apiaries/{apiary}/{page}" for apiary in ("SLUICE", "HOME") for page in APIARY_PAGES]
    wanted += ["notebooks/season_review.ipynb", "notebooks/SLUICE/apiary_review.ipynb", "review/season/operation.json"]
    assert [path for path in wanted if not (made.out / path).is_file()] == []
    assert made.failed == ()


def test_only_the_way_in_is_called_index_and_no_half_file_is_left(made: Outcome) -> None:
    assert len(list(made.out.rglob("index.html"))) == 1
    assert [path for path in made.out.rglob("*") if ".part" in path.name] == []


def test_the_apiaries_asked_for_get_pages_and_all_are_reckoned(made: Outcome) -> None:
    assert sorted(path.name for path in (made.out / "apiaries").iterdir()) == ["HOME", "SLUICE"]
    assert pd.read_csv(made.out / "tables" / "loads.csv")["apiary"].nunique() > 2


def test_the_manifest_holds_what_decides_the_numbers(made: Outcome) -> None:
    manifest = json.loads((made.out / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["complete"] and manifest["seed"] == 1 and manifest["as_of"] == "2026-03-31"
    assert all(len(digest) == 64 for digest in manifest["inputs"].values())
    assert manifest["settings"]["keeper"]["given"] in (True, False)
    assert {"read", "review", "plan", "tables", "pages"} <= manifest["seconds"].keys()


def test_nothing_names_this_machine_its_user_or_its_folders(made: Outcome) -> None:
    telling = {str(Path.home()), str(DEMO.parent), str(made.out), f"/{getpass.getuser()}/", platform.node()}
    telling = {word for word in telling if len(word) > 5}  # a host called "vm" is in too many words
    faults = [
        (path.name, word)
        for path in made.out.rglob("*")
        if path.is_file()
        for word in telling
        if word in path.read_text(encoding="utf-8")
    ]
    assert faults == []


def test_executed_notebooks_are_valid_and_carry_no_clock_or_path(made: Outcome) -> None:
    for path in made.out.rglob("*.ipynb"):
        book = nbformat.read(path, as_version=4)
        nbformat.validate(book)
        assert "papermill" not in book.metadata
        assert all("papermill" not in cell.metadata and "execution" not in cell.metadata for cell in book.cells)


def test_an_executed_notebook_runs_again_where_its_folder_was_moved(made: Outcome, tmp_path: Path) -> None:
    moved = tmp_path / "elsewhere"
    shutil.copytree(made.out, moved)
    path = moved / "notebooks" / "SLUICE" / "apiary_review.ipynb"
    again = in_own_loop(lambda: papermill.execute_notebook(str(path), None, progress_bar=False, cwd=str(path.parent)))
    assert not any(output.output_type == "error" for cell in again.cells for output in cell.get("outputs", []))


def test_every_sentence_of_the_first_page_is_there_with_a_way_to_what_it_stands_on(made: Outcome) -> None:
    page = (made.out / "season.html").read_text(encoding="utf-8")
    said = page[page.index('<ol class="said">') : page.index("</ol>")]
    assert said.count("<li>") == 10
    anchors = {part.split('"')[0] for part in said.split('href="#')[1:]}
    assert anchors and all(f'id="{anchor}"' in page for anchor in anchors)


def test_links_between_pages_lead_somewhere(made: Outcome) -> None:
    faults = []
    for page in made.out.rglob("*.html"):
        text = page.read_text(encoding="utf-8").split("<script")[0]
        for href in (part.split('"')[0] for part in text.split('href="')[1:]):
            address = href.split("#")[0]
            if address and not address.startswith("data:") and not (page.parent / address).exists():
                faults.append((page.name, href))
    assert faults == []


def test_each_page_made_from_records_counts_the_rows_set_aside(made: Outcome) -> None:
    for page in set(made.out.rglob("*.html")) - {made.out / "numbers.html"}:
        assert "set aside" in page.read_text(encoding="utf-8"), page.name


@pytest.mark.parametrize("page", ["plan.html", "apiaries/SLUICE/plan.html", "apiaries/SLUICE/visits.html"])
def test_a_page_that_sends_someone_to_treat_says_what_can_hurt_and_who_decides(made: Outcome, page: str) -> None:
    text = (made.out / page).read_text(encoding="utf-8")
    assert "Acid vapour" in text and "licensed practice decide" in text


def test_a_parameter_that_a_notebook_does_not_know_is_refused_before_it_runs(tmp_path: Path) -> None:
    with pytest.raises(CannotGoOnError, match="has no parameter revue; it knows: review, apiary"):
        execute("apiary_review", tmp_path / "x.ipynb", {"revue": ""})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["season_review", "apiary_review", "season_plan", "apiary_plan"])
def test_papermill_reads_type_default_and_help_of_every_parameter(name: str) -> None:
    found: dict[str, Any] = papermill.inspect_notebook(str(execute_module.source(name)))
    assert "review" in found
    for parameter in found.values():
        assert parameter["inferred_type_name"] == "str" and parameter["default"] == '""' and parameter["help"]


def test_an_unknown_apiary_is_refused_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(CannotGoOnError, match=r"apiary MOON is not in these records; they hold: .*SLUICE"):
        run_demo(tmp_path / "out", apiaries=("MOON",))
    assert not (tmp_path / "out").exists()


def test_one_failed_page_stands_alone_and_says_where_the_error_is(made: Outcome, tmp_path: Path) -> None:
    with pytest.raises(NotebookFailedError, match="CannotGoOnError"):
        execute("apiary_review", tmp_path / "x.ipynb", {"review": "nowhere", "apiary": "SLUICE"})
    kept = (tmp_path / "x.ipynb").read_text(encoding="utf-8")
    assert "CannotGoOnError" in kept and str(DEMO.parent) not in kept


def test_the_record_alone_is_the_record_alone(tmp_path: Path) -> None:
    today = date(2026, 3, 31)
    outcome = run_all(
        DEMO / "full", out=tmp_path / "out", parts=frozenset({"record"}), season=None, as_of=today, apiaries=(), jobs=1,
        seed=1, pdf=False, today=today,
    )  # fmt: skip
    assert sorted(p.name for p in outcome.out.iterdir()) == [
        "index.html",
        "manifest.json",
        "medicine_record.html",
        "tables",
    ]


@pytest.mark.slow
def test_a_page_that_fails_says_so_and_the_others_are_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def save_and_spoil(computed: Computed, place: Path) -> None:
        save_computed(computed, place)
        (place / "season" / "HOME.json").write_text("spoilt")

    monkeypatch.setattr("kit.report.run.save_computed", save_and_spoil)
    outcome = run_demo(tmp_path / "out", apiaries=("HOME", "SLUICE"))
    assert len(outcome.failed) == 2 and all("notebooks/HOME/" in sentence for sentence in outcome.failed)
    failed = (outcome.out / "apiaries" / "HOME" / "review.html").read_text(encoding="utf-8")
    assert "is not a saved review" in failed
    assert "is not a saved review" not in (outcome.out / "apiaries" / "SLUICE" / "review.html").read_text(
        encoding="utf-8"
    )
    assert "HOME" in (outcome.out / "index.html").read_text(encoding="utf-8")


def test_what_a_killed_run_left_half_written_is_swept(tmp_path: Path) -> None:
    claim(tmp_path / "out")
    (tmp_path / "out" / ".review.1.part").mkdir()
    (tmp_path / "out" / ".x.html.1.part").write_text("half")
    claim(tmp_path / "out")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["manifest.json"]


@pytest.mark.slow
def test_a_second_run_makes_only_what_has_changed(tmp_path: Path) -> None:
    out = run_demo(tmp_path / "out", apiaries=("HOME", "SLUICE")).out
    book = out / "notebooks" / "HOME" / "apiary_review.ipynb"
    kept, lost = book.stat().st_mtime_ns, out / "apiaries" / "SLUICE" / "review.html"
    lost.unlink()
    run_demo(out, apiaries=("HOME", "SLUICE"))
    assert book.stat().st_mtime_ns == kept
    assert lost.is_file()


@pytest.mark.slow
def test_a_fresh_run_gives_the_same_tables_and_pages_as_what_was_kept_whatever_the_jobs(tmp_path: Path) -> None:
    (tmp_path / "sheets").mkdir()
    sheets = two_apiaries(tmp_path / "sheets")
    kept = run_demo(tmp_path / "kept", sheets, jobs=2, apiaries=("HOME",))
    again = run_demo(tmp_path / "again", sheets, jobs=1, apiaries=("HOME",), fresh=True)
    compared = [path for folder in ("tables", "review", "apiaries") for path in (kept.out / folder).rglob("*.*")]
    assert len(compared) > 30
    for path in compared:
        assert path.read_bytes() == (again.out / path.relative_to(kept.out)).read_bytes(), path.name


@pytest.mark.slow
def test_pages_of_other_records_are_taken_away_and_those_of_the_same_stay(tmp_path: Path) -> None:
    records = tmp_path / "records"
    shutil.copytree(DEMO / "minimum", records)
    day = date(2026, 3, 31)

    def run(parts: frozenset[str], apiaries: tuple[str, ...]) -> Path:
        return run_all(
            records, out=tmp_path / "out", parts=parts, season=None, as_of=day, apiaries=apiaries, jobs=2, seed=1,
            pdf=False, today=day,
        ).out  # fmt: skip

    run(ALL, ("SLUICE",))
    out = run(frozenset({"record"}), ())
    assert (out / "apiaries" / "SLUICE" / "review.html").exists()
    with (records / "settings.csv").open("a", encoding="utf-8") as settings:
        settings.write("people,2\n")
    out = run(frozenset({"record"}), ())
    assert not (out / "apiaries" / "SLUICE" / "review.html").exists()
