"""`season lab` opens a browser only where there is a screen."""

from __future__ import annotations

import sys
import webbrowser

import pytest

from kit.report.lab import open_browser

ADDRESS = "http://127.0.0.1:1/lab"


@pytest.mark.parametrize(
    ("platform", "screen", "opened"),
    [("linux", {}, False), ("linux", {"DISPLAY": ":0"}, True), ("linux", {"WAYLAND_DISPLAY": "w"}, True),
     ("darwin", {}, True)],
)  # fmt: skip
def test_the_browser_is_opened_where_there_is_a_screen(
    monkeypatch: pytest.MonkeyPatch, platform: str, screen: dict[str, str], opened: bool
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setattr(webbrowser, "open", lambda address: bool(asked.append(address)) or True)
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    for name, value in screen.items():
        monkeypatch.setenv(name, value)
    assert open_browser(ADDRESS) is opened
    assert asked == ([ADDRESS] if opened else [])


def test_a_browser_that_does_not_open_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(webbrowser, "open", lambda _: False)
    assert not open_browser(ADDRESS)
