"""What a panel says under its buttons, and the names of what it saves."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from kit.panels.controls import Controls
from kit.panels.fields import Day, Number, Values
from kit.panels.panel import Answer, Panel, Question, Words
from kit.report.words.trying import Said, trying


@pytest.fixture
def go() -> threading.Event:
    return threading.Event()


@pytest.fixture
def panel(go: threading.Event, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Panel:
    """One number, answered when the test lets it be."""

    def answers(values: Values) -> Iterator[Answer]:
        go.wait(5)
        yield Answer("words", Words([f"{values['hives']} hives."]))

    monkeypatch.chdir(tmp_path)
    hives = Number("hives", Said("Hives", "", "so many"), 1, 9, 1, whole=True)
    question = Question("try_hives", {}, [hives], lambda _: {"hives": 3}, lambda _: {}, answers, (), "")
    return Panel(question, {})


def test_what_is_said_meanwhile_does_not_hide_that_it_still_works(panel: Panel, go: threading.Event) -> None:
    panel.ask()
    panel._save()
    assert trying()("panel.working") in panel._state.value
    assert "Saved as try_hives-tried.yaml" in panel._said.value
    go.set()
    assert panel._latest.wait(5)
    for _ in range(100):
        if not panel._state.value:
            break
        threading.Event().wait(0.05)
    assert panel._state.value == ""
    assert "Saved as" in panel._said.value, "what was done stays said when the answer stands"


def test_stop_and_a_refused_value_take_the_sign_of_work_away(panel: Panel, go: threading.Event) -> None:
    panel.ask()
    panel._stop()
    assert panel._state.value == "" and trying()("panel.stopped") in panel._said.value
    panel.ask()
    rows: Any = panel.controls._rows
    rows["hives"]._typed.value = 20
    assert panel._state.value == "" and trying()("panel.not_tried") in panel._said.value
    go.set()


def test_nothing_saved_takes_the_place_of_a_notebook_or_of_what_was_saved_before(panel: Panel) -> None:
    panel._save()
    panel._save()
    assert {path.name for path in Path.cwd().iterdir()} == {"try_hives-tried.yaml", "try_hives-tried-2.yaml"}
    assert "papermill try_hives.ipynb try_hives-tried-2.ipynb -f try_hives-tried-2.yaml" in panel._said.value


def test_every_bound_is_said_and_a_button_names_only_a_few_of_what_it_shows() -> None:
    day = Day("start", Said("Begins", "", "the season"), date(2025, 4, 1), date(2026, 3, 31))
    hidden = [Number(f"n{n}", Said(f"N{n}", "g", "so it is"), 0, 9.5, 0.5, more=True) for n in range(7)]
    controls = Controls([day, *hidden], {"start": day.low} | {one.name: 1.0 for one in hidden}, lambda _: None)
    texts = [one.value for one in walked(controls.box) if hasattr(one, "value")]
    assert any("1 Apr to 31 Mar: the season" in str(text) for text in texts)
    assert any("0 to 9.5: so it is" in str(text) for text in texts)
    assert any(
        getattr(one, "description", "") == "More: N0 · N1 · N2 · N3 · N4 and 2 more" for one in walked(controls.box)
    )


def walked(box: Any) -> list[Any]:
    return [box, *(one for child in getattr(box, "children", ()) for one in walked(child))]
