"""Every public function of the ground floor can be checked by hand from its docstring."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterator
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import pytest

import kit.calc
from kit.sources import SOURCES
from tests.house.docstrings import Docstring, units

SUFFIXES: dict[str, tuple[str, ...]] = {
    "per_day": ("1/d", "1/day", "mites/d", "mites/day", "eggs/d", "eggs/day", "cells/d", "cells/day"),
    "ah_per_h": ("Ah/h", "A"),
    "j_per_k": ("J/K",), "w_per_k": ("W/K",), "mg_per_g": ("mg/g",), "ohm_per_km": ("ohm/km", "Ω/km"),
    "pct": ("%", "mites/100 bees"), "count": ("count", "1"), "days": ("d", "days"), "min": ("min",), "ml": ("ml",),
    "ah": ("Ah",), "wh": ("Wh",), "kj": ("kJ", "kJ/g", "kJ/mol"), "mm2": ("mm²",), "km": ("km",), "kmh": ("km/h",),
    "g": ("g",), "c": ("°C",), "w": ("W",), "v": ("V",), "a": ("A",), "s": ("s",), "h": ("h",), "m": ("m",),
    "k": ("K",),
}  # fmt: skip
"""Ending of a name to the units it may stand for, longest first."""
NUMERIC = ("float", "ArrayLike", "NDArray", "Number", "FloatArray", "Band", "Interval")
AS_ELSEWHERE = re.compile(r"\bas (?:for|in|of)? ?`\w+`", re.IGNORECASE)
"""A parameter may be described where its other function describes it."""
ONE_WORD = {"k", "n", "x", "level"}
"""Names too short to carry a unit: the cited equation's own letters."""


def functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for module in iter_modules(kit.calc.__path__):
        if module.name.startswith("_"):
            continue
        loaded = import_module(f"kit.calc.{module.name}")
        for name, thing in vars(loaded).items():
            if inspect.isfunction(thing) and thing.__module__ == loaded.__name__ and not name.startswith("_"):
                yield f"{module.name}.{name}", thing


FUNCTIONS = dict(functions())
every_function = pytest.mark.parametrize("name", sorted(FUNCTIONS))


def ending(name: str) -> tuple[str, tuple[str, ...]] | None:
    """The unit ending of a name, if it has one."""
    if name in ONE_WORD:
        return None
    return next(((end, allowed) for end, allowed in SUFFIXES.items() if name.endswith(f"_{end}")), None)


def is_number(annotation: Any) -> bool:
    """Whether it stands for a measured number; a whole number counts what its name says and needs no unit."""
    text = annotation if isinstance(annotation, str) else getattr(annotation, "__name__", None) or str(annotation)
    return any(word in text for word in NUMERIC) and "dict" not in text.casefold()


def test_there_are_functions_to_look_at() -> None:
    assert len(FUNCTIONS) > 20


@every_function
def test_its_parameters_are_described_in_the_order_of_its_signature(name: str) -> None:
    doc = Docstring.of(FUNCTIONS[name])
    assert doc.summary.endswith("."), f"kit.calc.{name}: begin the docstring with one sentence in one line"
    written, real = list(doc.items("Parameters")), list(inspect.signature(FUNCTIONS[name]).parameters)
    assert written == real, f"kit.calc.{name}: under Parameters describe {real}; it has {written}"


@every_function
def test_it_says_what_it_returns(name: str) -> None:
    signature = inspect.signature(FUNCTIONS[name])
    if signature.return_annotation in (None, "None") or not signature.parameters:
        return  # without arguments the one sentence of its summary says it all
    assert Docstring.of(FUNCTIONS[name]).sections.get("Returns"), f"kit.calc.{name}: add a section Returns"


@every_function
def test_every_number_it_takes_carries_its_unit_and_the_name_agrees(name: str) -> None:
    items = Docstring.of(FUNCTIONS[name]).items("Parameters")
    faults = []
    for parameter in inspect.signature(FUNCTIONS[name]).parameters.values():
        if not is_number(parameter.annotation):
            continue
        text, suffix = items.get(parameter.name, ""), ending(parameter.name)
        said = units(text)
        if not said and AS_ELSEWHERE.search(text):
            continue
        if not said:
            faults.append(f"{parameter.name}: end its description with a unit in brackets, [1] for a pure number")
        elif suffix and said[-1] not in suffix[1]:
            faults.append(
                f"{parameter.name}: ends in _{suffix[0]}, so [{suffix[1][0]}]; its docstring says [{said[-1]}]"
            )
    assert not faults, f"kit.calc.{name}: " + "; ".join(faults)


@every_function
def test_the_number_it_returns_carries_its_unit_and_the_name_agrees(name: str) -> None:
    if not is_number(inspect.signature(FUNCTIONS[name]).return_annotation):
        return
    said = units(Docstring.of(FUNCTIONS[name]).sections.get("Returns", ""))
    if "in the unit of" in Docstring.of(FUNCTIONS[name]).sections.get("Returns", "").casefold():
        return
    assert said, f"kit.calc.{name}: end the text under Returns with the unit in brackets, [1] for a pure number"
    if suffix := ending(name.split(".")[1]):
        assert set(said) & set(suffix[1]), f"kit.calc.{name}: ends in _{suffix[0]}, so [{suffix[1][0]}]; it says {said}"


@every_function
def test_the_sources_it_names_are_in_the_bibliography(name: str) -> None:
    unknown = [key for key in Docstring.of(FUNCTIONS[name]).source_keys() if key not in SOURCES]
    assert not unknown, f"kit.calc.{name}: add {unknown} to kit.sources.SOURCES, or mend the key under References"
