"""The interactive notebooks in a real JupyterLab and Chromium that reach nothing but this machine."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import nbformat
import pytest
import yaml
from axe_playwright_python.sync_playwright import Axe
from nbconvert import HTMLExporter
from playwright.sync_api import Browser, BrowserContext

from kit.panels.fields import Choice, Day, Field, Number, Text, starting
from kit.panels.own import FREE, own
from kit.panels.panel import parameter_lines
from kit.report.copies import NAMES, copy_notebooks
from kit.report.lab import Lab
from tests.browser.notebooks import CLASSIC, Seen, jupyterlab, laptop, opened
from tests.browser.panel_numbers import MINE, SAME

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("panels")]
DEMO = Path(__file__).parents[2] / "data_demo" / "minimum"
SAYS = "(text) => document.querySelector('.jp-Notebook').innerText.includes(text)"
STANDS = "(line) => document.querySelector('.kit-panel textarea').value.split('\\n').includes(line)"
GONE = "(line) => !document.querySelector('.kit-panel textarea').value.split('\\n').includes(line)"
READS = "(text) => document.querySelector('.kit-panel textarea').value === text"
REFUSED = """(labels) => { const rows = [...document.querySelectorAll('.kit-panel [role=alert]')].map(e => e.innerText);
  return labels.every(label => rows.some(said => said.startsWith(label + ':'))); }"""
CALM = "() => ![...document.querySelectorAll('[role=alert]')].some(e => e.innerText.trim())"
WORKS = "() => [...document.querySelectorAll('.kit-panel [role=status]')].some(e => e.innerText.includes('Working'))"
DRAWN = "(n) => document.querySelectorAll('.jp-OutputArea:has(.kit-panel) canvas').length === n"
PAIRED = {"machines"}
"""Refused beside what the other controls hold: one machine more than people."""
GEAR = """item,kind,type,volts,amp_hours,watts,idle_watts,efficiency_pct,warm_up_min,expel_s
S1,sublimator,holds heat,230,,200,,,6,20
S2,sublimator,holds heat,230,,260,,,5,18
B1,battery,deep cycle,12,100,,,,,
B2,battery,starter,12,65,,,,,
I1,inverter,,230,,500,8,87,,
"""
PICTURED = """(n) => { const cells = window.jupyterapp.shell.currentWidget.content.model.toJSON().cells;
  return JSON.stringify(cells.map(c => c.outputs || [])).split('"image/png"').length === n + 1; }"""
AS_SAVED = "() => JSON.stringify(window.jupyterapp.shell.currentWidget.content.model.toJSON())"
DRAG = """async ([place, moves, rest]) => {
  const grip = document.querySelectorAll('.kit-panel .noUi-handle')[place];
  for (let i = 0; i < moves; i++) {
    const key = Math.floor(i / 4) % 2 ? 'ArrowLeft' : 'ArrowRight';
    grip.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}));
    await new Promise(r => setTimeout(r, rest)); } }"""


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bare minimum's sheets, with copies of the notebooks beside them; that of power reads a gear sheet too."""
    place = tmp_path_factory.mktemp("panels") / "records"
    geared, book = place.with_name("geared"), place / "notebooks" / "try_power.ipynb"
    for folder in (place, geared):
        shutil.copytree(DEMO, folder)
    (geared / "gear.csv").write_text(GEAR, encoding="utf-8")
    copy_notebooks(place)
    text = book.read_text(encoding="utf-8")
    book.write_text(text.replace(json.dumps('".."')[1:-1], json.dumps('"../../geared"')[1:-1], 1), encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def screen(browser: Browser) -> Iterator[BrowserContext]:
    with laptop(browser) as context:
        yield context


@pytest.fixture(scope="module")
def running(records: Path) -> Iterator[Lab]:
    _ = own(str(records)).review  # read once; every kernel finds it in the cache
    with jupyterlab(records / "notebooks", records.parent / "settings") as lab:
        yield lab


def mostly_long(name: str) -> pytest.MarkDecorator:
    """One notebook each time, the others with `pytest -m long`."""
    each = [pytest.param(one, marks=() if one == name else pytest.mark.long) for one in NAMES]
    return pytest.mark.parametrize("panel", each, indirect=True)


@pytest.fixture(scope="module", params=NAMES)
def panel(request: pytest.FixtureRequest, screen: BrowserContext, running: Lab) -> Iterator[Seen]:
    """Each notebook in turn, run from a fresh kernel."""
    with opened(screen, running, request.param) as seen:
        seen.run_all()
        seen.until(SAYS, "Tried:")
        yield seen
        assert seen.errors == []


@cache
def mine(name: str, records: Path) -> Any:
    """The panel's questions to what is recorded, as its notebook asks them."""
    return MINE[name](own(str(records.with_name("geared") if name == "try_power" else records)))


def fields_of(seen: Seen, records: Path) -> list[Field]:
    return list(mine(seen.name, records).fields())


def values_in(seen: Seen, records: Path) -> dict[str, Any]:
    """What the box of parameters says, read as the notebook would."""
    known = mine(seen.name, records)
    return starting(known.fields(), known.recorded(""), yaml.safe_load(seen.parameters()))


def line(field: Field, value: Any) -> str:
    """The field's line in the box of parameters."""
    return parameter_lines({field.name: field.written(value)}).strip()


def other_than(field: Field, value: Any) -> Any:
    """A value near it that is taken."""
    if isinstance(field, Number):
        return value - field.step if value - field.step >= field.low else value + field.step
    if isinstance(field, Day):
        return value - timedelta(days=1) if value > field.low else value + timedelta(days=1)
    assert isinstance(field, Choice)
    return next(option for _, option in field.options if option not in (value, FREE))


def try_control(panel: Seen, field: Field, value: Any) -> None:
    """Typed into or chosen, then dragged back, or chosen back."""
    tried, label = other_than(field, value), field.said.full
    if isinstance(field, Choice):
        panel.typed(label).select_option(field.told(tried))
        panel.until(STANDS, line(field, tried))
        panel.typed(label).select_option(field.told(value))
        panel.until(STANDS, line(field, value))
        return
    panel.type_in(label, tried.isoformat() if isinstance(tried, date) else f"{tried:g}")
    if field.name in PAIRED:
        panel.until(REFUSED, [field.said.label])
    else:
        panel.until(STANDS, line(field, tried))
    if not field.beside:
        slider = panel.page.get_by_role("slider", name=f"{label}, slider", exact=True)
        slider.press("ArrowRight" if tried < value else "ArrowLeft")
        panel.until(CALM)
        panel.until(GONE, line(field, tried))


def test_every_control_is_typed_into_and_dragged_and_its_parameter_follows(panel: Seen, records: Path) -> None:
    panel.unfold()
    begun, given = panel.parameters(), values_in(panel, records)
    for field in fields_of(panel, records):
        begins_anew = isinstance(field, Text) or field.name in ("apiary", "gear")
        if not begins_anew and panel.typed(field.said.full).is_visible():
            try_control(panel, field, given[field.name])
    panel.until(CALM)
    panel.page.get_by_role("button", name="Reset").click()
    panel.until(READS, begun)


def test_another_apiary_or_gear_is_picked_with_its_own_values_and_the_first_comes_back(
    panel: Seen, records: Path
) -> None:
    if panel.name == "try_round":
        pytest.skip("the round has words for its apiaries")
    source = "gear" if panel.name == "try_power" else "apiary"
    picker = next(field for field in fields_of(panel, records) if field.name == source)
    assert isinstance(picker, Choice)
    begun, first = panel.parameters(), values_in(panel, records)[source]
    for told, picked in picker.options:
        if picked != first:
            panel.typed(picker.said.full).select_option(told)
            panel.until(STANDS, line(picker, picked))
            assert values_in(panel, records) == mine(panel.name, records).recorded(picked)
    panel.typed(picker.said.full).select_option(picker.told(first))
    panel.until(READS, begun)


def test_words_typed_into_the_round_are_taken_or_refused_beside_them(panel: Seen, records: Path) -> None:
    if panel.name != "try_round":
        pytest.skip("only the round has fields of words")
    panel.unfold()
    fields = {field.name: field for field in fields_of(panel, records)}
    begun = panel.parameters()
    for name, taken, refused in (
        ("apiaries", "HOME, PLUM", "NOWHERE"),
        ("programme", "HOME: thymol 5 Aug", "HOME: jam 5 Aug"),
    ):
        label = fields[name].said.full
        panel.type_in(label, refused)
        panel.until(REFUSED, [fields[name].said.label])
        panel.type_in(label, taken)
        panel.until(STANDS, line(fields[name], taken))
        panel.until(CALM)
    panel.page.get_by_role("button", name="Reset").click()
    panel.until(READS, begun)


def test_what_the_charts_hold_is_what_the_kit_reckons(panel: Seen, records: Path) -> None:
    panel.at_rest()
    SAME[panel.name](values_in(panel, records), panel.charts(), records)


def test_hostile_values_are_refused_beside_every_control_at_once_and_reset_mends_them(
    panel: Seen, records: Path
) -> None:
    begun, refused = panel.parameters(), []
    for field in fields_of(panel, records):
        if not isinstance(field, Number | Day) or not panel.typed(field.said.full).is_visible():
            continue
        panel.type_in(field.said.full, "2031-01-01" if isinstance(field, Day) else "1e9")
        refused.append(field.said.label)
    assert refused
    panel.until(REFUSED, refused)
    assert panel.parameters() == begun, "the last that could be taken stands"
    assert "Traceback" not in panel.page.inner_text(".jp-Notebook")
    panel.page.get_by_role("button", name="Reset").click()
    panel.until(CALM)
    panel.until(READS, begun)


def test_every_control_has_a_name_and_axe_finds_nothing_grave_in_the_panel(panel: Seen) -> None:
    found = Axe().run(panel.page, context=".kit-panel").response["violations"]
    assert [(f["id"], f["nodes"][0]["html"][:120]) for f in found if f["impact"] in ("critical", "serious")] == []


def test_the_chart_and_the_usual_controls_fit_a_laptop_without_scrolling(panel: Seen) -> None:
    panel.unfold(shut=True)
    panel.page.evaluate("document.querySelector('.kit-panel').scrollIntoView()")
    canvas = panel.page.locator(".jp-OutputArea:has(.kit-panel) canvas").first.bounding_box()
    controls = panel.page.locator(".kit-panel .kit-more").bounding_box()
    assert canvas is not None and controls is not None
    assert canvas["x"] > controls["x"] + controls["width"] - 20, "beside each other"
    assert canvas["y"] + canvas["height"] <= 768 and controls["y"] <= 768


@mostly_long("try_rounds")
def test_five_hundred_moves_keep_the_page_and_the_notebook_small(panel: Seen) -> None:
    client = panel.page.context.new_cdp_session(panel.page)

    def held() -> tuple[float, int]:
        panel.at_rest()
        client.send("HeapProfiler.collectGarbage")
        size = float(client.send("Runtime.getHeapUsage")["usedSize"])
        return size, len(panel.page.evaluate("() => document.querySelectorAll('.jp-OutputArea-child')"))

    panel.page.evaluate(DRAG, [1, 60, 3])
    before = held()
    panel.page.evaluate(DRAG, [1, 500, 3])
    after = held()
    print(f"{panel.name}: heap {before[0] / 1e6:.1f} to {after[0] / 1e6:.1f} MB")
    assert after[1] == before[1]
    assert after[0] < 1.3 * before[0]


def test_by_keyboard_alone_a_slider_is_reached_and_moved(panel: Seen) -> None:
    panel.page.get_by_role("button", name="Reset").click()
    begun = panel.parameters()
    panel.page.locator(".kit-panel select, .kit-panel input").first.focus()
    for _ in range(8):
        if panel.page.evaluate("document.activeElement.getAttribute('role')") == "slider":
            break
        panel.page.keyboard.press("Tab")
    panel.page.keyboard.press("ArrowRight")
    panel.until("(text) => document.querySelector('.kit-panel textarea').value !== text", begun)


def test_a_page_saved_from_it_opens_without_a_network_and_its_chart_still_answers_the_pointer(
    panel: Seen, browser: Browser, records: Path
) -> None:
    panel.page.get_by_role("button", name="Save as a page").click()
    panel.until(SAYS, f"Saved as {panel.name}.html")
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((records / "notebooks" / f"{panel.name}.html").as_uri())
    page.wait_for_selector("body[data-drawn]", timeout=60_000)
    assert "Tried:" in page.inner_text("main") and "What can hurt?" in page.inner_text("main")
    if panel.name == "try_rounds":
        page.locator("figure.chart svg .mark-rect path").nth(10).hover(force=True)  # its number lies over it
        page.wait_for_selector("#vg-tooltip-element.visible")
        assert "kill %" in page.locator("#vg-tooltip-element").inner_text(), "the map tells what is under the pointer"
    assert all(url.startswith("file:") for url in asked)
    page.close()


def test_a_plain_html_export_still_reads_as_it_last_stood(panel: Seen, browser: Browser, tmp_path: Path) -> None:
    panel.at_rest()
    charts = panel.charts()
    panel.until(DRAWN, len(charts))
    panel.until(PICTURED, len(charts))
    book = nbformat.reads(panel.page.evaluate(AS_SAVED), as_version=4)
    html, _ = HTMLExporter().from_notebook_node(book)
    (tmp_path / "export.html").write_text(html, encoding="utf-8")
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    page.goto((tmp_path / "export.html").as_uri(), wait_until="domcontentloaded")
    text, pictures = page.inner_text("body"), page.locator('img[src^="data:image/png"]').count()
    page.close()
    tried = panel.page.locator(".jp-OutputArea:has(.kit-panel) p", has_text="Tried:").inner_text()
    assert tried.split(".")[0] in text
    assert pictures == len(charts), "each chart as it was last drawn"


def test_the_round_is_stopped_with_its_last_good_answer_kept(panel: Seen) -> None:
    if panel.name != "try_round":
        pytest.skip("only the round is solved in the background")
    panel.page.get_by_role("button", name="Reset").click()
    panel.at_rest()
    panel.type_in("Hours in a day (h)", "4")
    panel.until(WORKS)
    panel.page.get_by_role("button", name="Stop").click()
    panel.until(SAYS, "Stopped.")
    stood = panel.words()
    panel.at_rest()
    assert panel.words() == stood and " out and " in stood


@mostly_long("try_power")
def test_after_the_kernel_is_restarted_run_all_brings_it_back(panel: Seen, records: Path) -> None:
    panel.restart()
    panel.run_all()
    given = values_in(panel, records)
    moved = next(f for f in fields_of(panel, records) if isinstance(f, Number) and f.name not in PAIRED and not f.more)
    tried = other_than(moved, given[moved.name])
    panel.type_in(moved.said.full, f"{tried:g}")
    panel.until(SAYS, f"{moved.said.label}: {moved.told(tried)}")


def test_it_works_in_the_classic_notebook_view(screen: BrowserContext, running: Lab) -> None:
    """Its own plugin of keyboard shortcuts complains of a `schema` on opening any notebook, nothing run."""
    with opened(screen, running, "try_power", CLASSIC) as seen:
        seen.run_all()
        seen.page.wait_for_selector(".jp-OutputArea:has(.kit-panel) canvas", timeout=60_000)
        seen.type_in("Air (°C)", "-9")
        seen.until(SAYS, "Air: -9 °C")
