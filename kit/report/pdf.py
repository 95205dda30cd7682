"""PDF of the pages through an installed Chromium."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from kit.errors import CannotGoOnError
from kit.report.write import write_bytes

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
SECONDS = 60
"""A page that takes longer is given up."""


def browser() -> str:
    """The path of an installed Chromium.

    Raises
    ------
    CannotGoOnError
        When there is none.
    """
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        raise CannotGoOnError("--pdf needs Chromium, and none is installed; install it or print from your browser")
    return found


def print_pages(pages: Sequence[Path], progress: Callable[[int, int, str], None]) -> list[str]:
    """Write a PDF beside each page.

    Returns
    -------
    list of str
        A sentence for each page that could not be printed.
    """
    program, failed = browser(), list[str]()
    for done, page in enumerate(pages, 1):
        target = page.with_suffix(".pdf")
        if not _printed(program, page, target):
            failed.append(f"{target.name} could not be printed; the page itself is whole")
        progress(done, len(pages), page.name)
    return failed


def _printed(program: str, page: Path, target: Path) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "page.pdf"
        command = [
            program, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
            "--disable-background-networking",
            "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={folder}/profile", "--virtual-time-budget=10000",
            f"--print-to-pdf={made}", page.resolve().as_uri(),
        ]  # fmt: skip
        try:
            subprocess.run(command, capture_output=True, timeout=SECONDS, check=True)
        except (subprocess.SubprocessError, OSError):
            return False
        if not made.exists():
            return False
        write_bytes(target, made.read_bytes())
    return True
