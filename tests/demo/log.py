"""The field log: one line for each visit, as it was written in the rain."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from tests.demo import year
from tests.demo.boards import Board, as_word
from tests.demo.places import PLACES
from tests.demo.world import World

Row = dict[str, str]


@dataclass(frozen=True)
class Line:
    """A visit before it is written: `done` -1 when nothing was treated."""

    when: date
    apiary: str
    did: tuple[str, ...]
    heads: bool = False
    done: int = -1
    extra: Row = field(default_factory=dict)


def lines(world: World) -> list[Line]:
    """Every visit that got a log line, in time; lines of one day at one apiary are one."""
    merged: dict[tuple[date, str], Line] = {}
    for line in sorted(_all(world), key=lambda one: (one.when, one.apiary)):
        key = (line.when, line.apiary)
        merged[key] = _join(merged[key], line) if key in merged else line
    return list(merged.values())


def _join(a: Line, b: Line) -> Line:
    did = tuple(dict.fromkeys((*a.did, *b.did)))
    return replace(a, did=did, heads=a.heads or b.heads, done=max(a.done, b.done), extra=a.extra | b.extra)


def _all(world: World) -> Iterator[Line]:
    yield from _season_2024(world)
    yield from _spring_2025(world)
    yield from _summer_2025(world)
    yield from _autumn_2025()
    yield from _winter_2025(world)
    for apiary, when in year.TRAYS_FEB_IN.items():
        yield Line(when, apiary, ("trays in",))
    for apiary, when in year.LOOK_2026.items():
        read = ("trays read",) if apiary in year.TRAYS_FEB_IN else ()
        yield Line(when, apiary, ("look", *read), heads=True, extra={"light": str(len(apiary) % 3)})
    for apiary, when in year.SPRING_2026.items():
        yield Line(when, apiary, ("look", "heads"), heads=True)


def _season_2024(world: World) -> Iterator[Line]:
    for apiary, when in year.SPRING_2024.items():
        yield Line(when, apiary, ("look", "heads"), heads=True)
    for apiary, when in year.MAIN_2024.items():
        late = {"why_late": "ground"} if apiary == year.LATE else {"why_late": "supers"} if apiary == "HEATHER" else {}
        yield _strips_in(world, 2024, apiary, when, late)
    for apiary, when in year.OUT_2024.items():
        yield Line(when, apiary, ("amitraz strips", "strips out", "heads"), heads=True)
    for n, dates in enumerate(year.ROUNDS_2024, 1):
        for apiary, when in dates.items():
            trays = ("trays in",) if n == 1 else ("trays read",)
            yield _round(world, apiary, when, n, trays if apiary in ("HOME", "TERN") else (), {})
    yield Line(
        date(2024, 11, 15), year.LATE, ("could not",), extra={"wrong": "ground", "notes": "gate field under water"}
    )
    for apiary, when in year.LOOK_2025.items():
        yield Line(when, apiary, ("look", "heads"), heads=True)


def _spring_2025(world: World) -> Iterator[Line]:
    for dates in (year.SPRING_2025, year.SUPERS_2025, year.JUNE_2025):
        for apiary, when in dates.items():
            heads = dates is year.SPRING_2025
            yield Line(when, apiary, ("look", "heads") if heads else ("look",), heads=heads)
    for when, parent, _ in world.splits:
        yield Line(when, world.apiary_of(parent, when), ("look",), extra={"notes": "made a split"})


def _summer_2025(world: World) -> Iterator[Line]:
    for apiary, when in year.JULY_IN_2025.items():
        yield Line(when, apiary, ("trays in",))
    for apiary, when in year.JULY_READ_2025.items():
        yield Line(when, apiary, ("trays read",))
    for apiary, whens in year.COULD_NOT_2025.items():
        for when in whens:
            yield Line(
                when,
                apiary,
                ("could not",),
                extra={"wrong": "ground", "why_late": "ground", "notes": "stuck at the gate, strips back home"},
            )
    for apiary, when in year.MAIN_2025.items():
        late = {"SLUICE": {"why_late": "ground"}, "HEATHER": {"why_late": "supers"}}.get(apiary, {})
        yield _strips_in(world, 2025, apiary, when, late)


def _autumn_2025() -> Iterator[Line]:
    for apiary, when in year.SEPTEMBER_2025.items():
        yield Line(when, apiary, ("look",), extra={"notes": "fed ½ bucket each", "light": str(len(apiary) % 4)})
    for apiary, when in year.OUT_2025.items():
        given = year.MAIN[2025][apiary].treatment
        yield Line(when, apiary, (given, "strips out") if given == "amitraz strips" else ("strips out",))
    for apiary, when in year.HEADS_2025.items():
        yield Line(when, apiary, ("heads",), heads=True, extra={"weak": str((len(apiary) * 5) % 3)})
    for apiary, when in year.TRAYS_IN_2025.items():
        yield Line(when, apiary, ("trays in",))


def _winter_2025(world: World) -> Iterator[Line]:
    yield Line(
        year.WINDY[1], year.WINDY[0], ("could not",), extra={"wrong": "wind", "notes": "gusts, vapour everywhere"}
    )
    for n, dates in enumerate(year.ROUNDS_2025, 1):
        for apiary, when in dates.items():
            yield _round(
                world, apiary, when, n, ("trays read",) if apiary in year.TRAYS_IN_2025 else (), _wrong(apiary, n)
            )
    for apiary, when in year.FOLLOW_2025.items():
        yield Line(when, apiary, ("trays read",))
    for apiary, when in year.WINTER_2026.items():
        yield _round(world, apiary, when, 1, (), _wrong(apiary, 0))


def _strips_in(world: World, season: int, apiary: str, when: date, late: Row) -> Line:
    given = year.MAIN[season][apiary].treatment
    return Line(when, apiary, (given, "strips in"), done=len(world.standing(apiary, when)), extra=dict(late))


def _round(world: World, apiary: str, when: date, n: int, also: tuple[str, ...], extra: Row) -> Line:
    standing = len(world.standing(apiary, when))
    ran_out = apiary == "ASH" and when.year == 2025 and n in year.ASH_DONE
    done = min(year.ASH_DONE[n], standing) if ran_out else standing
    seals = {"seals_out": "4", "seals_in": "4"}
    return Line(when, apiary, (f"oxalic sublimation {n}", *also), done=done, extra=seals | extra)


def _wrong(apiary: str, n: int) -> Row:
    if apiary == "ASH" and n in year.ASH_DONE:
        return {"wrong": "ran out", "notes": "battery B2 flat again" if n == 2 else "battery B2 flat"}
    if apiary == year.LATE:
        return {"why_late": "ground"} if n == 1 else {}
    words = {"KILN": "seal", "SALLOW": "power", "PLUM": "slow", "TERN": "slow"}
    notes = {"SALLOW": "generator labours, slow to heat", "PLUM": "S2 slow again", "KILN": "fog out of every joint"}
    if apiary not in words:
        return {}
    return {"wrong": words[apiary]} | ({"notes": notes[apiary]} if n == 1 and apiary in notes else {})


def written(world: World, boards: list[Board], first: date, last: date) -> list[Row]:
    """The log between two days as rows, dates day first."""
    wanted = [line for line in lines(world) if first <= line.when <= last]
    return [_row(world, line, since, boards) for line, since in _with_last(wanted, first)]


def _with_last(wanted: list[Line], first: date) -> Iterator[tuple[Line, date]]:
    seen = {place.apiary: first - timedelta(days=1) for place in PLACES}
    for line in wanted:
        yield line, seen[line.apiary]
        if line.did != ("could not",):
            seen[line.apiary] = line.when


def _row(world: World, line: Line, since: date, boards: list[Board]) -> Row:
    standing = len(world.standing(line.apiary, line.when))
    row = {"date": f"{line.when:%d/%m/%Y}", "apiary": line.apiary, "who": _who(line), "did": "; ".join(line.did)}
    row |= {"standing": str(standing)} if line.heads else {}
    row |= {"done": str(line.done)} if line.done >= 0 else {}
    row |= _found_dead(world, line, since) | _trays(line, boards)
    return row | line.extra


def _who(line: Line) -> str:
    return "self; Tam" if line.apiary == "HEATHER" and line.done > 0 else "self"


def _found_dead(world: World, line: Line, since: date) -> Row:
    if line.did == ("could not",):
        return {}
    causes = [
        cause
        for lane, (when, cause) in sorted(world.died.items())
        if since < when <= line.when and world.apiary_of(lane, when) == line.apiary
    ]
    if not causes:
        return {"dead": "0"} if line.heads else {}
    return {"dead": str(len(causes)), "cause": Counter(causes).most_common(1)[0][0]}


def _trays(line: Line, boards: list[Board]) -> Row:
    if line.apiary in year.COUNTED and line.when.year > 2024 and line.apiary != "HOME":
        return {}
    here = [b for b in boards if b.apiary == line.apiary and b.read == line.when]
    if not here:
        return {}
    words = line.apiary == "HEATHER" or (line.apiary == "SALLOW" and line.when.month == 7)
    shown = [as_word(b.mites) if words else str(b.mites) for b in here]
    crumbs = {"crumbs": "yes" if line.when < date(2025, 11, 10) else "no"} if line.when.month == 11 else {}
    return {"trays": "; ".join(shown), "tray_days": str(here[0].days)} | crumbs
