"""The sentence on an apiary's programme: short of the chance or not, with what is surer, in every language."""

from __future__ import annotations

from typing import Any

import pytest

from kit.report.words.language import known, language
from kit.report.words.programme import programme


def facts(chance: float, **more: Any) -> dict[str, Any]:
    series = {"treatment": "oxalic sublimation", "rounds": 2, "window": "autumn"}
    chosen = {
        "treatments": [{"treatment": "amitraz strips", "rounds": 1, "window": "main"}, series], "chance_pct": chance,
        "wanted_pct": 80.0, "minutes": 300.0, "is_did": False, "weakest": "spring",
        "did": {"chance_pct": 70.0, "minutes": 420.0}, "surer": None,
    }  # fmt: skip
    return {"programme": chosen | more, "winter_round": None}


def test_a_programme_that_reaches_the_chance_is_said_beside_what_was_done() -> None:
    said = programme(facts(84.0), language())
    assert "amitraz strips in summer and oxalic sublimation × 2 in autumn; 84 of 100" in said
    assert "What you did: 70 of 100, 7 hours." in said
    assert "wanted" not in said


def test_when_none_reaches_it_that_is_said_with_where_it_falls_short() -> None:
    said = programme(facts(60.0), language())
    assert "No programme weighed here reaches the 80 wanted" in said
    assert "what is left for spring" in said


def test_what_would_be_surer_is_named() -> None:
    surer = {"programme": "thymol; winter round", "why_not": "", "chance_pct": 88.0, "minutes": 600.0}
    assert "Surer: thymol; winter round (88 of 100, 10 hours)." in programme(facts(60.0, surer=surer), language())


def test_what_was_done_last_is_called_surer_without_being_told_twice() -> None:
    surer = {"programme": "what you did", "why_not": "", "chance_pct": 87.0, "minutes": 492.0}
    said = programme(facts(79.6, surer=surer), language())
    assert "falls just short of the 80 wanted" in said and said.count("87") == 0
    assert said.endswith(" What you did is surer.")


def test_the_winter_round_has_its_days_and_asks_for_a_look_before_driving() -> None:
    winter = {"first": "2026-12-02", "last": "2026-12-24", "chance_pct": 88.0}
    said = programme(facts(84.0) | {"winter_round": winter}, language())
    assert "2 Dec 2026" in said
    assert "before driving" in said


@pytest.mark.parametrize("code", known())
def test_every_language_says_it(code: str) -> None:
    assert "84" in programme(facts(84.0), language(code))


def test_nothing_is_said_where_nothing_was_weighed() -> None:
    assert programme({"programme": None}, language()) == ""
