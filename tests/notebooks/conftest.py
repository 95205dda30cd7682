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
    out: Path, records: str = "minimum", jobs: int = 2, apiaries: tuple[str, ...] = (), *, fresh: bool = False
) -> Outcome:
    """The demo's pages for the apiaries named, under `out`; what was worked out before is taken but for `fresh`."""
    return run_all(
        DEMO / records, out=out, parts=ALL, season=None, as_of=AS_OF, apiaries=apiaries, jobs=jobs, seed=1, pdf=False,
        today=AS_OF, fresh=fresh,
    )  # fmt: skip


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    return run_demo(tmp_path_factory.mktemp("run") / "out", apiaries=("SLUICE", "HOME"))
