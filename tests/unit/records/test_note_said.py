"""What keepers say of a visit in their own order, and where a refused word belongs."""

from __future__ import annotations

from datetime import date

import pytest

from kit.records.note_words import MEANS, Known, read_note
from kit.records.places import Places
from kit.records.words import WRONG

KNOWN = Known(Places(["MILL"], ["Mill"]), date(2025, 3, 1), None)


@pytest.mark.parametrize("said", ["12 standing, 2 dead mites", "2 dead, mites, 12 standing"])
def test_what_hives_died_of_may_stand_by_itself(said: str) -> None:
    found = read_note(f"27 Feb, Mill, heads, {said}", KNOWN).cells
    assert (found["dead"], found["cause"]) == ("2", "mites")


def test_wind_is_what_went_wrong_even_beside_dead_hives() -> None:
    assert read_note("27 Feb, Mill, look, 1 dead, wind", KNOWN).cells["wrong"] == "wind"


@pytest.mark.parametrize(
    ("part", "told"),
    [
        ("starved", 'starved is why hives died; say how many, as "2 dead of starved"'),
        ("supers off", "write the day into the sheet crops, as supers_off"),
        ("supers off; trays in", "supers off: write the day into the sheet crops"),
        ("3 splits", "write it into the sheet events"),
        ("swarm gone", "write it into the sheet events"),
        ("queen; starved", "a line has one cause; write a line for each, such as 1 dead of queen"),
        ("hailstones", "say what went wrong as one of wind, ground, rain, slow, seal, power, ran out, time"),
    ],
)
def test_a_refused_word_is_told_where_it_belongs(part: str, told: str) -> None:
    found = read_note(f"27 Feb, Mill, look, {part}", KNOWN)
    assert not found.cells
    assert told in found.wrong


@pytest.mark.parametrize(("said", "meant"), [("flooded", "ground"), ("flat battery", "power"), ("got dark", "time")])
def test_what_went_wrong_may_be_said_as_people_say_it_and_is_stored_in_the_records_word(said: str, meant: str) -> None:
    found = read_note(f"27 Feb, Mill, oxalic sublimation, 5 of 7 done, {said}", KNOWN)
    assert found.cells["wrong"] == meant
    assert set(MEANS.values()) <= set(WRONG)
