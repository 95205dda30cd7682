"""Hundreds and thousands of packs: memory that does not grow with what the packs hold, time linear in their number."""

from __future__ import annotations

import io
import json
import shutil
import time
import tracemalloc
import zipfile
from pathlib import Path

import pypdf
import pytest

from kit.report.pdf import NAMES
from kit.report.share.pack import DESCRIPTOR, zipped
from kit.report.share.pool import pool
from kit.report.share.run import Pooled, _gather, pool_all  # the reading alone, before anything is written
from tests.unit.share.made import season
from tests.unit.share.test_attacks import ATTACKS

DISTINCT = 60


def packs(folder: Path, count: int) -> Path:
    """So many packs of as many operations: sixty invented seasons, each under new keys of its operation."""
    folder.mkdir(parents=True)
    held = []
    for seed in range(DISTINCT):
        with zipfile.ZipFile(io.BytesIO(season(seed).pack().content)) as book:
            held.append({name: book.read(name) for name in book.namelist() if name.endswith((".csv", ".json"))})
    for at in range(count):
        files = held[at % DISTINCT]
        about = json.loads(files[DESCRIPTOR]) | {"operation": f"{at:032x}"}
        (folder / f"{at:05d}.zip").write_bytes(zipped(files | {DESCRIPTOR: json.dumps(about).encode()}))
    return folder


@pytest.mark.long
def test_two_hundred_packs_and_sixty_hostile_ones_become_a_report(tmp_path: Path) -> None:
    place = packs(tmp_path / "packs", 200)
    hostile = list(ATTACKS)[:60]
    for n, attack in enumerate(hostile):
        (place / f"hostile-{n}.zip").write_bytes(ATTACKS[attack]())
    printable = any(shutil.which(name) for name in NAMES)
    made = pool_all([place], out=tmp_path / "out", season=None, minimum=5, keys=[f"{3:032x}"], pdf=printable)
    assert len(made.members) == 200 and len(made.not_pooled) == len(hostile) and not made.failed
    assert made.standings[0].startswith("Of 200 members, you:")
    page = (tmp_path / "out" / "association.html").read_text(encoding="utf-8")
    assert "200 members" in page and "alert(1)" not in page and "http://" not in page.split("<script>")[0]
    book = json.loads((tmp_path / "out" / "notebooks" / "association.ipynb").read_text(encoding="utf-8"))
    run = [cell for cell in book["cells"] if cell["cell_type"] == "code"]
    assert all(cell["execution_count"] and (cell["outputs"] or "=" in "".join(cell["source"])) for cell in run)
    if printable:
        printed = "".join(p.extract_text() for p in pypdf.PdfReader(tmp_path / "out" / "association.pdf").pages)
        assert "200 members" in printed and "What can these packs not say?" in printed
    assert {path.name for path in tmp_path.iterdir()} == {"packs", "out", "pool_releases.json"}
    assert not any(one.operation in page for one in made.members)


@pytest.mark.long
def test_two_thousand_packs_are_pooled_in_bounded_memory_and_linear_time(tmp_path: Path) -> None:
    paths = sorted(packs(tmp_path / "packs", 2000).iterdir())
    taken = {}
    for count in (500, 2000):
        start = time.process_time()  # of this process alone: another's load is not the packs'
        members, year = _gather(paths[:count], None, Pooled(tmp_path))
        pool(members, year, minimum=5)
        taken[count] = time.process_time() - start
    tracemalloc.start()
    _gather(paths, None, Pooled(tmp_path))
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"seconds {taken}, peak {peak:.0f} MB")
    assert taken[2000] < 1.6 * 4 * taken[500]
    assert peak < 100
