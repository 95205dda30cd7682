"""The page of the numbers holds every one of them, whole, with its source in full."""

from __future__ import annotations

import re
from html import unescape

import pytest

from kit.constants import Constant, all_constants
from kit.report.numbers import SUBJECTS, in_short, line_of, numbers_page
from kit.sources import SOURCES

PAGE = numbers_page("Season review 2025/26", "Made on 31 Mar 2026.")


def test_every_number_has_its_line_under_its_subject() -> None:
    for subject in SUBJECTS:
        part = PAGE.split(f'<section id="{subject}"')[1].split("</section>")[0]
        mine = [name for name in all_constants() if name.startswith(f"{subject}.")]
        assert part.count('data-head="value"') == len(mine) > 0


def test_every_subject_of_the_constants_is_on_the_page() -> None:
    assert {name.split(".")[0] for name in all_constants()} == set(SUBJECTS)


def test_months_that_only_a_tuple_holds_are_numbers_too() -> None:
    assert sum(name.startswith("hives.MILD_EGGS_") for name in all_constants()) == 12


def test_every_source_that_a_line_names_stands_below_in_full() -> None:
    linked = set(re.findall(r'href="#source-([^"]+)"', PAGE))
    assert len(linked) > 30
    for key in linked:
        assert PAGE.count(f'id="source-{key}"') == 1
    text = unescape(PAGE)
    assert all(SOURCES[one.source] in text for one in all_constants().values() if one.kind == "measured")


def test_a_note_speaks_words_and_not_names_of_constants() -> None:
    assert [name for name, one in all_constants().items() if re.search(r"[A-Z]{2}_[A-Z]", one.note)] == []


def test_a_note_is_never_cut() -> None:
    text = unescape(PAGE)
    assert all(one.note[1:] in text for one in all_constants().values())


@pytest.mark.parametrize(
    ("name", "one", "value", "known"),
    [
        ("KILL_PCT", Constant(40, "%", 30, 50, "assumed", "assumed", "memory"), "40 %", "assumed here"),
        ("HEAT", Constant(-2.8117, "1", -3, -2, "ieee485", "fitted", "read"), "−2.8117 ", "fitted; read in its source"),
        ("EGGS", Constant(1500, "1/d", 1, 2000, "winston1987", "measured", "memory"), "1,500 a day", "from memory"),
    ],
)
def test_a_line_says_value_unit_and_how_it_is_known(name: str, one: Constant, value: str, known: str) -> None:
    line = line_of(name, one)
    assert f"{line.value} {line.unit}" == value and known in line.known


def test_the_tally_adds_up_to_all() -> None:
    whole, *parts = map(int, re.findall(r"\d+", in_short(all_constants().values())[0]))
    assert whole == sum(parts) == len(all_constants())
