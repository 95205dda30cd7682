"""Names and notes that try to run, to escape their folder or to break a file stay words in every page."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path

import icalendar
import nbformat
import pytest

from kit.report.run import run_all
from tests.browser.conftest import Seen
from tests.notebooks.conftest import ALL

pytestmark = pytest.mark.slow
IDS = (
    "<script>alert(1)</script>",
    "</script><img src=x onerror=alert(1)>",
    '"><svg onload=alert(1)>',
    "{{ 7*7 }}{% raw %}",
    "../../x",
    "con",
    "=HYPERLINK(1)",
    "![x](http://example.invalid/x.png)",
    "\u202eevil\u202c \U0001f41d",
    "a" * 300,
    "B-2",
    "b-2",
)
"""Names of apiaries: what becomes files, folders, anchors and parameters."""
NAMES = (
    "<!--<script>",
    "]]><style>*{display:none}</style>",
    "<a href=javascript:alert(1)>x</a>",
    "${7*7} {#if} <%= 7*7 %>",
    "C:\\x\\..\\y",
    "aux.html",
    "@SUM(1+1)",
    "**bold** [x](javascript:alert(1)) `code`",
    "\u200f\u2066\u05d0\u05d1 Zo\u00eb",
    "long" * 25_000,
    "B/2",
    "B 2",
)
"""What people call them; one of 100 kB."""
NOTES = (
    "'; alert(1); //",
    "</textarea></title></style><script src=//example.invalid></script>",
    "<iframe srcdoc='<script>alert(1)</script>'>",
    "$x^2$ \\(\\alert\\)",
    "/etc/passwd",
    "BEGIN:VEVENT\nEND:VCALENDAR",
    "+1+cmd|' /C calc'!A0",
    "# heading\n\n---\n<b>x</b>",
    "\U0001f468\u200d\U0001f33e\u0301\u0301\u0301",
    "&lt;script&gt; &amp;amp;",
    "\u2028line\u2029",
    "-1",
)
DAY = date(2026, 3, 31)


def write(path: Path, *rows: tuple[str, ...]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    records = tmp_path_factory.mktemp("hostile")
    write(records / "settings.csv", ("setting", "value"), ("keeper", IDS[0]), ("season_start", "2025-04-01"))
    write(
        records / "apiaries.csv",
        ("apiary", "name", "hives", "emergency"),
        *((one, name, "5", note) for one, name, note in zip(IDS, NAMES, NOTES, strict=True)),
    )
    log = [
        ("2025-08-10", name, "oxalic sublimation 1", "5", "5", "", note) for name, note in zip(IDS, NOTES, strict=True)
    ]
    log += [(day, name, "heads", "5", "", "1", name) for day in ("2025-10-01", "2026-03-10") for name in IDS]
    write(records / "log.csv", ("date", "apiary", "did", "standing", "done", "dead", "notes"), *log)
    outcome = run_all(
        records, out=records / "out", parts=ALL, season=2025, as_of=DAY, apiaries=(), jobs=2,
        seed=1, pdf=False, today=DAY,
    )  # fmt: skip
    assert outcome.failed == ()
    return outcome.out


def test_every_apiary_has_a_folder_of_its_own_within_out(made: Path) -> None:
    folders = [path.name for path in (made / "apiaries").iterdir()]
    assert len(folders) == len({name.casefold() for name in folders}) == len(IDS)
    assert not (made.parent / "x").exists()


def test_no_page_runs_asks_or_complains(made: Path, opened: Callable[..., Seen]) -> None:
    for page in sorted(made.rglob("*.html")):
        seen = opened(page)
        assert seen.console == [], page
        assert seen.requests == [page.as_uri()], page
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= 390, page
        assert seen.page.locator("img, iframe, svg[onload], script[src], a[href^=javascript]").count() == 0, page
        seen.page.close()


def test_names_come_through_as_they_were_written(made: Path, opened: Callable[..., Seen]) -> None:
    text = opened(made / "index.html").page.locator("table.apiaries").inner_text()
    for name in (*IDS[:8], *NAMES[:8]):
        assert name in text


def test_notebooks_tables_and_calendar_stay_readable(made: Path) -> None:
    for path in made.rglob("*.ipynb"):
        nbformat.validate(nbformat.read(path, as_version=4))
    for path in (made / "tables").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        assert len({len(row) for row in rows}) == 1, path
        assert not any(cell.startswith(("=", "@", "+1+")) for row in rows for cell in row), path
    icalendar.Calendar.from_ical((made / "calendar.ics").read_bytes())
