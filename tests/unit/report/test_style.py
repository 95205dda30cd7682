"""Colours against the published rules: WCAG 2.2 contrast, and eyes that lack one kind of cone."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterable
from itertools import combinations

import numpy as np
import pytest
from colorspacious import cspace_convert
from numpy.typing import NDArray

import kit.panels
import kit.report.charts
import kit.report.share
from kit.report.style import HAIRLINE, INK, MEANINGS, QUIET, SYMBOLS, TOGETHER, Meaning

EYES = ("protanomaly", "deuteranomaly", "tritanomaly")
"""One kind of cone lacking altogether (severity 100); Machado, Oliveira & Fernandes 2009 as colorspacious has it."""
# sRGB to XYZ, IEC 61966-2-1.
XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
CHARTS = sorted(
    part.name
    for room in (kit.report.charts, kit.report.share, kit.panels)
    for part in pkgutil.iter_modules(room.__path__, f"{room.__name__}.")
    if room is kit.report.charts or "chart" in part.name
)


def linear(colour: str) -> NDArray[np.float64]:
    channels = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted((float(XYZ[1] @ linear(c)) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def seen(colour: str, eye: str) -> NDArray[np.float64]:
    """CIE 1976 L*a*b* of a colour as an eye without one kind of cone sees it, by an independent library."""
    rgb = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    lacking = {"name": "sRGB1+CVD", "cvd_type": eye, "severity": 100}
    return np.asarray(cspace_convert(np.clip(cspace_convert(rgb, lacking, "sRGB1"), 0, 1), "sRGB1", "CIELab"))


def too_near(group: Iterable[Meaning]) -> list[tuple[Meaning, Meaning]]:
    """Pairs that some eye hardly tells apart by colour, and that share their symbol and their dash."""
    return [
        (one, other)
        for one, other in combinations(group, 2)
        if (one.symbol, one.dash) == (other.symbol, other.dash)
        and min(np.linalg.norm(seen(one.colour, eye) - seen(other.colour, eye)) for eye in EYES) < 20
    ]


@pytest.mark.parametrize(("colour", "ratio"), [("#000000", 21.0), ("#777777", 4.48), ("#767676", 4.54)])
def test_the_contrast_formula_gives_the_well_known_ratios(colour: str, ratio: float) -> None:
    # 21:1 by definition; #767676 as the lightest grey that passes 4.5:1 (WebAIM, from memory)
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("word", MEANINGS)
def test_a_mark_keeps_three_to_one_on_white(word: str) -> None:
    assert contrast(MEANINGS[word].colour, "#ffffff") >= 3


@pytest.mark.parametrize("colour", [INK, QUIET])
def test_words_keep_four_and_a_half_to_one_on_white(colour: str) -> None:
    assert contrast(colour, "#ffffff") >= 4.5


def test_grid_lines_stay_behind_the_marks() -> None:
    assert contrast(HAIRLINE, "#ffffff") < 1.6


@pytest.mark.parametrize("name", CHARTS)
def test_colours_that_meet_in_a_chart_stay_apart_for_every_eye_or_by_their_mark(name: str) -> None:
    """All palettes: pages, the association's report and the interactive notebooks."""
    assert too_near(one for one in vars(importlib.import_module(name)).values() if isinstance(one, Meaning)) == []


def test_red_and_green_of_one_lightness_are_found_too_near() -> None:
    """The check can fail; such a pair is the well-known one."""
    assert too_near([Meaning("#b04a3a"), Meaning("#707a30")]) != []


@pytest.mark.parametrize("group", TOGETHER, ids="+".join)
def test_nothing_in_a_chart_is_told_apart_by_colour_alone(group: tuple[str, ...]) -> None:
    marks = [(MEANINGS[word].symbol, MEANINGS[word].dash) for word in group]
    assert len(set(marks)) == len(marks)


def test_symbols_for_categories_differ() -> None:
    assert len(set(SYMBOLS)) == len(SYMBOLS)
