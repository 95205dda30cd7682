"""An operation written down as its keeper would: record sheets in one folder, the truth beside it.

`python -m tests.simulator.sheets "three trays" 7 FOLDER` writes `FOLDER/records/*.csv`, `FOLDER/truth_loads.csv`
and `FOLDER/truth_efficacy.csv`.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import pairwise, product
from pathlib import Path

import numpy as np

from tests.simulator import reading
from tests.simulator.operations import KINDS, SEASON, SEASON_END, Operation, operation
from tests.simulator.truth import true_kill

Row = dict[str, str]
VISITED_EVERY_DAYS = 24
BOARD_DAYS = 7
BEES_A_FRAME, CELLS_A_FRAME, BROOD_SEEN = 2000, 4400, 1.7
EYE_BEES, EYE_BROOD = 0.15, 0.18
"""A frame as the eye takes it, brood of all ages for one capped cell, and how one look scatters on the log scale."""


def write(op: Operation, folder: Path) -> None:
    """Write the record sheets and the truth of an operation; folders are made if missing."""
    for name, rows in sheets(op).items():
        _csv(folder / "records" / f"{name}.csv", rows)
    _csv(folder / "truth_loads.csv", list(true_loads(op)))
    _csv(folder / "truth_efficacy.csv", list(true_efficacy(op)))


def sheets(op: Operation) -> dict[str, list[Row]]:
    """Every sheet the keeper of this operation fills in."""
    return {
        "settings": [_pair("season_start", SEASON), _pair("season_end", SEASON_END), _pair("treat_by", "08-20")],
        "apiaries": [{"apiary": name, "floor": "mesh", "hives": str(op.kind.hives)} for name in op.apiaries],
        "colonies": _colonies(op),
        "events": _events(op),
        "treatments": _treatments(op),
        "counts": sorted((*_boards(op), *_washes(op)), key=lambda row: (row["date"], row["apiary"], row["colony"])),
        "inspections": _inspections(op),
        "log": _log(op),
    }


def _pair(name: str, value: object) -> Row:
    return {"setting": name, "value": f"{value}"}


def _dates(op: Operation, month_days: Sequence[tuple[int, int]]) -> Iterator[date]:
    """Days of every season."""
    for year, (month, day) in product(op.years, month_days):
        yield date(year if month > 3 else year + 1, month, day)


def _visits(op: Operation, apiary: str) -> list[date]:
    """Days the keeper is there anyway: every few weeks, and at each treatment."""
    usual = [date(year, 4, 1) + timedelta(days=n) for year in op.years for n in range(0, 364, VISITED_EVERY_DAYS)]
    given = [one.when for one in op.given if one.apiary == apiary]
    taken_out = [one.removed for one in op.given if one.apiary == apiary and one.removed]
    return sorted({*usual, *given, *taken_out, SEASON_END})


def _found_dead(op: Operation, lane: int) -> tuple[date, str] | None:
    """The visit at which a death was seen, and its cause."""
    for death in sorted(op.track.deaths, key=lambda one: one.day):
        if death.lane == lane:
            died = op.story.date_of(death.day)
            return min(day for day in _visits(op, op.hives[lane].apiary) if day >= died), death.cause
    return None


def _colonies(op: Operation) -> list[Row]:
    made = []
    for lane, hive in enumerate(op.hives):
        dead = _found_dead(op, lane)
        ended = {"to": f"{dead[0]}", "outcome": "died", "cause": dead[1]} if dead else {"outcome": "alive"}
        if hive.colony:
            made.append({"colony": hive.colony, "apiary": hive.apiary, "from": f"{hive.since or ''}"} | ended)
    return made


def _events(op: Operation) -> list[Row]:
    made = []
    for one in op.story.changes:
        hive = op.hives[one.lane]
        to = op.hives[one.child].colony if one.kind == "split" else ""
        row = {"date": f"{op.story.date_of(one.day)}", "kind": one.kind, "from": hive.colony or hive.apiary}
        made.append(row | {"to": to or (hive.apiary if one.kind == "split" else ""), "hives": "1"})
    return sorted(made, key=lambda row: (row["date"], row["from"]))


def _treatments(op: Operation) -> list[Row]:
    return [
        {"date": f"{one.when}", "apiary": one.apiary, "colonies": "all", "treatment": one.treatment,
         "round": f"{one.round_no}", "removed": f"{one.removed or ''}", "seal": one.seal}
        for one in sorted(op.given, key=lambda one: (one.when, one.apiary))
    ]  # fmt: skip


def _boards(op: Operation) -> Iterator[Row]:
    for apiary, read, days in sorted(set(_spans(op))):
        lanes = set(op.alive(apiary, read))
        for lane in [x for x in op.alive(apiary, read - timedelta(days=days)) if x in lanes][: op.kind.board_hives]:
            rng = np.random.default_rng([op.seed, 1, lane, read.toordinal()])
            found = reading.board(op.track, op.story.traits, lane, op.day(read), days, rng)
            yield {"date": f"{read}", "apiary": apiary, "colony": op.hives[lane].colony, "method": "board",
                   "mites": f"{found}", "days": f"{days}"}  # fmt: skip


def _spans(op: Operation) -> Iterator[tuple[str, date, int]]:
    """(apiary, day read, days it lay) of every set of boards."""
    for apiary in op.apiaries:
        for read in _dates(op, op.kind.boards_on):
            yield apiary, read, BOARD_DAYS
        for year in op.years if op.kind.trays_at_rounds else ():
            for laid, read in pairwise(_tray_days(op, apiary, year)):
                if (read - laid).days <= 21:
                    yield apiary, read, (read - laid).days


def _tray_days(op: Operation, apiary: str, year: int) -> list[date]:
    """Days on which trays are laid and read at the rounds of the season that begins in a year."""
    vapour = [
        one.when
        for one in op.given
        if one.apiary == apiary and one.treatment == "oxalic sublimation" and date(year, 4, 1) <= one.when
        and one.when <= date(year + 1, 3, 31)
    ]  # fmt: skip
    return [vapour[0] - timedelta(days=6), *vapour, vapour[-1] + timedelta(days=14)] if vapour else []


def _washes(op: Operation) -> Iterator[Row]:
    for apiary in op.apiaries:
        for when in _dates(op, op.kind.washes_on):
            for lane in op.alive(apiary, when)[: op.kind.wash_hives]:
                rng = np.random.default_rng([op.seed, 2, lane, when.toordinal()])
                found = reading.wash(op.track, lane, op.day(when), 300, "alcohol wash", rng)
                yield {"date": f"{when}", "apiary": apiary, "colony": op.hives[lane].colony,
                       "method": "alcohol wash", "mites": f"{found}", "bees": "300"}  # fmt: skip


def _inspections(op: Operation) -> list[Row]:
    made = []
    for apiary in op.apiaries:
        for when in _dates(op, op.kind.looks_on):
            made += [_look(op, lane, when) for lane in op.alive(apiary, when)[: op.kind.looked_at]]
    return [row for row in made if row["colony"]]


def _look(op: Operation, lane: int, when: date) -> Row:
    """Frames as the eye takes them, to half a frame."""
    rng = np.random.default_rng([op.seed, 3, lane, when.toordinal()])
    bees = op.track.bees[lane, op.day(when)] * rng.lognormal(0.0, EYE_BEES)
    brood = BROOD_SEEN * op.track.capped[lane, op.day(when)] * rng.lognormal(0.0, EYE_BROOD)
    return {"date": f"{when}", "apiary": op.hives[lane].apiary, "colony": op.hives[lane].colony,
            "bee_frames": f"{round(2 * bees / BEES_A_FRAME) / 2:g}",
            "brood_frames": f"{round(2 * brood / CELLS_A_FRAME) / 2:g}"}  # fmt: skip


def _log(op: Operation) -> list[Row]:
    made = []
    for apiary in op.apiaries:
        for when in (*_dates(op, ((4, 1), (10, 1))), SEASON_END):
            standing = [x for x in op.alive(apiary, when) if not (op.hives[x].since or when) > when]
            made.append({"date": f"{when}", "apiary": apiary, "did": "look; heads", "standing": f"{len(standing)}"})
    return sorted(made, key=lambda row: (row["date"], row["apiary"]))


def true_loads(op: Operation) -> Iterator[Row]:
    """Truth at the end of every day of the season: each numbered colony, the mean hive of the others."""
    for n in range((SEASON_END - SEASON).days + 1):
        when = SEASON + timedelta(days=n)
        for apiary in op.apiaries:
            lanes = op.alive(apiary, when)
            for lane in (x for x in lanes if op.hives[x].colony):
                yield _load(op, when, [lane], op.hives[lane].colony, "colony")
            unnumbered = [x for x in lanes if not op.hives[x].colony]
            if unnumbered:
                yield _load(op, when, unnumbered, "", "unnumbered")


def _load(op: Operation, when: date, lanes: Sequence[int], colony: str, scope: str) -> Row:
    day, which = op.day(when), list(lanes)
    mites = float(op.track.mites[which, day].mean())
    rate = 100 * float(op.track.on_bees[which, day].sum() / op.track.bees[which, day].sum())
    return {"date": f"{when}", "apiary": op.hives[which[0]].apiary, "colony": colony, "scope": scope,
            "hives": f"{len(which)}", "mites": f"{mites:.6g}", "per_100_bees": f"{rate:.6g}"}  # fmt: skip


def true_efficacy(op: Operation, branches: int = 40) -> Iterator[Row]:
    """True kill of the season's treatments in every numbered colony, and whether a board lay there afterwards."""
    boards = {(row["colony"], row["date"]) for row in _boards(op)}
    for course in (one for one in op.courses if op.story.date_of(one.first) >= SEASON):
        rng = np.random.default_rng([op.seed, 4, course.first])
        true = true_kill(op.story, op.track, course, branches, rng)
        for lane, a, b, kill in zip(true.lanes, true.a, true.b, true.efficacy_pct, strict=True):
            hive, last = op.hives[lane], op.story.date_of(course.last)
            if not hive.colony or np.isnan(a):
                continue
            after = any((hive.colony, f"{last + timedelta(days=n)}") in boards for n in range(3, 29))
            yield {"apiary": hive.apiary, "colony": hive.colony, "treatment": _word(op, course.treatment_id),
                   "start": f"{op.story.date_of(course.first)}", "end": f"{last}", "mites_after": f"{a:.6g}",
                   "mites_without": f"{b:.6g}", "efficacy": f"{kill:.6g}",
                   "board_after": "yes" if after else "no"}  # fmt: skip


def _word(op: Operation, treatment_id: str) -> str:
    return next(one.treatment for one in op.given if one.treatment_id == treatment_id)


def _csv(path: Path, rows: Sequence[Row]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    kind_name, seed_text, target = sys.argv[1:4]
    write(operation(KINDS[kind_name], int(seed_text)), Path(target))
