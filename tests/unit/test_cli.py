"""`season`: exit codes and sentences, with the rooms below replaced where the test is about the door itself."""

import os
import shlex
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from kit import cli
from kit.cli.parser import COMMANDS, parser
from kit.errors import CannotGoOnError
from kit.report import run as run_module
from kit.report.run import Outcome

DEMO = Path(__file__).parents[2] / "data_demo" / "full"


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, object]:
    """What `run_all` was asked for; it answers with two rows set aside and no failure."""
    seen: dict[str, object] = {}

    def run_all(folder: Path, **options: object) -> Outcome:
        seen.update(options, folder=folder)
        return Outcome(out=tmp_path, set_aside=2, failed=(), seconds={})

    monkeypatch.setattr(run_module, "run_all", run_all)
    return seen


@pytest.mark.parametrize(
    "typed",
    ["note sheets --show a b", "note --show sheets a b", "note sheets a --show b", "note sheets a b --show"],
)
def test_options_stand_anywhere_among_lines(typed: str) -> None:
    given = parser().parse_args(typed.split())
    assert (given.folder, given.lines, given.show) == (Path("sheets"), ["a", "b"], True)


def test_options_stand_anywhere_among_packs_and_a_wrong_one_is_still_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert parser().parse_args(["pool", "one", "--out", "here", "two"]).packs == [Path("one"), Path("two")]
    with pytest.raises(SystemExit):
        parser().parse_args(["note", "sheets", "--shew", "a"])
    assert "--shew" in capsys.readouterr().err


def test_a_finished_run_is_0_and_names_the_rows_set_aside(
    asked: dict[str, object], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["run", "sheets", "--apiary", "A", "--apiary", "B", "--as-of", "2025-11-20", "--jobs", "1"]) == 0
    said = capsys.readouterr().out
    assert "index.html" in said and "2 rows were set aside" in said
    assert asked["parts"] == {"review", "plan", "record"} and asked["apiaries"] == ("A", "B")
    assert asked["as_of"] == date(2025, 11, 20)


def test_strict_makes_rows_set_aside_exit_1(asked: dict[str, object]) -> None:
    assert cli.main(["review", "sheets", "--strict"]) == 1
    assert asked["parts"] == {"review"}


def test_a_failed_page_is_exit_1_and_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    failed = Outcome(out=tmp_path, set_aside=0, failed=("apiary A: its review page failed",), seconds={})
    monkeypatch.setattr(run_module, "run_all", lambda folder, **options: failed)
    assert cli.main(["run", "sheets"]) == 1
    assert "apiary A: its review page failed" in capsys.readouterr().err


def test_what_cannot_go_on_is_exit_2_with_one_sentence_and_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(folder: Path, **options: object) -> Outcome:
        raise CannotGoOnError("sheets is not there; make one with `season new sheets`")

    monkeypatch.setattr(run_module, "run_all", refuse)
    assert cli.main(["run", "sheets"]) == 2
    said = capsys.readouterr().err
    assert said == "season: sheets is not there; make one with `season new sheets`\n"


def test_ctrl_c_leaves_with_130_and_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(folder: Path, **options: object) -> Outcome:
        raise KeyboardInterrupt

    monkeypatch.setattr(run_module, "run_all", stopped)
    assert cli.main(["run", "sheets"]) == 130
    assert "run again" in capsys.readouterr().err


@pytest.mark.parametrize("typed", ["20.11.2025", "2025-13-01", "soon"])
def test_a_day_that_is_none_says_how_to_write_it(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main(["check", "sheets", "--as-of", typed])
    assert stopped.value.code == 2
    assert "write it as 2025-11-20" in capsys.readouterr().err


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_helps_in_one_look_with_an_example_that_is_understood(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main([command, "--help"])
    assert stopped.value.code == 0
    assert len(capsys.readouterr().out.splitlines()) <= 35, "one screen"
    for example in COMMANDS[command].examples:
        name, *typed = shlex.split(example)
        assert name == "season" and parser().parse_args(typed).act


def test_the_whole_help_needs_no_heavy_library() -> None:
    heavy = "{'pandas', 'numpy', 'altair', 'papermill', 'scipy', 'numba', 'argcomplete'}"
    code = f"import sys, kit.cli; kit.cli.parser(); print({heavy} & set(sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout == "set()\n"


def test_what_is_due_is_said_without_the_libraries_that_take_longest_to_load() -> None:
    heavy = "{'papermill', 'scipy.stats', 'IPython', 'jupyterlab', 'ipywidgets', 'distributed'}"
    code = f"import sys, kit.report.run; print({heavy} & set(sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout == "set()\n"


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("season sh", "share"), ("season run my-season --j", "--jobs"), ("season run {demo} --apiary A", "ASH")],
)
def test_the_tab_key_offers_commands_options_and_apiaries(typed: str, offered: str, tmp_path: Path) -> None:
    """As the shell asks, by the completion library's own protocol: answers go to the file it names."""
    line, answer = typed.format(demo=DEMO), tmp_path / "answer"
    asked = {"_ARGCOMPLETE": "1", "_ARGCOMPLETE_STDOUT_FILENAME": str(answer), "_ARGCOMPLETE_SUPPRESS_SPACE": "1"}
    asked |= {"COMP_LINE": line, "COMP_POINT": str(len(line)), "_ARGCOMPLETE_IFS": "\n"}
    subprocess.run([sys.executable, "-m", "kit.cli"], env=os.environ | asked, check=False)
    assert offered in answer.read_text().splitlines()


def test_a_folder_that_is_not_there_is_exit_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", str(tmp_path / "nowhere")]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_new_sheets_then_check_is_0(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "mine"
    assert cli.main(["new", str(folder)]) == 0
    assert "settings, apiaries and log" in capsys.readouterr().out
    assert cli.main(["new", str(folder)]) == 2, "nothing is overwritten"


def test_a_listener_that_goes_away_ends_it_without_a_word() -> None:
    # as `season check FOLDER | head -1` does; 141 is what a shell makes of it (128 and SIGPIPE, POSIX)
    command = [sys.executable, "-m", "kit.cli", "check", str(DEMO.with_name("minimum"))]
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as gone:
        found = subprocess.run(command, stdout=gone, stderr=subprocess.PIPE, text=True, check=False)
    assert (found.returncode, found.stderr) == (141, "")
