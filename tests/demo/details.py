"""The detailed sheets of treating: rounds, counts, trips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from tests.demo import year
from tests.demo.boards import Board
from tests.demo.places import BY_ID, LANES
from tests.demo.weather import Weather
from tests.demo.world import World

Row = dict[str, str]
OXALIC = "oxalic powder A"
BATCHES = {
    (2024, OXALIC): "OX-2311", (2025, OXALIC): "OX-2507", (2024, "amitraz strips B"): "AM-4410",
    (2025, "amitraz strips B"): "AM-5233", (2025, "thymol trays C"): "TH-118", (2025, "formic acid D"): "",
}  # fmt: skip
OLD_TUB_AT = ("HOME", 2025)
IN_DETAIL_2024 = ("HOME", "TERN", "PLUM", "KILN")
OVER_LABEL = ("HEATHER", 3, 3.0)


def dose_g(apiary: str, season: int, round_no: int) -> float:
    """Grams of product a hive got in a round."""
    return OVER_LABEL[2] if season == 2025 and (apiary, round_no) == OVER_LABEL[:2] else 2.0


def treatments(world: World, sky: dict[date, Weather]) -> list[Row]:
    made = list(_mains(world, sky)) + list(_rounds(world, sky))
    return sorted(made, key=lambda row: (row["date"], row["apiary"]))


def _mains(world: World, sky: dict[date, Weather]) -> Iterator[Row]:
    for season, placed, out in ((2024, year.MAIN_2024, year.OUT_2024), (2025, year.MAIN_2025, year.OUT_2025)):
        for apiary, when in placed.items():
            if (apiary == "HEATHER") or (season == 2024 and apiary not in IN_DETAIL_2024):
                continue
            main = year.MAIN[season][apiary]
            yield {"date": f"{when}", "apiary": apiary, "colonies": "all", "treatment": main.treatment,
                   "product": main.product, "batch": BATCHES[season, main.product], "dose": f"{main.dose:g}",
                   "unit": main.unit, "removed": f"{out[apiary]}" if apiary in out else "", "supers_on": "no",
                   "air_c": f"{sky[when].noon_c:g}", "written_on": f"{when}"}  # fmt: skip


def _rounds(world: World, sky: dict[date, Weather]) -> Iterator[Row]:
    for n, dates in enumerate(year.ROUNDS_2024, 1):
        for apiary in ("HOME", "TERN"):
            yield _vapour(world, sky, apiary, dates[apiary], n)
    for n, dates in enumerate(year.ROUNDS_2025, 1):
        for apiary, when in dates.items():
            if apiary != "NOOK" and (apiary, n) != ("ROOK", 2):
                yield _vapour(world, sky, apiary, when, n)
    for apiary, when in year.WINTER_2026.items():
        yield _vapour(world, sky, apiary, when, 1)


def _vapour(world: World, sky: dict[date, Weather], apiary: str, when: date, n: int) -> Row:
    season = 2024 if when < date(2025, 4, 1) else 2025
    old = (apiary, season) == OLD_TUB_AT and n < 3 and when.year == 2025
    return {
        "date": f"{when}",
        "apiary": apiary,
        "colonies": _treated(world, apiary, when, n),
        "treatment": "oxalic sublimation",
        "product": OXALIC,
        "batch": BATCHES[2024 if old else season, OXALIC],
        "dose": f"{dose_g(apiary, season, n):g}",
        "unit": "g",
        "round": str(n),
        "supers_on": "no",
        "sublimator": year.sublimator(apiary),
        "expel_s": f"{year.expel_s(apiary, when):g}",
        "seal": year.seal(apiary),
        "air_c": f"{sky[when].noon_c:g}",
        "wind": sky[when].wind,
        "written_on": f"{when}",
    }


def _treated(world: World, apiary: str, when: date, n: int) -> str:
    if apiary == "ASH" and when.year == 2025 and n in year.ASH_DONE:
        return spans([LANES[x].colony for x in world.standing(apiary, when)[: year.ASH_DONE[n]]])
    if (apiary, when, n) == ("PLUM", year.ROUNDS_2025[0]["PLUM"], 1):
        return spans([LANES[x].colony for x in world.standing(apiary, when)[:-1]])  # the last is a line of `mess.BAD`
    return "all"


def spans(ids: Sequence[str]) -> str:
    """`A01, A03-A07` for ids of one letter and two digits.

    >>> spans(["A01", "A03", "A04", "A05", "A09"])
    'A01, A03-A05, A09'
    """
    runs: list[list[str]] = []
    for one in ids:
        if runs and int(one[1:]) == int(runs[-1][-1][1:]) + 1 and one[0] == runs[-1][-1][0]:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)


def counts(world: World, boards: Sequence[Board]) -> list[Row]:
    made = [
        {"date": f"{b.read}", "apiary": b.apiary, "colony": b.colony, "method": "board", "mites": str(b.mites),
         "days": str(b.days)}
        for b in boards
        if b.apiary in year.COUNTED and b.read.year > 2024
    ]  # fmt: skip
    for apiary in year.WASHED:
        for when in (year.MAIN_2025[apiary], year.SEPTEMBER_2025[apiary]):
            for lane in world.standing(apiary, when)[:4]:
                found = world.wash(lane, when)
                made.append({"date": f"{when}", "apiary": apiary, "colony": LANES[lane].colony, "bees": "300",
                             "method": "alcohol wash", "mites": str(found)})  # fmt: skip
    return sorted(made, key=lambda row: (row["date"], row["apiary"], row["method"], row["colony"]))


def visits(world: World) -> list[Row]:
    """Trips with clock and volts: all rounds at places with a fault worth writing down, and two feeding trips."""
    made: list[tuple[date, str, Row]] = []
    for n, dates in enumerate(year.ROUNDS_2024, 1):
        made += [(dates[a], a, _trip(world, a, dates[a], n)) for a in ("HOME", "TERN")]
    for n, dates in enumerate(year.ROUNDS_2025, 1):
        made += [(when, a, _trip(world, a, when, n)) for a, when in dates.items() if a not in ("NOOK", "HEATHER")]
    made += [(when, a, _trip(world, a, when, 3)) for a, when in year.WINTER_2026.items()]
    for apiary in ("NOOK", "ASH"):
        when = date(2025, 9, 15)
        made.append((when, apiary, {"people": "1", "colonies_done": str(len(world.standing(apiary, when))),
                                    "notes": "fed syrup", "ground": "dry"}))  # fmt: skip
    return _by_the_clock(sorted(made, key=lambda one: (one[0], BY_ID[one[1]].drive_min)))


def _trip(world: World, apiary: str, when: date, n: int) -> Row:
    standing = len(world.standing(apiary, when))
    done = min(standing, year.ASH_DONE[n]) if apiary == "ASH" and when.year == 2025 and n in year.ASH_DONE else standing
    supply = year.supply(apiary, n)
    row = {"people": "1", "colonies_done": str(done), "warm_up_min": f"{_warm_up(apiary, supply):g}"}
    row |= {"notes": "mains"} if supply == "M1" else {"supply": supply}
    if supply in ("B1", "B2"):
        row |= {"volts_before": "12.7" if supply == "B1" else "12.4", "volts_after": _volts_after(supply, 12.7, done)}
    return row | {"ground": "soft" if apiary == year.LATE else "dry"}


def _volts_after(supply: str, before: float, done: int) -> str:
    return f"{before - 0.022 * done:.1f}" if supply == "B1" else "11.5"


def _warm_up(apiary: str, supply: str) -> float:
    if supply == "G1":
        return 11
    return 8 if year.sublimator(apiary) == "S2" else 5.5 if supply == "M1" else 6


def _by_the_clock(trips: list[tuple[date, str, Row]]) -> list[Row]:
    """Start, end and volts: the first trip of a day at half past nine, the next when the last is over and driven."""
    made: list[Row] = []
    free: dict[date, int] = {}
    for when, apiary, row in trips:
        drive = BY_ID[apiary].drive_min
        start = free.get(when, 9 * 60 + 30 - drive) + drive
        minutes = float(row.get("warm_up_min", 0)) + int(row["colonies_done"]) * _minutes_each(apiary, when, row)
        end = start + 12 + round(minutes)
        free[when] = end + drive
        before = made[-1] if made and made[-1]["date"] == f"{when}" else {}
        row |= _half_empty(row, before)
        made.append({"date": f"{when}", "apiary": apiary, "start": _clock(start), "end": _clock(end)} | row)
    return made


def _half_empty(row: Row, before: Row) -> Row:
    """The good battery goes on from where the day's last apiary left it."""
    if row.get("supply") != "B1" or before.get("supply") != "B1":
        return {}
    left = float(before["volts_after"]) + 0.1
    return {"volts_before": f"{left:.1f}", "volts_after": _volts_after("B1", left, int(row["colonies_done"]))}


def _minutes_each(apiary: str, when: date, row: Row) -> float:
    return 2.6 + year.expel_s(apiary, when) / 60 if "warm_up_min" in row else 2.0


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
