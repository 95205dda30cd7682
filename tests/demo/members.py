"""Three invented members of an association, as record sheets: `python -m tests.demo.members FOLDER`.

The demo's keeper, and two operations of the simulator set down on farmland squares nearby; nothing about them is real.
`season share` on each and `season pool` on the packs gives the report that a committee would see.
"""

from __future__ import annotations

import csv
import shutil
import sys
from pathlib import Path

from tests.simulator.operations import KINDS, operation
from tests.simulator.sheets import write

ROOT = Path(__file__).resolve().parents[2]
SIMULATED = {"second": ("three trays", 11, 52.31, -1.44), "third": ("well counted", 4, 52.83, -0.62)}
"""Member to kind of operation, seed, and the corner its apiaries stand around."""
STEP = 0.07
ACCESS = ("all weather", "dry ground", "on foot")


def members(folder: Path) -> dict[str, Path]:
    """Write the sheets; gives the folder of each member's."""
    shutil.copytree(ROOT / "data_demo" / "full", folder / "first" / "records", dirs_exist_ok=True)
    for name, (kind, seed, latitude, longitude) in SIMULATED.items():
        write(operation(KINDS[kind], seed), folder / name)
        _set_down(folder / name / "records" / "apiaries.csv", latitude, longitude)
    return {name: folder / name / "records" for name in ("first", *SIMULATED)}


def _set_down(sheet: Path, latitude: float, longitude: float) -> None:
    with sheet.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for n, row in enumerate(rows):
        row["latitude"], row["longitude"] = f"{latitude + STEP * n:.3f}", f"{longitude + STEP * (n % 2):.3f}"
        row["access"] = ACCESS[n % len(ACCESS)]
    with sheet.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    for member, place in members(Path(sys.argv[1])).items():
        print(f"{member}: {place}")
