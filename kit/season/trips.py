"""Each trip of the season: minutes on site, its share of the day's driving, carrying, and whether it was wasted.

Columns of the table `trips`: those of the developers' page, then `did` (as in the log), `minutes_basis` and
`drive_basis` (recorded / estimated / not recorded, with what the estimate rests on).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.calc.effort import Crew, Pace, visit_minutes
from kit.calc.grid import place_of_grid
from kit.calc.travel import Place, Roads, Stop, best_tour, roads, tour_min
from kit.constants import effort as k
from kit.constants.treatment_words import KNOWN, SUBLIMATION
from kit.errors import ValidityError
from kit.records.texts import every_word
from kit.season.machines.supplies import supply_used
from kit.season.machines.uses import minutes_between

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = [
    *("date", "apiary", "minutes", "drive_min", "carry_min", "people", "colonies_done", "supply", "ground", "wrong"),
    *("wasted", "from_file", "from_row", "did", "minutes_basis", "drive_basis"),
]
COULD_NOT = "could not"
RECORDED, ESTIMATED, UNKNOWN = "recorded", "estimated", "not recorded"
A_HIVE_MIN = {one.word: one.hive_min for one in KNOWN if one.word != SUBLIMATION} | {
    "strips out": k.STRIPS_MIN, "look": k.LOOK_MIN, "heads": k.HEADS_MIN,
}  # fmt: skip
"""Minutes a hive by the word in `did`, for an estimate; trays and sublimation are reckoned apart."""


def trips(records: Records) -> pd.DataFrame:
    """One row for each apiary and day visited in the season, by date and then apiary.

    `minutes` is on site, carrying apart; `drive_min` this apiary's share of the day's round; `carry_min` there and
    back. NaN where neither records nor an estimate give it.
    """
    return records.once(_trips)


def _trips(records: Records) -> pd.DataFrame:
    visits = records.in_season("visits")
    log = _by_key(records.in_season("log"))
    rows = [
        _trip(records, str(apiary), part, log.get((day, apiary), {}))
        for (day, apiary), part in visits.groupby(["date", "apiary"])
    ]
    table = pd.DataFrame(rows, columns=COLUMNS)
    if not table.empty:
        _add_driving(records, table, _starts(visits))
    return table.sort_values(["date", "apiary"], kind="stable", ignore_index=True)


def _by_key(log: pd.DataFrame) -> dict[Any, dict[str, Any]]:
    """The day's log lines of an apiary in one: deeds and words joined, the largest number of the rest."""
    joined = {}
    for key, part in log.groupby(["date", "apiary"]):
        joined[key] = {
            "did": "; ".join(d for d in part["did"] if d),
            "wrong": every_word(part["wrong"]),
            **{name: part[name].max() for name in ("standing", "done")},
            "trays": sum(len([t for t in cell.split(";") if t.strip()]) for cell in part["trays"]),
        }
    return joined


def _trip(records: Records, apiary: str, part: pd.DataFrame, line: dict[str, Any]) -> dict[str, Any]:
    visit = {str(n): next((v for v in part[n] if not pd.isna(v) and v != ""), None) for n in part.columns}
    people = float(visit["people"] or 1)
    wasted = COULD_NOT in line.get("did", "")
    clock = sum(minutes_between(a, b) for a, b in zip(part["start"], part["end"], strict=True) if a and b)
    place = _place_row(records, apiary)
    carry = _carry_min(place, visit["ground"] or "")
    minutes, basis = _on_site(records, apiary, visit, line, people) if not clock > 0 else (clock, RECORDED)
    return {
        "date": part["date"].iloc[0], "apiary": apiary, "minutes": minutes, "carry_min": carry, "people": people,
        "drive_min": math.nan, "colonies_done": _done(visit, line), "ground": visit["ground"] or "",
        "supply": supply_used(records, apiary, visit["supply"] or "", visit["ground"] or "").item, "wasted": wasted,
        "wrong": line.get("wrong", ""), "did": line.get("did", ""), "minutes_basis": basis, "drive_basis": UNKNOWN,
        "from_file": part["from_file"].iloc[0], "from_row": part["from_row"].iloc[0],
    }  # fmt: skip


def _done(visit: dict[str, Any], line: dict[str, Any]) -> float:
    done = visit["colonies_done"] if visit["colonies_done"] is not None else line.get("done")
    return math.nan if done is None else float(done)


def _place_row(records: Records, apiary: str) -> dict[str, Any]:
    sheet = records.tables["apiaries"]
    found = sheet[sheet["apiary"] == apiary]
    return {str(n): v for n, v in found.iloc[-1].items()} if len(found) else {}


def _carry_min(place: dict[str, Any], ground: str) -> float:
    """There and back; nothing where a vehicle stands at the hives: dry enough for the way in."""
    if not place or pd.isna(place["carry_min"]):
        return math.nan
    drives_in = place["access"] == "all weather" or (place["access"] == "dry ground" and ground in ("", "dry"))
    return 0.0 if drives_in else 2 * float(place["carry_min"])


def _on_site(
    records: Records, apiary: str, visit: dict[str, Any], line: dict[str, Any], people: float
) -> tuple[float, str]:
    """Estimate from what was done on how many hives."""
    deeds = [_word(d) for d in line.get("did", "").split(";") if d.strip()]
    if deeds == [COULD_NOT]:
        return k.FIXED_MIN.value, f"{ESTIMATED}: turned back"
    hives = next((h for h in (line.get("done"), visit["colonies_done"], line.get("standing")) if _known(h)), None)
    hives = hives if hives is not None else records.hives(apiary, visit["date"].date())
    if hives is None:
        return math.nan, f"{UNKNOWN}: neither clock nor hives"
    fixed = 0.0 if SUBLIMATION in deeds else k.FIXED_MIN.value
    minutes = fixed + _deeds_min(records, deeds, float(hives), line, people)
    return minutes, f"{ESTIMATED}: usual minutes for what was done on {hives:.0f} hives"


def _deeds_min(records: Records, deeds: list[str], hives: float, line: dict[str, Any], people: float) -> float:
    minutes = sum(A_HIVE_MIN[d].value * hives / people for d in deeds if d in A_HIVE_MIN)
    minutes += k.TRAY_MIN.value * (line.get("trays", 0) or hives) / people if "trays read" in deeds else 0.0
    if SUBLIMATION in deeds:
        crew = Crew(int(people), 1, records.settings.group_size)
        minutes += visit_minutes(round(hives), pace=Pace(), crew=crew).total
    elif "trays in" in deeds:
        minutes += k.TRAY_MIN.value * hives / people
    return minutes


def _word(deed: str) -> str:
    """The deed without its round number."""
    return deed.strip().rstrip("0123456789").strip()


def _known(value: Any) -> bool:
    return value is not None and not pd.isna(value) and value > 0


def _starts(visits: pd.DataFrame) -> dict[Any, str]:
    known = visits[visits["start"] != ""]
    return {key: str(part["start"].min()) for key, part in known.groupby(["date", "apiary"])}


def _add_driving(records: Records, table: pd.DataFrame, starts: dict[Any, str]) -> None:
    """The day's round shared out by what each place costs from the base; in the order of the clock where recorded."""
    ways, node = _roads(records)
    for day, part in table.groupby("date"):
        order = [node[apiary] for apiary in part["apiary"] if apiary in node]
        clock = [starts.get((day, apiary), "") for apiary in part["apiary"] if apiary in node]
        by_clock = [n for _, n in sorted(zip(clock, order, strict=True))]
        whole = tour_min(ways.minutes, by_clock) if all(clock) else best_tour(ways.minutes, order)[1]
        out = sum(ways.minutes[0, n] for n in order)
        for index, apiary in part["apiary"].items():
            n = node.get(apiary)
            share = ways.minutes[0, n] / out if n is not None and out > 0 else 0.0
            table.loc[index, "drive_min"] = math.nan if n is None else whole * share
            table.loc[index, "drive_basis"] = _drive_basis(records, apiary, ways, n, alone=len(part) == 1)


def _roads(records: Records) -> tuple[Roads, dict[str, int]]:
    stops = [_stop(_place_row(records, apiary)) for apiary in records.apiaries]
    north, east = records.settings.base_latitude, records.settings.base_longitude
    base = None if north is None or east is None else Place(north, east)
    return roads(base, stops), {apiary: n + 1 for n, apiary in enumerate(records.apiaries)}


def _stop(row: dict[str, Any]) -> Stop:
    drive = row.get("drive_min")
    return Stop(_place(row), None if drive is None or pd.isna(drive) else float(drive))


def _place(row: dict[str, Any]) -> Place | None:
    """None too where the grid reference cannot be read: the planner says so, here the way by the base is taken."""
    if not row or (not pd.isna(row["latitude"]) and not pd.isna(row["longitude"])):
        return Place(float(row["latitude"]), float(row["longitude"])) if row else None
    try:
        return place_of_grid(str(row["grid_ref"])) if row["grid_ref"] else None
    except ValidityError:
        return None


def _drive_basis(records: Records, apiary: str, ways: Roads, node: int | None, *, alone: bool) -> str:
    recorded = not pd.isna(_place_row(records, apiary).get("drive_min", math.nan))
    if node is None or (not recorded and node - 1 in ways.guessed):
        return f"{ESTIMATED}: no drive recorded for it, the usual of the others is taken"
    if alone and recorded:
        return f"{RECORDED}: twice the drive of the sheet"
    if node - 1 in ways.guessed:
        return f"{ESTIMATED}: share of the day's round by way of the base (a guess)"
    return f"{ESTIMATED}: share of the day's round, great circle with a detour at your own speed"
