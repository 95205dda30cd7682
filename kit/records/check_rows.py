"""Rules that need more than one cell of a row: what a count must say, which unit a dose is in."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from kit.records.cells import plain, read_word
from kit.records.files import Raw
from kit.records.problems import Problem
from kit.records.tables import TABLES
from kit.records.typed import Typed

_AMOUNT = re.compile(r"^(?P<number>.*\d[\d.,]*)\s*(?P<unit>[a-zA-Z]+)\.?$")


def check_counts(sheet: Typed, problems: list[Problem]) -> None:
    """Set aside counts that say nothing: no mites and no word for them, or a board without its days."""
    frame = sheet.frame
    silent = (frame["mites"].isna() & (frame["level"] == "")).to_numpy()
    sheet.set_aside(
        silent, ("mites", "neither mites nor level is recorded", "write the mites, or none, few, many"), problems
    )
    undated = ((frame["method"] == "board") & frame["days"].isna()).to_numpy()
    wrong = "the days the board lay are not recorded and no trays in or sublimation tells them"
    sheet.set_aside(undated, ("days", wrong, "write the days the board lay"), problems)
    both = (frame["mites"].notna() & (frame["level"] != "")).to_numpy()
    sheet.report(both & ~sheet.aside, ("level", "mites and level are both given: mites are used", "keep one"), problems)
    frame.loc[both, "level"] = ""


def settle_doses(raw: Raw, problems: list[Problem]) -> None:
    """Move a unit typed beside a dose (`2,3 g`) or in its heading (`Dose (g)`) into `unit`; a conflict is reported."""
    if "dose" not in raw.cells:
        return
    column = TABLES["treatments"].column("unit")
    written = raw.cells["unit"] if "unit" in raw.cells else pd.Series([""] * len(raw.cells), dtype="str")
    units = {text: _unit_of(text) for text in raw.cells["dose"].unique()}
    typed = raw.cells["dose"].map(units)
    heading = read_word(raw.units.get("dose", ""), column).value or ""
    meant = typed.where(typed != "", heading).astype("str")
    stated = written.map({text: read_word(text, column).value or "" for text in written.unique()})
    for n in np.flatnonzero((meant != "") & (stated != "") & (meant != stated)):
        wrong = (
            f"the unit beside the dose is {meant.iloc[n]}, the unit column says {stated.iloc[n]}: the column is used"
        )
        place = (raw.file, int(raw.cells["from_row"].iloc[n]), "dose", str(raw.cells["dose"].iloc[n]))
        problems.append(Problem(*place, wrong, "correct the one that is wrong"))
    raw.cells["unit"] = written.where(written.str.strip() != "", meant.where(raw.cells["dose"].str.strip() != "", ""))
    bare = raw.cells["dose"].map({t: _AMOUNT.sub(r"\g<number>", t) if unit else t for t, unit in units.items()})
    raw.cells["dose"] = bare.astype("str")


def _unit_of(text: str) -> str:
    match = _AMOUNT.match(text.strip())
    spelled = plain(match["unit"]) if match else ""
    also = {"gram": "g", "grams": "g", "gr": "g", "strip": "strips", "tray": "trays", "spoons": "spoon"}
    unit = also.get(spelled, spelled)
    return unit if unit in TABLES["treatments"].column("unit").words else ""
