"""Write the demo: `python -m tests.demo.make [FOLDER]`, the same bytes every time."""

from __future__ import annotations

import csv
import io
import json
import sys
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

import numpy as np

from tests.demo import bees, details, log, stock, year
from tests.demo.boards import boards
from tests.demo.mess import with_bad
from tests.demo.told import told
from tests.demo.weather import Weather, weather
from tests.demo.world import SEED, World, world

Row = dict[str, str]
ROOT = Path(__file__).resolve().parents[2]
COLUMNS = {
    "settings": "setting value",
    "apiaries": "apiary name grid_ref latitude longitude access drive_min carry_min hives floor supply_dry supply_wet "
                "emergency mites_notified notes",
    "log": "date apiary who did standing done dead cause weak light trays tray_days crumbs seals_out seals_in wrong "
           "why_late notes",
    "crops": "apiary crop supers_on supers_off",
    "labels": "product active authorised strength_mg_per_g max_dose dose_unit max_rounds_per_year brood_free_only "
              "supers_allowed min_c max_c withdrawal_days read_on",
    "events": "date kind from to hives notes",
    "colonies": "colony apiary from to outcome cause material brood_boxes queen_year",
    "inspections": "date apiary colony strength bee_frames brood_frames queen deformed_wings temper",
    "counts": "date apiary colony method mites days bees",
    "treatments": "date apiary colonies treatment product batch dose unit round removed supers_on sublimator expel_s "
                  "seal air_c wind written_on",
    "visits": "date apiary start end people colonies_done supply warm_up_min volts_before volts_after ground notes",
    "medicines": "date event product active batch expiry quantity unit supplier supplier_address evidence cost "
                 "prescriber how_disposed where_disposed written_on",
    "gear": "item kind type volts amp_hours watts idle_watts efficiency_pct warm_up_min expel_s spoon_g opened expires "
            "cost bought notes",
    "weather": "date min_c max_c rain_mm wind_kmh",
}  # fmt: skip
ENCODING = {"medicines": "utf-8-sig", "log": "cp1252"}
MINIMUM = {"apiaries": "apiary name access drive_min carry_min hives floor",
           "log": "date apiary did standing done dead cause trays tray_days wrong why_late notes"}  # fmt: skip


def sheets(told_by: World, sky: dict[date, Weather]) -> dict[str, list[Row]]:
    """Every sheet of the full folder, bad rows included."""
    laid = boards(told_by)
    clean = {
        "settings": _settings(stock.SETTINGS_FULL),
        "apiaries": bees.apiaries(full=True),
        "log": log.written(told_by, laid, date(2024, 4, 1), date(2026, 3, 31)),
        "crops": bees.crops(),
        "labels": stock.LABELS,
        "events": bees.events(told_by),
        "colonies": bees.colonies(told_by),
        "inspections": bees.inspections(told_by),
        "counts": details.counts(told_by, laid),
        "treatments": details.treatments(told_by, sky),
        "visits": details.visits(told_by),
        "medicines": stock.medicines(told_by),
        "gear": stock.GEAR,
        "weather": _weather(sky),
    }
    return {name: with_bad(name, rows) for name, rows in clean.items()}


def minimum(told_by: World) -> dict[str, list[Row]]:
    """The same year as three sheets: nothing numbered, a handful of trays, heads twice a year."""
    laid = [b for b in boards(told_by) if b.apiary == "HOME" and b.read.month == 11]
    rows = log.written(told_by, laid, date(2025, 4, 1), date(2026, 3, 31))
    kept = [row for row in rows if "trays in" not in row["did"] or row["apiary"] == "HOME"]
    return {"settings": _settings(stock.SETTINGS_MINIMUM), "apiaries": bees.apiaries(full=False), "log": kept}


def sky_of(told_by: World) -> dict[date, Weather]:
    fair = {line.when for line in log.lines(told_by) if line.done > 0}
    return weather(frozenset(fair), frozenset({year.WINDY[1]}), np.random.default_rng([SEED, 3]))


def _settings(pairs: Iterable[tuple[str, str]]) -> list[Row]:
    return [{"setting": name, "value": value} for name, value in pairs]


def _weather(sky: dict[date, Weather]) -> list[Row]:
    return [
        {"date": f"{when}", "min_c": _comma(w.low_c), "max_c": _comma(w.high_c), "rain_mm": _comma(w.rain_mm),
         "wind_kmh": _comma(w.wind_kmh)}
        for when, w in sorted(sky.items())
    ]  # fmt: skip


def _comma(value: float) -> str:
    return f"{value:g}".replace(".", ",")


def as_text(rows: list[Row], columns: str, separator: str = ",") -> str:
    """Rows as CSV text; a key that is no column is a mistake here, not a cell to drop."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns.split(), restval="", delimiter=separator, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def files(told_by: World) -> Mapping[str, bytes]:
    """Every file of the demo by its path from the top of the project."""
    made: dict[str, bytes] = {}
    for name, rows in sheets(told_by, sky_of(told_by)).items():
        text = as_text(rows, COLUMNS[name], ";" if name == "weather" else ",")
        made[f"data_demo/full/{name}.csv"] = text.encode(ENCODING.get(name, "utf-8"))
    for name, rows in minimum(told_by).items():
        columns = MINIMUM.get(name, COLUMNS[name]).split()
        kept = [{k: v for k, v in row.items() if k in columns} for row in rows]
        made[f"data_demo/minimum/{name}.csv"] = as_text(kept, " ".join(columns)).encode("utf-8")
    story = json.dumps(told(told_by), indent=1, ensure_ascii=False)
    made["tests/demo/truth.json"] = f"{story}\n".encode()
    return made


def main(folder: Path = ROOT) -> None:
    """Write the demo under `folder`."""
    for path, content in files(world()).items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
        print(f"{path}: {len(content.splitlines())} lines")


if __name__ == "__main__":
    main(*(Path(argument) for argument in sys.argv[1:2]))
