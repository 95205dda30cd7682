"""The apiaries, and which lane of the simulator is which hive."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """One apiary. `spare` lanes wait for splits; `drift` scales the mites that come in from outside."""

    apiary: str
    name: str
    where: tuple[str, str, str]  # grid_ref, latitude, longitude
    access: str
    drive_min: int
    carry_min: int
    hives: int
    spare: int
    supply: tuple[str, str]
    prefix: str  # of colony ids; empty where hives have no numbers
    drift: float
    floor: str = "mesh"
    notified: str = "2019-05-20"
    notes: str = ""


PLACES = (
    Place("HOME", "Home Yard", ("", "52.62", "-0.95"), "all weather", 0, 1, 16, 3, ("mains", "mains"), "H", 1.0,
          notes="workshop tap for eye water"),
    Place("PLUM", "Plum Rows", ("", "52.66", "-1.01"), "all weather", 14, 2, 14, 3, ("vehicle", "battery"), "P", 1.1),
    Place("SLUICE", "Old Sluice", ("", "52.58", "-0.88"), "dry ground", 26, 9, 15, 3, ("vehicle", "battery"), "S", 1.3,
          notes="track goes soft after rain; carry from the gate when wet"),
    Place("ASH", "Long Ash", ("", "52.70", "-0.92"), "all weather", 22, 3, 12, 2, ("battery", "battery"), "A", 0.9),
    Place("TERN", "Tern Bank", ("SK 755 061", "", ""), "all weather", 18, 2, 15, 3, ("vehicle", "battery"), "T", 1.0),
    Place("KILN", "Kiln Field", ("", "52.55", "-1.05"), "all weather", 24, 2, 12, 2, ("battery", "battery"), "K", 1.1,
          notes="old boxes, warped floors"),
    Place("HEATHER", "Heather Edge", ("", "52.75", "-1.10"), "dry ground", 41, 5, 18, 2, ("vehicle", "battery"), "",
          0.8, notes="hives not numbered"),
    Place("NOOK", "The Nook", ("", "52.60", "-1.03"), "on foot", 12, 11, 8, 1, ("battery", "battery"), "", 0.7,
          floor="solid", notes="hives not numbered; footbridge"),
    Place("SALLOW", "Sallow Fen", ("", "52.53", "-0.84"), "all weather", 33, 4, 12, 2, ("generator", "generator"),
          "F", 1.2, notified="", notes="generator stays in the shed"),
    Place("ROOK", "Rookery", ("SK 705 140", "", ""), "all weather", 29, 3, 13, 2, ("vehicle", "battery"), "R", 1.0),
)  # fmt: skip

BY_ID = {place.apiary: place for place in PLACES}


@dataclass(frozen=True)
class Lane:
    """A lane of the simulator: its place, its colony id (`''` without a number), and whether it waits for a split."""

    index: int
    apiary: str
    colony: str
    spare: bool


def lanes() -> tuple[Lane, ...]:
    """Every lane, place by place, spare ones last in each."""
    made: list[Lane] = []
    for place in PLACES:
        for n in range(1, place.hives + place.spare + 1):
            colony = f"{place.prefix}{n:02d}" if place.prefix else ""
            made.append(Lane(len(made), place.apiary, colony, n > place.hives))
    return tuple(made)


LANES = lanes()


def lanes_of(apiary: str) -> tuple[int, ...]:
    return tuple(lane.index for lane in LANES if lane.apiary == apiary)
