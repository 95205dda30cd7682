"""`season lab`: its address answers only to its token, and Ctrl-C leaves nothing running."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.notebooks.conftest import DEMO

pytestmark = [pytest.mark.slow, pytest.mark.skipif(os.name != "posix", reason="sends an interrupt")]


def status(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


def told(started: subprocess.Popen[str]) -> tuple[str, str]:
    """The address and the token that it prints."""
    assert started.stdout is not None
    said = [line for _, line in zip(range(3), started.stdout, strict=False)]
    found = re.search(r"Open (http://127\.0\.0\.1:\d+)/lab/tree/try_rounds\.ipynb\?token=(\w+)", "".join(said))
    assert found, said
    return found[1], found[2]


def interruptible() -> None:
    """Ctrl-C is heard, as at a terminal, also where the tests themselves run in the background."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_it_prints_its_address_and_stops_cleanly_on_an_interrupt(tmp_path: Path) -> None:
    shutil.copytree(DEMO / "minimum", tmp_path / "records")
    away = {"DISPLAY", "WAYLAND_DISPLAY"}
    environment = {k: v for k, v in os.environ.items() if k not in away} | {"XDG_CONFIG_HOME": str(tmp_path / "config")}
    command = [sys.executable, "-m", "kit.cli", "lab", str(tmp_path / "records")]
    with subprocess.Popen(
        command,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
        preexec_fn=interruptible,
    ) as started:
        try:
            address, token = told(started)
            assert status(f"{address}/api/contents?token={token}") == 200
            assert status(f"{address}/api/contents") == 403
        finally:
            started.send_signal(signal.SIGINT)
        assert started.stdout is not None and "Traceback" not in started.stdout.read()
    assert started.returncode == 0
    with pytest.raises(urllib.error.URLError):
        status(f"{address}/api/contents")
    assert (tmp_path / "records" / "notebooks" / "try_rounds.ipynb").exists()
    assert (tmp_path / "config" / "season-kit" / "lab").is_dir()
