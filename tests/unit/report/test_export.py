"""A page is one file that asks for nothing, runs nothing foreign, and reads without its charts."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from typing import Any

import html5lib
import nbformat
import pytest

from kit.report import charts
from kit.report.bundle import vega_bundle
from kit.report.export import Link, Sheet, inert_json, markdown, page_of
from kit.report.show import _bundle
from kit.season.findings import Findings

HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"


def notebook(*outputs: dict[str, Any]) -> Any:
    v4 = nbformat.v4
    cells = [
        v4.new_markdown_cell("# A question?\n\nHow to read it.", id="title"),
        v4.new_code_cell('review: str = ""', id="parameters", metadata={"tags": ["parameters"]}),
        v4.new_code_cell("page", id="setup", outputs=[v4.new_output("display_data", {"text/html": "MASTHEAD"})]),
        v4.new_markdown_cell("## Was I late?\n\nDays against a day.", id="lateness"),
        v4.new_code_cell("secret_code()", id="lateness-1", outputs=[nbformat.from_dict(o) for o in outputs]),
    ]
    return v4.new_notebook(cells=cells)


def chart_output(review: Findings) -> dict[str, Any]:
    return {"output_type": "display_data", "metadata": {}, "data": _bundle(charts.lateness(review).to_dict())}


@pytest.fixture(scope="module")
def page(review: Findings) -> str:
    sheet = Sheet(
        f"Far <b>{HOSTILE}", "Keeper", "8 rows were set aside.", "", [Link("All", "index.html")], "Made today"
    )
    return page_of(notebook(chart_output(review)), sheet)


def test_it_is_valid_html_with_a_language_one_main_heading_and_a_way_to_skip(page: str) -> None:
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    assert tree.get("lang") == "en"
    assert len(list(tree.iter("h1"))) == 1
    assert next(a.get("href") for a in tree.iter("a")) == "#main"
    assert tree.find(".//main[@id='main']") is not None


def test_it_forbids_the_network_and_every_script_but_its_own(page: str) -> None:
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]+)"', page)
    policy = policy.replace("&#39;", "'")
    assert "default-src 'none'" in policy and "unsafe-eval" not in policy
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    assert len(scripts) == 2
    for script in scripts:
        digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy


def test_it_names_no_address_that_a_browser_would_fetch(page: str) -> None:
    without_scripts = re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)
    assert not re.search(r'(src|href)="(https?:)?//', without_scripts)


def test_it_stays_below_a_megabyte_and_a_half(page: str) -> None:
    assert len(page.encode()) < 1_500_000


def test_the_words_come_before_the_chart_and_stand_without_it(page: str) -> None:
    assert "Far Meadow: 31 days late" in re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    assert page.index("Late: Far Meadow") < page.index('class="plot"')


def test_code_and_parameters_and_masthead_stay_in_the_notebook(page: str) -> None:
    for hidden in ("secret_code", "review: str", "MASTHEAD"):
        assert hidden not in page


def test_the_chart_is_there_whole_as_json_that_cannot_end_its_element(page: str) -> None:
    (spec,) = re.findall(r'<script type="application/json" class="spec">(.*?)</script>', page, re.DOTALL)
    assert "<" not in spec
    assert json.loads(spec)["width"] == "container"


def test_a_hostile_title_is_shown_not_obeyed(page: str) -> None:
    assert "<img src=x" not in page and "<script>alert" not in page


def test_inert_json_gives_back_what_went_in() -> None:
    value = {HOSTILE: [HOSTILE, "\u2028", "é"]}
    assert json.loads(inert_json(value)) == value


def test_html_in_markdown_is_shown_not_obeyed() -> None:
    assert "<script" not in markdown(HOSTILE) and "<img" not in markdown(HOSTILE)


def test_an_error_is_told_on_the_page_in_its_place() -> None:
    error = {"output_type": "error", "ename": "KeyError", "evalue": HOSTILE, "traceback": []}
    html = page_of(notebook(error), Sheet("T", "K", ""))
    assert "KeyError" in html and "<script>alert" not in html


def test_a_page_that_failed_ends_at_its_fault_without_the_marks_of_papermill() -> None:
    v4 = nbformat.v4
    fault = {"output_type": "error", "ename": "KeyError", "evalue": "'x'", "traceback": []}
    book = notebook(fault)
    mark = v4.new_markdown_cell('<span style="color:red">An Exception</span>', id="mark")
    mark.metadata["tags"] = ["papermill-error-cell-tag"]  # as papermill 2.7 tags what it puts in
    book.cells.insert(0, mark)
    book.cells += [v4.new_markdown_cell("## What else?\n\nNever run.", id="else")]
    page = page_of(book, Sheet("t", "k", ""))
    assert "This page stopped here" in page
    assert "An Exception" not in page and "What else?" not in page


def test_a_page_without_charts_does_not_carry_the_library() -> None:
    assert len(page_of(notebook(), Sheet("T", "K", ""))) < 40_000


def test_the_library_holds_nothing_that_ends_its_element() -> None:
    assert "</script" not in vega_bundle().lower()
