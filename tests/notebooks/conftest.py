"""One run of the bare minimum for all tests here: three sheets, two apiaries' pages."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kit.report.run import Outcome, run_all

DEMO = Path(__file__).parents[2] / "data_demo"
AS_OF = date(2026, 3, 31)
ALL = frozenset({"review", "plan", "record"})


def run_demo(
    out: Path, records: Path = DEMO / "minimum", jobs: int = 2, apiaries: tuple[str, ...] = (), *, fresh: bool = False
) -> Outcome:
    """The pages for the apiaries named, under `out`; what was worked out before is taken but for `fresh`."""
    return run_all(
        records, out=out, parts=ALL, season=None, as_of=AS_OF, apiaries=apiaries, jobs=jobs, seed=1, pdf=False,
        today=AS_OF, fresh=fresh,
    )  # fmt: skip


def two_apiaries(folder: Path) -> Path:
    """Record sheets of two of the demo's apiaries."""
    for sheet in (DEMO / "minimum").glob("*.csv"):
        lines = sheet.read_text(encoding="utf-8-sig").splitlines(keepends=True)
        of = lines[0].strip().split(",").index("apiary") if "apiary" in lines[0].split(",") else None
        kept = [line for line in lines[1:] if of is None or line.split(",")[of] in ("SLUICE", "HOME")]
        (folder / sheet.name).write_text("".join([lines[0], *kept]), encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    return run_demo(tmp_path_factory.mktemp("run") / "out", apiaries=("SLUICE", "HOME"))
