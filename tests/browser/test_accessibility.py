"""Every kind of page against axe-core, the rules that screen readers and auditors go by."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import Seen
from tests.browser.test_pages import KINDS

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("pages")]
GRAVE = ("critical", "serious")


@pytest.mark.parametrize("kind", (*KINDS, "today.html"))
def test_no_page_has_a_serious_violation(kind: str, pages: Path, opened: Callable[..., Seen]) -> None:
    page = opened(pages / kind, 390).page
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    found = Axe().run(page).response["violations"]
    faults = [
        (fault["id"], fault["impact"], len(fault["nodes"]), fault["nodes"][0]["html"][:160])
        for fault in found
        if fault["impact"] in GRAVE
    ]
    assert faults == []


def test_axe_sees_what_is_wrong(pages: Path, opened: Callable[..., Seen]) -> None:
    """The check itself can fail: a link without words is found."""
    broken = opened(pages / "index.html", 390).page
    broken.evaluate("document.querySelector('main').append(Object.assign(document.createElement('a'), {href: '#'}))")
    assert "link-name" in {fault["id"] for fault in Axe().run(broken).response["violations"]}
