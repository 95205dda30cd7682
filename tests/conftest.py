"""One browser for every test that asks for it; what a file's tests share is made once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A `playwright.sync_api.Browser` that reaches this machine only."""
    from tests.browser.notebooks import chromium  # not every run has the library

    with chromium() as opened:
        yield opened


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests of one file run in one process, so that its fixtures are made once; named groups go before."""
    for item in items:
        if item.get_closest_marker("xdist_group") is None:
            item.add_marker(pytest.mark.xdist_group(item.path.name))
