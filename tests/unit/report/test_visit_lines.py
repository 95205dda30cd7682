"""What a visit sheet asks to be written goes back as a note: every word to circle is a word the log reads."""

from datetime import date

import pytest

from kit.constants.treatment_words import TAKEN_OUT, WORDS
from kit.records.note_words import Known, read_note
from kit.records.places import Places
from kit.records.tables import TABLES
from kit.report.visit_lines import Line, lines_of

KNOWN = Known(Places(["ROOK"], ["Rookery"]), date(2026, 12, 31), None)
BY_HAND = {
    "date": "23 Oct 2026", "who": "Tam", "standing": "13", "done": "12", "dead": "1", "weak": "2", "light": "0",
    "trays": "4; few; none; many", "tray_days": "7", "seals_out": "8", "seals_in": "8", "notes": "gate stiff, ask",
}  # fmt: skip
VISITS = [
    {"treatment": word, "deed": deed, "round": number}
    for word in WORDS
    for deed, number in (("treat", 1.0), ("treat", 2.0), *[("take out", 1.0)] * (word in TAKEN_OUT))
]


def typed(lines: tuple[Line, ...], circled: int) -> str:
    """The sheet as it is typed back: each name with what stands beside it, notes last."""
    filled = {line.name: line.words[min(circled, len(line.words) - 1)] if line.words else BY_HAND[line.name]
              for line in lines}  # fmt: skip
    parts = [f"{name} {value}" for name, value in filled.items() if name != "notes"]
    return ", ".join(["ROOK", *parts, f"notes {filled['notes']}"])


def test_a_sheet_asks_for_every_column_of_the_log_once() -> None:
    asked = [line.name for line in lines_of(VISITS[0], mesh=True)]
    assert sorted(asked) == sorted(name for name in TABLES["log"].names if name != "apiary")


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: f"{v['treatment']} {v['deed']} {v['round']:g}")
def test_a_filled_sheet_is_understood_as_a_note_whatever_is_circled(visit: dict[str, object]) -> None:
    lines = lines_of(visit, mesh=True)
    for circled in range(max(len(line.words) for line in lines)):
        noted = read_note(typed(lines, circled), KNOWN)
        assert noted.wrong == "" and set(noted.cells) == set(TABLES["log"].names)
        assert noted.cells["date"] == "2026-10-23" and noted.cells["notes"] == BY_HAND["notes"]


def test_what_was_done_stands_ready_to_circle_with_its_trays() -> None:
    def did(treatment: str, deed: str, number: float, *, mesh: bool) -> str:
        lines = lines_of({"treatment": treatment, "deed": deed, "round": number}, mesh=mesh)
        return next(line.words[0] for line in lines if line.name == "did")

    assert did("oxalic sublimation", "treat", 1, mesh=True) == "oxalic sublimation 1; trays in"
    assert did("oxalic sublimation", "treat", 2, mesh=False) == "oxalic sublimation 2"
    assert did("amitraz strips", "take out", 1, mesh=True) == "amitraz strips; strips out"
