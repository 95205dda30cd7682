"""What was done where and when: two seasons of visits as they were driven."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

COUNTED = ("HOME", "PLUM", "SLUICE", "TERN", "KILN")  # boards written down hive by hive
WASHED = ("HOME", "TERN")
POOR_SEAL = "KILN"
LATE = "SLUICE"


def _days(year: int, text: str) -> dict[str, date]:
    """`HOME 8-5, PLUM 8-6` as dates of a year."""
    found = {}
    for part in text.split(","):
        apiary, when = part.split()
        month, day = when.split("-")
        found[apiary] = date(year, int(month), int(day))
    return found


SPRING_2024 = _days(2024, "HOME 4-6, PLUM 4-6, SLUICE 4-18, ASH 4-9, TERN 4-9, KILN 4-11, HEATHER 4-13, "
                          "NOOK 4-6, SALLOW 4-15, ROOK 4-11")  # fmt: skip
MAIN_2024 = _days(2024, "HOME 8-7, PLUM 8-8, SLUICE 8-24, ASH 8-9, TERN 8-8, KILN 8-12, HEATHER 8-22, NOOK 8-7, "
                        "SALLOW 8-13, ROOK 8-12")  # fmt: skip
OUT_2024 = _days(2024, "HOME 9-26, PLUM 9-26, SLUICE 10-10, ASH 9-27, TERN 9-27, KILN 9-30, HEATHER 10-7, "
                       "NOOK 9-26, SALLOW 10-1, ROOK 9-30")  # fmt: skip
ROUNDS_2024 = (
    _days(2024, "HOME 11-12, PLUM 11-12, ASH 11-13, TERN 11-13, KILN 11-14, HEATHER 11-16, NOOK 11-12, "
                "SALLOW 11-15, ROOK 11-14"),
    _days(2024, "HOME 11-18, PLUM 11-18, ASH 11-19, TERN 11-19, KILN 11-20, HEATHER 11-22, NOOK 11-18, "
                "SALLOW 11-21, ROOK 11-20"),
)  # fmt: skip
LOOK_2025 = _days(2025, "HOME 2-22, PLUM 2-22, SLUICE 3-15, ASH 2-25, TERN 2-25, KILN 2-27, HEATHER 3-6, NOOK 2-22, "
                        "SALLOW 3-1, ROOK 2-27")  # fmt: skip

SPRING_2025 = _days(2025, "HOME 4-4, PLUM 4-4, SLUICE 4-15, ASH 4-7, TERN 4-7, KILN 4-8, HEATHER 4-12, NOOK 4-4, "
                          "SALLOW 4-10, ROOK 4-8")  # fmt: skip
SUPERS_2025 = _days(2025, "HOME 5-2, PLUM 5-2, SLUICE 5-9, ASH 5-5, TERN 5-5, KILN 5-6, HEATHER 5-10, NOOK 5-2, "
                          "SALLOW 5-8, ROOK 5-6")  # fmt: skip
JUNE_2025 = _days(2025, "HOME 6-3, PLUM 6-3, SLUICE 6-12, ASH 6-5, TERN 6-5, KILN 6-6, HEATHER 6-14, NOOK 6-3, "
                        "SALLOW 6-10, ROOK 6-6")  # fmt: skip
JULY_IN_2025 = _days(2025, "HOME 7-8, PLUM 7-8, SLUICE 7-12, TERN 7-9, KILN 7-10, SALLOW 7-11")
JULY_READ_2025 = _days(2025, "HOME 7-15, PLUM 7-15, SLUICE 7-19, TERN 7-16, KILN 7-17, SALLOW 7-18")
MAIN_2025 = _days(2025, "HOME 8-5, PLUM 8-6, SLUICE 9-11, ASH 8-7, TERN 8-8, KILN 8-9, HEATHER 8-29, NOOK 8-5, "
                        "SALLOW 8-12, ROOK 8-9")  # fmt: skip
COULD_NOT_2025 = {"SLUICE": (date(2025, 8, 14), date(2025, 8, 26))}
SEPTEMBER_2025 = _days(2025, "HOME 9-3, PLUM 9-4, ASH 9-5, TERN 9-5, KILN 9-8, SALLOW 9-9, ROOK 9-8")
OUT_2025 = _days(2025, "HOME 9-3, PLUM 9-24, SLUICE 10-31, ASH 9-25, TERN 8-22, KILN 9-26, HEATHER 10-18, NOOK 9-3, "
                       "SALLOW 9-30")  # fmt: skip
HEADS_2025 = _days(2025, "HOME 10-1, PLUM 10-1, SLUICE 10-10, ASH 10-2, TERN 10-2, KILN 10-3, HEATHER 10-18, "
                         "NOOK 10-1, SALLOW 9-30, ROOK 10-3")  # fmt: skip
TRAYS_IN_2025 = _days(2025, "HOME 10-27, PLUM 10-28, SLUICE 11-21, TERN 10-28, KILN 10-29, HEATHER 10-31, "
                            "SALLOW 10-30, ROOK 10-29")  # fmt: skip
ROUNDS_2025 = (
    _days(2025, "HOME 11-3, NOOK 11-3, PLUM 11-4, TERN 11-4, KILN 11-5, ROOK 11-5, ASH 11-6, SALLOW 11-6, "
                "HEATHER 11-7, SLUICE 11-28"),
    _days(2025, "HOME 11-8, NOOK 11-8, PLUM 11-10, TERN 11-10, KILN 11-10, ROOK 11-11, ASH 11-11, SALLOW 11-11, "
                "HEATHER 11-13, SLUICE 12-3"),
    _days(2025, "HOME 11-14, NOOK 11-13, PLUM 11-15, TERN 11-15, KILN 11-15, ROOK 11-17, ASH 11-17, SALLOW 11-18, "
                "HEATHER 11-18, SLUICE 12-9"),
)  # fmt: skip
WINDY = ("HEATHER", date(2025, 11, 12))
FOLLOW_2025 = _days(2025, "HOME 11-29, PLUM 11-29, TERN 12-1, KILN 12-1, SLUICE 12-23, SALLOW 12-2, ROOK 12-2")
WINTER_2026 = _days(2026, "TERN 1-6, HOME 1-5, KILN 1-6")
TRAYS_FEB_IN = _days(2026, "HOME 2-9, PLUM 2-9, TERN 2-10, KILN 2-10, SLUICE 2-14")
LOOK_2026 = _days(2026, "HOME 2-23, PLUM 2-23, TERN 2-24, KILN 2-24, SLUICE 2-28, ASH 3-3, HEATHER 3-7, NOOK 2-23, "
                        "SALLOW 3-5, ROOK 3-3")  # fmt: skip
SPRING_2026 = _days(2026, "HOME 3-20, PLUM 3-20, SLUICE 3-28, ASH 3-23, TERN 3-23, KILN 3-24, HEATHER 3-27, NOOK 3-20, "
                          "SALLOW 3-26, ROOK 3-24")  # fmt: skip


@dataclass(frozen=True)
class Main:
    """The main treatment of an apiary in a year."""

    treatment: str
    product: str
    dose: float
    unit: str


STRIPS = Main("amitraz strips", "amitraz strips B", 2, "strips")
THYMOL = Main("thymol", "thymol trays C", 1, "trays")
FORMIC = Main("formic acid", "formic acid D", 140, "ml")
MAIN = {
    2024: {**dict.fromkeys(MAIN_2024, STRIPS)},
    2025: {**dict.fromkeys(MAIN_2025, STRIPS), "HOME": THYMOL, "NOOK": THYMOL, "TERN": FORMIC},
}

SPLITS_2025 = {"HOME": 2, "PLUM": 2, "SLUICE": 2, "ASH": 1, "TERN": 2, "KILN": 1, "HEATHER": 1, "SALLOW": 1, "ROOK": 1}
SWARMS_2025 = ("PLUM", "ASH", "ROOK")
MOVE_2025 = (date(2025, 6, 21), "PLUM", "TERN", 2)


def sublimator(apiary: str) -> str:
    return "S2" if apiary in ("PLUM", "TERN", "HEATHER") else "S1"


def supply(apiary: str, round_no: int) -> str:
    if apiary == "HOME":
        return "M1"
    if apiary == "SALLOW":
        return "G1"
    return "B2" if apiary == "ASH" and round_no < 3 else "B1"


ASH_DONE = {1: 8, 2: 10}


def expel_s(apiary: str, when: date) -> float:
    """Seconds a dose took: 20 on a sound machine, more on a worn element (S2) or a weak generator (SALLOW)."""
    wobble = (when.toordinal() * 7 + len(apiary)) % 3 - 1
    if apiary == "SALLOW":
        return 36 + wobble
    if sublimator(apiary) == "S1":
        return 20 + wobble
    if when < date(2025, 1, 1):
        return 25 + wobble
    return min(33 + 0.8 * (when - date(2025, 11, 4)).days, 44) // 1 + wobble


def seal(apiary: str) -> str:
    return "poor" if apiary == POOR_SEAL else "fair" if apiary in ("ASH", "NOOK") else "good"
