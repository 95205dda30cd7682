"""Colours against the published rules: WCAG 2.2 contrast, and eyes that lack one kind of cone."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.report.style import HAIRLINE, INK, MEANINGS, QUIET, SYMBOLS, TOGETHER

# Machado, Oliveira & Fernandes 2009, IEEE TVCG 15:1291, severity 1.0, for linear RGB (from memory).
EYES = {
    "without red cones": "0.152286 1.052583 -0.204868 0.114503 0.786281 0.099216 -0.003882 -0.048116 1.051998",
    "without green cones": "0.367322 0.860646 -0.227968 0.280085 0.672501 0.047413 -0.011820 0.042940 0.968881",
    "without blue cones": "1.255528 -0.076749 -0.178779 -0.078411 0.930809 0.147602 0.004733 0.691367 0.303900",
    "all three": "1 0 0 0 1 0 0 0 1",
}
# sRGB to XYZ, IEC 61966-2-1.
XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = XYZ @ np.ones(3)


def linear(colour: str) -> NDArray[np.float64]:
    channels = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted((float(XYZ[1] @ linear(c)) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1976 L*a*b*."""
    t = XYZ @ np.clip(rgb, 0, 1) / WHITE
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


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


@pytest.mark.parametrize("eye", EYES)
@pytest.mark.parametrize("group", TOGETHER, ids="+".join)
def test_colours_that_meet_stay_apart_for_every_eye_or_by_their_mark(group: tuple[str, ...], eye: str) -> None:
    matrix = np.array(EYES[eye].split(), dtype=float).reshape(3, 3)
    for one, other in combinations(group, 2):
        seen = [lab(matrix @ linear(MEANINGS[word].colour)) for word in (one, other)]
        far_apart = float(np.linalg.norm(seen[0] - seen[1])) >= 20
        assert far_apart or MEANINGS[one].symbol != MEANINGS[other].symbol, f"{one} and {other}"


@pytest.mark.parametrize("group", TOGETHER, ids="+".join)
def test_nothing_in_a_chart_is_told_apart_by_colour_alone(group: tuple[str, ...]) -> None:
    marks = [(MEANINGS[word].symbol, MEANINGS[word].dash) for word in group]
    assert len(set(marks)) == len(marks)


def test_symbols_for_categories_differ() -> None:
    assert len(set(SYMBOLS)) == len(SYMBOLS)
