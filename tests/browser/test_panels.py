"""The interactive notebooks in a real JupyterLab and Chromium that reach nothing but this machine."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from kit.calc.rounds import efficacy_range_pct
from kit.panels import rounds
from kit.panels.own import own
from kit.panels.rounds import brood_of, series_of
from kit.report.copies import copy_notebooks
from kit.report.lab import Lab
from tests.browser.notebooks import Seen, jupyterlab, opened

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("browser")]
DEMO = Path(__file__).parents[2] / "data_demo" / "minimum"
SAYS = "(text) => document.querySelector('.jp-Notebook').innerText.includes(text)"


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bare minimum's sheets, with copies of the notebooks beside them."""
    place = tmp_path_factory.mktemp("panels") / "records"
    shutil.copytree(DEMO, place)
    copy_notebooks(place)
    return place


@pytest.fixture(scope="module")
def running(records: Path) -> Iterator[Lab]:
    own(str(records))  # read once; every kernel finds it in the cache
    with jupyterlab(records / "notebooks", records.parent / "settings") as lab:
        yield lab


@pytest.fixture(scope="module")
def series(browser: Browser, running: Lab) -> Iterator[Seen]:
    """The notebook on dose, rounds and interval, run from a fresh kernel."""
    with opened(browser, running, "try_rounds") as seen:
        seen.run_all()
        seen.until(SAYS, "of the mites, likely")
        yield seen
        assert seen.errors == []


def test_what_is_typed_is_answered_with_the_kits_own_numbers(series: Seen, records: Path) -> None:
    series.type_in("Rounds", "4")
    series.until(SAYS, "4 rounds")
    mine = rounds.Mine(own(str(records)))
    values = dict(mine.recorded("")) | {"rounds": 4}
    tried = series_of(values)
    kill = efficacy_range_pct(
        start=tried.start, rounds=4, interval_days=tried.gap_days, dose_g=tried.dose_g, brood=brood_of(values),
        seal=tried.seal,
    )  # fmt: skip
    assert f"likely {kill.p05:.0f} to {kill.p95:.0f} %" in series.words()
    left = next(answer.shown for answer in mine.answers(values) if answer.place == "course").to_dict()
    drawn = series.charts()[0]
    ours = sorted(row["p50"] for rows in left["datasets"].values() for row in rows if "p50" in row)
    theirs = sorted(row["p50"] for rows in drawn["datasets"].values() for row in rows if "p50" in row)
    assert theirs == pytest.approx(ours, rel=1e-4)


@pytest.mark.parametrize(
    ("label", "typed", "said"),
    [
        ("Dose (g crystals a hive)", "50", "Dose: 0 to 4"),
        ("Dose (g crystals a hive)", "-1", "Dose: 0 to 4"),
        ("Days between (days)", "1e9", "Days between: 1 to 60"),
        ("Rounds", "2.5", "a whole number is needed"),
        ("Days between (days)", "60", "the season ends"),
        ("First round", "2031-01-01", "First round: 1 Apr 2025"),
    ],
)
def test_hostile_values_are_refused_beside_the_control_and_reset_mends_them(
    series: Seen, label: str, typed: str, said: str
) -> None:
    series.type_in("Rounds", "4")
    series.type_in(label, typed)
    series.until("(text) => [...document.querySelectorAll('[role=alert]')].some(e => e.innerText.includes(text))", said)
    assert "Traceback" not in series.page.inner_text(".jp-Notebook")
    series.page.get_by_role("button", name="Reset").click()
    series.until("() => ![...document.querySelectorAll('[role=alert]')].some(e => e.innerText.trim())")


def test_every_control_to_type_into_is_labelled_and_reached_by_keyboard(series: Seen) -> None:
    unnamed = series.page.evaluate(
        """() => [...document.querySelectorAll('.kit-panel input, .kit-panel select, .kit-panel textarea')]
             .filter(e => !e.labels.length || ![...e.labels].some(l => l.innerText.trim())).length"""
    )
    assert unnamed == 0
    series.typed("Rounds").focus()
    series.page.keyboard.press("Tab")
    assert series.page.evaluate("document.activeElement.getAttribute('role')") == "slider"
    series.page.keyboard.press("ArrowRight")
    series.until("() => document.querySelector('.kit-panel textarea').value.includes('rounds: 4')")


def test_every_slider_has_a_name(series: Seen) -> None:
    nameless = (
        "() => ![...document.querySelectorAll('.kit-panel [role=slider]')].some(e => !e.getAttribute('aria-label'))"
    )
    series.until(nameless)


def test_five_hundred_moves_keep_the_page_and_the_notebook_small(series: Seen) -> None:
    drag = """async (n) => { const grip = document.querySelectorAll('.kit-panel .noUi-handle')[1];
      for (let i = 0; i < n; i++) {
        const key = Math.floor(i / 4) % 2 ? 'ArrowLeft' : 'ArrowRight';
        grip.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}));
        await new Promise(r => setTimeout(r, 15)); } }"""
    client = series.page.context.new_cdp_session(series.page)

    def held() -> tuple[float, int]:
        client.send("HeapProfiler.collectGarbage")
        size = float(client.send("Runtime.getHeapUsage")["usedSize"])
        return size, len(series.page.evaluate("() => document.querySelectorAll('.jp-OutputArea-child')"))

    series.page.evaluate(drag, 60)
    series.page.wait_for_timeout(1500)
    before = held()
    series.page.evaluate(drag, 500)
    series.page.wait_for_timeout(1500)
    after = held()
    print(f"heap {before[0] / 1e6:.1f} to {after[0] / 1e6:.1f} MB")
    assert after[1] == before[1]
    assert after[0] < 1.3 * before[0]


def test_after_a_restart_run_all_brings_it_back(series: Seen) -> None:
    series.page.evaluate("async () => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    series.run_all()
    series.type_in("Rounds", "1")
    series.until(SAYS, "One round kills")


@pytest.mark.parametrize(
    ("name", "label", "typed", "said"),
    [
        ("try_mite_year", "Mites on 1 April (in a colony)", "400", "Mites on 1 April 400"),
        ("try_power", "Air (°C)", "-10", "Air -10 °C"),
        ("try_round", "Hours in a day (h)", "4", "Hours in a day 4 h"),
    ],
)
def test_the_other_notebooks_answer_what_is_typed(
    browser: Browser, running: Lab, name: str, label: str, typed: str, said: str
) -> None:
    with opened(browser, running, name) as seen:
        seen.run_all()
        before = seen.words()
        seen.type_in(label, typed)
        seen.until(SAYS, said)
        assert seen.words() != before
        assert "Traceback" not in seen.page.inner_text(".jp-Notebook")
        assert seen.errors == []
