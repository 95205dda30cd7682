"""JupyterLab for the interactive notebooks: on this machine alone, with a token, quiet, and gone when it is stopped."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import subprocess
import sys
import tempfile
import time
import webbrowser
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_config_path

from kit.errors import CannotGoOnError

LOOPBACK = "127.0.0.1"
START_S, STOP_S = 60.0, 15.0
"""How long a start, and a stop, may take [s]."""
OPTIONS = (
    "--no-browser",
    f"--ServerApp.ip={LOOPBACK}",
    "--ServerApp.port=0",
    "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    "--LabApp.news_url=",
    "--LabApp.extension_manager=readonly",
)
AS_ROOT = ("--allow-root",)
"""In a container the only user is often root; the loopback address and the token keep others out all the same."""
QUIET = {"disabledExtensions": {"@jupyterlab/apputils-extension:announcements": True}}


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab."""

    address: str
    process: subprocess.Popen[bytes]

    def wait(self) -> None:
        """Until it ends by itself."""
        self.process.wait()


@contextlib.contextmanager
def lab(place: Path, opens: str, *, settings: Path | None = None, options: tuple[str, ...] = ()) -> Iterator[Lab]:
    """JupyterLab on a folder of notebooks while this lasts.

    Parameters
    ----------
    place : Path
        The folder it shows.
    opens : str
        Notebook that the address opens.
    settings : Path, optional
        Its own settings; a folder of the kit's in the user's configuration by default.
    options : tuple of str
        Further options for JupyterLab.

    Yields
    ------
    Lab
        Ready, with the address to open.

    Raises
    ------
    CannotGoOnError
        When it does not start.
    """
    token = secrets.token_hex(24)
    with tempfile.TemporaryDirectory(prefix="season-lab-") as runtime:
        process = _launch(place, settings or user_config_path("season-kit") / "lab", Path(runtime), token, options)
        try:
            port = _port(process, Path(runtime))
            yield Lab(f"http://{LOOPBACK}:{port}/lab/tree/{opens}?token={token}", process)
        finally:
            _stop(process)


def open_browser(address: str) -> bool:
    """Open the user's browser at an address where there is a screen to show it on; says whether there was one."""
    if sys.platform == "linux" and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return False
    return webbrowser.open(address)


def _launch(
    place: Path, settings: Path, runtime: Path, token: str, options: tuple[str, ...]
) -> subprocess.Popen[bytes]:
    config = settings / "config"
    (config / "labconfig").mkdir(parents=True, exist_ok=True)
    (config / "labconfig" / "page_config.json").write_text(json.dumps(QUIET), encoding="utf-8")
    environment = os.environ | {
        "JUPYTER_TOKEN": token,
        "JUPYTER_RUNTIME_DIR": str(runtime),
        "JUPYTER_CONFIG_DIR": str(config),
        "JUPYTER_DATA_DIR": str(settings / "data"),
        "JUPYTERLAB_SETTINGS_DIR": str(settings / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(settings / "workspaces"),
    }
    as_root = AS_ROOT if hasattr(os, "geteuid") and os.geteuid() == 0 else ()
    shown = f"--ServerApp.root_dir={place.resolve()}"
    command = [sys.executable, "-m", "jupyterlab", *OPTIONS, *as_root, shown, *options]
    with (runtime / "log").open("wb") as log:
        # A session of its own: Ctrl-C comes to us, and we end it in good order.
        return subprocess.Popen(
            command, env=environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True
        )


def _port(process: subprocess.Popen[bytes], runtime: Path) -> int:
    """The port it has chosen, read from the file it writes when ready."""
    until = time.monotonic() + START_S
    while time.monotonic() < until and process.poll() is None:
        for file in runtime.glob("jpserver-*.json"):
            with contextlib.suppress(ValueError, KeyError):
                return int(json.loads(file.read_text(encoding="utf-8"))["port"])
        time.sleep(0.1)
    said = (runtime / "log").read_text(encoding="utf-8", errors="replace").strip().splitlines()
    raise CannotGoOnError(f"JupyterLab did not start: {said[-1] if said else 'it said nothing'}")


def _stop(process: subprocess.Popen[bytes]) -> None:
    """End it with its kernels."""
    process.terminate()
    try:
        process.wait(STOP_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
