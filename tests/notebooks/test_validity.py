"""Every page of a run by independent readers: HTML by html5lib, charts by the published Vega-Lite schema."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import html5lib
import jsonschema
import pytest

from kit.report.run import Outcome

pytestmark = pytest.mark.xdist_group("report run")
SCHEMA = "vegalite/v6/schema/vega-lite-schema.json"
"""Published by the Vega project as vega-lite v6; altair ships it unchanged."""


def pages(out: Path) -> list[Path]:
    return sorted(out.rglob("*.html"))


def test_every_page_is_valid_html_with_ids_that_are_there_once(made: Outcome) -> None:
    assert len(pages(made.out)) >= 10
    for page in pages(made.out):
        tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page.read_text(encoding="utf-8"))
        ids = [element.get("id") for element in tree.iter() if element.get("id")]
        assert len(ids) == len(set(ids)), page
        assert all(link.get("href", "#main") for link in tree.iter("a")), page


def test_every_chart_of_every_page_keeps_to_the_published_schema(made: Outcome) -> None:
    schema = json.loads((files("altair") / SCHEMA).read_text(encoding="utf-8"))
    check, seen = jsonschema.Draft7Validator(schema), 0
    for page in pages(made.out):
        for text in re.findall(
            r'<script type="application/json"[^>]*>(.*?)</script>', page.read_text(encoding="utf-8"), re.S
        ):
            assert check.is_valid(json.loads(text)), page
            seen += 1
    assert seen >= 10
    assert not check.is_valid({"mark": "mite"}), "the check can fail"


def test_anchors_are_named_for_what_they_hold_and_not_numbered(made: Outcome) -> None:
    """Links that people have sent stay good: sections carry the names of the first page's sentences."""
    page = (made.out / "season.html").read_text(encoding="utf-8")
    sections = re.findall(r'<section id="([^"]+)"', page)
    assert {"losses", "lateness", "kill", "loads", "first", "open", "effort", "gear", "trust"} <= set(sections)
    assert not any(re.search(r"\d", section) for section in sections)
