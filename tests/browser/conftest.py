"""The demo's pages in a real Chromium that can reach nothing but files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.notebooks.conftest import DEMO, run_demo


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The full demo's pages for two apiaries."""
    return run_demo(tmp_path_factory.mktemp("pages") / "out", DEMO / "full", apiaries=("SLUICE", "HOME")).out


@dataclass
class Seen:
    """A page as opened, with what it said and asked for meanwhile."""

    page: Page
    console: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


@pytest.fixture
def opened(browser: Browser) -> Iterator[object]:
    """A function that opens a file at a width and waits until its charts are drawn."""
    contexts = []

    def open_page(path: Path, width: int = 390, *, scripts: bool = True) -> Seen:
        context = browser.new_context(viewport={"width": width, "height": 844}, java_script_enabled=scripts)
        contexts.append(context)
        seen = Seen(context.new_page())
        seen.page.on("console", lambda message: seen.console.append(message.text))
        seen.page.on("pageerror", lambda error: seen.console.append(str(error)))
        seen.page.on("request", lambda request: seen.requests.append(request.url))
        seen.page.goto(path.as_uri())
        if scripts and seen.page.locator("figure.chart").count():
            seen.page.wait_for_selector("body[data-drawn]", timeout=60_000)
        return seen

    yield open_page
    for context in contexts:
        context.close()
