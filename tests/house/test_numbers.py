"""Every number and sentence with a source names one that exists, and the science page's numbers are the constants'."""

from __future__ import annotations

import ast
import re
from collections import Counter

import pytest

from kit.constants import Constant, all_constants
from kit.report import cautions
from kit.sources import SOURCES
from tests.house.tree import shown, told, with_suffix

CONSTANTS = all_constants()

SCIENCE = {
    # Handbook factors and trouble drops of the UK government leaflet Managing Varroa.
    "counts.FACTOR_SUMMER": 30,
    "counts.FACTOR_SPRING_AUTUMN": 100,
    "counts.FACTOR_WINTER": 400,
    "counts.TROUBLE_WINTER_SPRING": 0.5,
    "counts.TROUBLE_MAY": 6,
    "counts.TROUBLE_JUNE": 10,
    "counts.TROUBLE_JULY": 16,
    "counts.TROUBLE_AUGUST": 33,
    "counts.TROUBLE_SEPTEMBER": 20,
    "counts.TROUBLE_MITES": 1000,
    # EMA/CVMP/EWP/459883/2008.
    "efficacy.GUIDELINE_SYNTHETIC": 95,
    "efficacy.GUIDELINE_OTHER": 90,
    "efficacy.FOLLOW_UP_DAYS": 14,
    # Our own October-only reading of winter loss (assumed).
    "losses.LOSS_TOP": 92,
    "losses.LOSS_HALF": 11,
    "losses.LOSS_STEEPNESS": 2.6,
    "losses.BACKGROUND": 8,
    # Veterinary Medicines Regulations 2013 and (EU) 2019/6.
    "law.KEEP_YEARS": 5,
}
"""Numbers as the sources print them."""


@pytest.mark.parametrize("name", sorted(CONSTANTS))
def test_a_constant_names_its_unit_source_and_range(name: str) -> None:
    constant = CONSTANTS[name]
    assert constant.unit.strip(), f"{name}: give its unit, '1' for a pure number"
    assert constant.source in SOURCES, f"{name}: add {constant.source!r} to kit.sources.SOURCES"
    assert constant.low <= constant.value <= constant.high, f"{name}: widen the range to hold its value"
    if constant.low == constant.value == constant.high:
        assert constant.kind == "defined", (
            f"{name}: only a defined number has no spread; give low and high, or its kind"
        )


@pytest.mark.parametrize(("name", "printed"), SCIENCE.items())
def test_a_number_of_the_science_is_the_constant(name: str, printed: float) -> None:
    assert CONSTANTS[name].value == printed, f"{name}: the source prints {printed:g}"


def test_what_has_no_source_claims_no_measurement() -> None:
    unsourced = {name: c for name, c in CONSTANTS.items() if c.source in {"assumed", "common practice"}}
    faults = [
        f"{name}: {c.source}, yet {c.kind}"
        for name, c in unsourced.items()
        if c.kind in {"measured", "fitted", "label"}
    ]
    assert not faults, told(faults, "name the source of these, or call them what they are:")


def test_a_constant_is_written_as_one() -> None:
    faults = []
    for path in with_suffix(".py", under="kit/constants"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
            if isinstance(value, ast.Constant) and isinstance(value.value, int | float):
                faults.append(f"{shown(path)}:{node.lineno}")
    assert not faults, told(faults, "write these bare numbers as Constant(value, unit, low, high, source, kind, seen):")


def test_no_number_is_left_that_nothing_leans_on() -> None:
    words = Counter(
        word
        for folder in ("kit", "tests")
        for path in with_suffix(".py", under=folder)
        for word in re.findall(r"\b[A-Z][A-Z0-9_]+\b", path.read_text(encoding="utf-8"))
    )
    by_name = {name for name in CONSTANTS if name.startswith("hives.")}  # kit.season.posterior.traits asks for these
    faults = [name for name in CONSTANTS.keys() - by_name if words[name.split(".")[1]] == 1]
    assert not faults, told(sorted(faults), "use these numbers, or take them out:")


def test_every_caution_names_a_source_of_the_bibliography() -> None:
    said = [each for value in vars(cautions).values() if isinstance(value, tuple) for each in value]
    faults = [each.hazard for each in said if getattr(each, "source", None) and each.source not in SOURCES]
    assert said, "kit.report.cautions holds no cautions"
    assert not faults, told(faults, "add their sources to kit.sources.SOURCES:")


def test_a_source_is_named_once_by_its_whole_title() -> None:
    texts = list(SOURCES.values())
    assert len(set(texts)) == len(texts), "two keys of kit.sources.SOURCES carry one text: keep one of them"


def test_the_shape_of_a_constant_refuses_what_has_no_source() -> None:
    with pytest.raises(ValueError, match="source must be a key"):
        Constant(1, "1", 0, 2, "hearsay", "assumed", "memory")
