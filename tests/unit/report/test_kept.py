"""What is kept of an earlier run: found again from the same, worked out again from anything else."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.records.load import load
from kit.records.records import Records
from kit.report import fingerprint as fingerprints
from kit.report import kept as kept_module
from kit.report.fingerprint import code_below, fingerprint
from kit.report.kept import Arrays, Kept
from kit.season.findings import Findings
from kit.season.posterior.draws import Drawn, packed, unpacked

DEMO = Path(__file__).parents[3] / "data_demo"
DAY = date(2026, 3, 31)
FOUND = Findings(
    {"lost": 3, "share": 0.1 + 0.2, "none": None}, {"A": {"late": True}}, {"t": pd.DataFrame({"n": [1.5]})}
)


class Work:
    """Counts how often it is asked."""

    def __init__(self, result: Findings = FOUND) -> None:
        self.asked, self.result = 0, result

    def __call__(self) -> Findings:
        self.asked += 1
        return self.result


@pytest.fixture(scope="module")
def minimum() -> Records:
    return load(DEMO / "minimum", as_of=DAY, today=DAY)


def test_the_same_is_worked_out_once_and_reads_back_to_the_last_digit(tmp_path: Path) -> None:
    work = Work()
    first, second = (Kept(place=tmp_path).findings("season", ("records", 1), work) for _ in range(2))
    assert work.asked == 1
    assert first.facts == second.facts == FOUND.facts
    pd.testing.assert_frame_equal(second.tables["t"], FOUND.tables["t"], check_exact=True)


@pytest.mark.parametrize("given", [("records", 2), ("record", 1), ("records", 1.5), ("records", None)])
def test_anything_else_is_worked_out_again(given: object, tmp_path: Path) -> None:
    work = Work()
    Kept(place=tmp_path).findings("season", ("records", 1), work)
    Kept(place=tmp_path).findings("season", given, work)
    assert work.asked == 2


def test_fresh_works_out_again_and_keeps_that(tmp_path: Path) -> None:
    Kept(place=tmp_path).findings("season", 1, Work())
    newer = Work(replace(FOUND, facts={"lost": 4}))
    Kept(fresh=True, place=tmp_path).findings("season", 1, newer)
    assert newer.asked == 1
    assert Kept(place=tmp_path).findings("season", 1, Work()).facts == {"lost": 4}


@pytest.mark.parametrize("harm", [lambda b: b[:-40], lambda b: b.replace(b'"lost": 3', b'"lost": 1'), lambda _: b""])
def test_a_damaged_file_is_not_believed(harm: object, tmp_path: Path) -> None:
    Kept(place=tmp_path).findings("season", 1, Work())
    (path,) = tmp_path.iterdir()
    path.write_bytes(harm(path.read_bytes()))  # type: ignore[operator]
    work = Work()
    assert Kept(place=tmp_path).findings("season", 1, work).facts == FOUND.facts
    assert work.asked == 1


def test_another_version_of_the_code_works_out_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "kit"
    shutil.copytree(fingerprints.PACKAGE / "calc", package / "calc", ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(fingerprints, "PACKAGE", package)
    before = code_below()
    with (package / "calc" / "mites.py").open("a") as code:
        code.write("# changed\n")
    assert code_below() != before
    monkeypatch.setattr(fingerprints, "version", lambda _: "0")
    assert code_below() != before
    work, place = Work(), tmp_path / "kept"
    for code in (before, before, "other"):
        monkeypatch.setattr(kept_module, "LOADED", code)
        monkeypatch.setattr(kept_module, "code_below", lambda code=code: code)
        Kept(place=place).findings("season", 1, work)
    assert work.asked == 2


def test_nothing_is_kept_or_taken_while_the_code_is_another_than_was_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = Work()
    Kept(place=tmp_path).findings("season", 1, work)
    monkeypatch.setattr(kept_module, "code_below", lambda: "edited meanwhile")
    Kept(place=tmp_path).findings("season", 1, work)
    Kept(place=tmp_path).findings("season", 2, work)
    assert work.asked == 3
    assert len(list(tmp_path.iterdir())) == 1


def test_a_place_that_takes_nothing_stops_no_run(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert Kept(place=tmp_path / "file").findings("season", 1, Work()).facts == FOUND.facts


def test_what_was_used_least_lately_goes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Kept(place=tmp_path).findings("season", 1, Work())
    size = next(tmp_path.iterdir()).stat().st_size
    monkeypatch.setattr(kept_module, "MOST_BYTES", 2 * size)
    Kept(place=tmp_path).findings("season", 2, Work())
    Kept(place=tmp_path).findings("season", 1, Work())
    Kept(place=tmp_path).findings("season", 3, Work())
    work = Work()
    for given in (1, 3, 2):
        Kept(place=tmp_path).findings("season", given, work)
    assert work.asked == 1


def test_draws_come_back_bit_for_bit_and_a_failed_apiary_as_failed(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    drawn = Drawn(rng.standard_normal((5, 2, 3)), rng.standard_normal((5, 2, 3), dtype=np.float32), 7)

    def work() -> Arrays:
        return packed([drawn, None])

    for _ in range(2):
        back, failed = unpacked(Kept(place=tmp_path).arrays("draws", 1, work))
        assert failed is None and back is not None and back.runs == 7
        assert back.parameters.tobytes() == drawn.parameters.tobytes()


def test_every_cell_of_every_sheet_counts(minimum: Records) -> None:
    """A cell of each column changed by the least there is; the same records read twice have one fingerprint."""
    before = fingerprint(minimum)
    assert fingerprint(load(DEMO / "minimum", as_of=DAY, today=DAY)) == before
    tried = 0
    for name in ("log", "apiaries", "treatments", "visits", "counts"):
        table = minimum.tables[name]
        for column in table.columns if len(table) else ():
            changed = table.copy()
            changed[column] = changed[column].astype(object)
            changed.iloc[-1, changed.columns.get_loc(column)] = "x"
            assert fingerprint(replace(minimum, tables={**minimum.tables, name: changed})) != before, (name, column)
            tried += 1
    assert tried > 30


def test_every_parameter_counts(minimum: Records) -> None:
    others = [
        replace(minimum, as_of=date(2026, 3, 30)),
        replace(minimum, settings=replace(minimum.settings, colony_value=minimum.settings.colony_value + 1e-9)),
        replace(minimum, season=minimum.season._replace(label=2024)),
        replace(minimum, apiaries=minimum.apiaries[::-1]),
        replace(minimum, heads=minimum.heads.iloc[:-1]),
    ]
    assert len({fingerprint(one) for one in (minimum, *others)}) == 6


def test_a_value_it_cannot_see_into_is_refused() -> None:
    with pytest.raises(TypeError, match="has no fingerprint"):
        fingerprint(object())
