"""Every treatment word has its action, and the words stand in one place."""

from __future__ import annotations

import pytest

from kit.calc.actions import SOURCED, default_action
from kit.constants.treatment_words import BY_WORD, KNOWN, WORDS, TreatmentWord


def test_every_word_has_an_action_and_every_action_a_word() -> None:
    assert set(SOURCED) == {*WORDS, "other"}


@pytest.mark.parametrize("one", KNOWN, ids=WORDS)
def test_what_is_given_acts_on_mites_and_what_stays_has_its_days(one: TreatmentWord) -> None:
    action = default_action(one.word)
    kills = bool(action.most or action.daily or action.worker_cells or action.drone_cells)
    assert kills == (one.way != "laying stop")
    assert (one.works_days is None) == (one.way == "dose")
    assert (one.stays_days is not None) == (one.way in ("placed", "laying stop"))
    if one.stays_days is not None:
        assert one.stays_days[0].value <= one.stays_days[1].value


def test_nothing_is_a_medicine_without_an_active_substance_in_it() -> None:
    # Directive 2001/82/EC, now Regulation (EU) 2019/6: a medicine holds a substance; cutting brood or caging is none
    assert {word for word, one in BY_WORD.items() if not one.actives} == {
        "drone brood removal", "queen caging", "brood break",
    }  # fmt: skip
