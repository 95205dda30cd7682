"""Rules that need more than one cell of a row: what a count must say, which unit a dose is in."""

from __future__ import annotations

import re

import numpy as np

from kit.records.cells import plain, read_word
from kit.records.files import Raw
from kit.records.problems import Problem
from kit.records.tables import TABLES
from kit.records.texts import Texts, holds
from kit.records.typed import Typed

_AMOUNT = re.compile(r"^(?P<number>.*\d[\d.,]*)\s*(?P<unit>[a-zA-Z]+)\.?$")


def check_counts(sheet: Typed, problems: list[Problem]) -> None:
    """Set aside counts that say nothing: no mites and no word for them, or a board without its days."""
    frame = sheet.frame
    counted, in_words = frame["mites"].notna().to_numpy(), ~holds(frame["level"], "")
    sheet.set_aside(
        ~counted & ~in_words,
        ("mites", "neither mites nor level is recorded", "write the mites, or none, few, many"),
        problems,
    )
    undated = holds(frame["method"], "board") & frame["days"].isna().to_numpy()
    wrong = "the days the board lay are not recorded and no trays in or sublimation tells them"
    sheet.set_aside(undated, ("days", wrong, "write the days the board lay"), problems)
    both = counted & in_words
    sheet.report(both & ~sheet.aside, ("level", "mites and level are both given: mites are used", "keep one"), problems)
    if both.any():
        frame.loc[both, "level"] = ""


def settle_doses(raw: Raw, problems: list[Problem]) -> None:
    """Move a unit typed beside a dose (`2,3 g`) or in its heading (`Dose (g)`) into `unit`; a conflict is reported."""
    if "dose" not in raw.cells:
        return
    doses, units = raw.cells["dose"], raw.cells.get("unit", Texts.same("", len(raw.numbers)))
    heading = _word_of(raw.units.get("dose", ""))
    said = doses.beside(units, lambda dose, unit: _conflict(_unit_of(dose) or heading, _word_of(unit)))
    for n in np.flatnonzero(said.rows(bool)):
        place = (raw.file, int(raw.numbers[n]), "dose", doses[n])
        problems.append(Problem(*place, said[n], "correct the one that is wrong"))
    raw.cells["unit"] = doses.beside(
        units, lambda dose, unit: unit.strip() or (dose.strip() and (_unit_of(dose) or heading))
    )
    raw.cells["dose"] = doses.changed(lambda dose: _AMOUNT.sub(r"\g<number>", dose) if _unit_of(dose) else dose)


def _conflict(beside: str, stated: str) -> str:
    if not beside or not stated or beside == stated:
        return ""
    return f"the unit beside the dose is {beside}, the unit column says {stated}: the column is used"


def _word_of(text: str) -> str:
    """The unit a text is the spelling of, "" when none."""
    return read_word(text, TABLES["treatments"].column("unit")).value or ""


def _unit_of(text: str) -> str:
    match = _AMOUNT.match(text.strip())
    spelled = plain(match["unit"]) if match else ""
    also = {"gram": "g", "grams": "g", "gr": "g", "strip": "strips", "tray": "trays", "spoons": "spoon"}
    unit = also.get(spelled, spelled)
    return unit if unit in TABLES["treatments"].column("unit").words else ""
