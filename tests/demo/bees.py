"""The sheets of places and bees: apiaries, crops, colonies, events, inspections."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from tests.demo import year
from tests.demo.log import lines
from tests.demo.places import LANES, PLACES
from tests.demo.world import SEED, World

Row = dict[str, str]


def apiaries(*, full: bool) -> list[Row]:
    made = []
    for p in PLACES:
        row = {"apiary": p.apiary, "name": p.name, "access": p.access, "drive_min": str(p.drive_min),
               "carry_min": str(p.carry_min), "hives": str(p.hives), "floor": p.floor}  # fmt: skip
        if full:
            grid_ref, latitude, longitude = p.where
            row |= {"grid_ref": grid_ref, "latitude": latitude, "longitude": longitude, "supply_dry": p.supply[0],
                    "supply_wet": p.supply[1], "emergency": f"gate sign {p.name}; ring the number on it",
                    "mites_notified": p.notified, "notes": p.notes}  # fmt: skip
        made.append(row)
    return made


def crops() -> list[Row]:
    made = []
    for place in PLACES:
        for season, on, main in ((2024, year.SUPERS_2025, year.MAIN_2024), (2025, year.SUPERS_2025, year.MAIN_2025)):
            off = date(2025, 8, 8) if (place.apiary, season) == ("SLUICE", 2025) else main[place.apiary]
            off -= timedelta(days=1) if place.apiary == "HEATHER" else timedelta(0)
            crop = "ling" if place.apiary == "HEATHER" else "bramble and clover"
            made.append({"apiary": place.apiary, "crop": crop, "supers_off": f"{off}",
                         "supers_on": f"{on[place.apiary].replace(year=season)}"})  # fmt: skip
    return made


def found_dead_on(world: World, lane: int) -> date | None:
    """The day of the first visit at which the keeper saw the colony dead; None while it lives or stands unseen."""
    if lane not in world.died:
        return None
    died = world.died[lane][0]
    apiary = world.apiary_of(lane, died)
    seen = [x.when for x in lines(world) if x.apiary == apiary and x.when >= died and x.did != ("could not",)]
    return min(seen) if seen else None


def colonies(world: World) -> list[Row]:
    born = {child: when for when, _, child in world.splits}
    made = []
    for lane in LANES:
        if not lane.colony or (lane.spare and lane.index not in born):
            continue
        row = _box(lane.index) | {"colony": lane.colony, "apiary": lane.apiary, "outcome": "alive"}
        row |= {"from": f"{born[lane.index]}", "queen_year": "2025"} if lane.index in born else {}
        if lane.index in world.moved:
            when, there = world.moved[lane.index]
            made.append(row | {"to": f"{when}", "outcome": "moved"})
            row |= {"apiary": there, "from": f"{when}"}
        dead = found_dead_on(world, lane.index)
        made.append(row | ({"to": f"{dead}", "outcome": "died", "cause": world.died[lane.index][1]} if dead else {}))
    return made


def _box(lane: int) -> Row:
    apiary = LANES[lane].apiary
    poly = apiary in ("PLUM", "ASH") and lane % 3 == 0
    return {"material": "poly" if poly else "wood", "brood_boxes": "2" if lane % 11 == 0 else "1",
            "queen_year": str(2022 + lane % 3)}  # fmt: skip


def events(world: World) -> list[Row]:
    made = []
    for when, parent, child in world.splits:
        here = world.apiary_of(parent, when)
        ends = {"from": LANES[parent].colony or here, "to": LANES[child].colony or here}
        made.append((when, {"kind": "split", "hives": "1"} | ends))
    for when, lane in world.swarms:
        made.append((when, {"kind": "swarm", "from": LANES[lane].colony, "hives": "1", "notes": "prime swarm lost"}))
    when, source, there, count = year.MOVE_2025
    ids = ", ".join(LANES[x].colony for x in sorted(world.moved))
    made.append((when, {"kind": "moved", "from": source, "to": there, "hives": str(count), "notes": ids}))
    made.append((date(2025, 7, 2), {"kind": "inspector", "from": "TERN", "notes": "routine visit, nothing found"}))
    made.sort(key=lambda pair: (pair[0], pair[1]["kind"], pair[1].get("from", "")))
    return [{"date": f"{day.day} {day:%b %Y}"} | row for day, row in made]


def inspections(world: World) -> list[Row]:
    made = []
    for apiary in ("HOME", "PLUM", "TERN", "SLUICE", "KILN"):
        for dates in (year.SPRING_2025, year.JUNE_2025, year.MAIN_2025, year.HEADS_2025):
            when = dates[apiary]
            made += [(when, _look(world, apiary, lane, when)) for lane in world.standing(apiary, when)[:5]]
    made.sort(key=lambda pair: (pair[0], pair[1]["apiary"], pair[1]["colony"]))
    return [row for _, row in made]


def _look(world: World, apiary: str, lane: int, when: date) -> Row:
    rng = np.random.default_rng([SEED, 9, lane, when.toordinal()])
    day = world.day(when)
    bees = float(world.track.bees[lane, day]) * rng.lognormal(0.0, 0.12)
    brood = 1.7 * float(world.track.capped[lane, day]) * rng.lognormal(0.0, 0.15)
    load = world.track.on_bees[lane, day] / max(world.track.bees[lane, day], 1)
    split = any(child == lane and 0 <= (when - made).days < 30 for made, _, child in world.splits)
    usual = 12_000 if when.month < 5 else 24_000
    return {
        "date": f"{when:%d/%m/%Y}",
        "apiary": apiary,
        "colony": LANES[lane].colony,
        "strength": "strong" if bees > 1.25 * usual else "middling" if bees > 0.8 * usual else "weak",
        "bee_frames": f"{round(bees / 2000 * 2) / 2:g}",
        "brood_frames": f"{round(brood / 4400 * 2) / 2:g}",
        "queen": "none" if split else "seen" if rng.random() < 0.3 else "eggs",
        "deformed_wings": "yes" if load > 0.08 else "no",
        "temper": str(rng.choice(["calm", "calm", "follows", "runny"])),
    }
