"""One browser for every test that asks for it."""

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
