"""Small-count suppression against the worked example of a national statistics handbook."""

from __future__ import annotations

import numpy as np
import pytest

from kit.calc.suppression import attack, complementary, margins, one_dominates, too_few

# Federal Committee on Statistical Methodology, Working Paper 22 (fcsm22), chapter II: children by county (rows) and
# education of the household head (columns), with margins; from memory. Cells below 5 are sensitive there.
CHILDREN = np.array([
    [15, 1, 3, 1, 20],
    [20, 10, 10, 15, 55],
    [3, 10, 10, 2, 25],
    [12, 14, 7, 2, 35],
    [50, 35, 30, 20, 135],
], dtype=float)  # fmt: skip
RELATIONS = margins(4, 4)
MARGIN = np.zeros((5, 5), dtype=bool)
MARGIN[4, :] = MARGIN[:, 4] = True


def test_the_table_adds_up_as_printed() -> None:
    assert np.allclose(RELATIONS @ CHILDREN.ravel(), 0)


def test_the_handbooks_inadequate_pattern_is_seen_through_as_the_handbook_says() -> None:
    """Two cells out in every row and column look safe, but Alpha's "very high" follows: it is 1."""
    out = np.zeros((5, 5), dtype=bool)
    for cell in [(0, 1), (0, 2), (0, 3), (1, 1), (1, 2), (2, 0), (2, 3), (3, 0), (3, 3)]:
        out[cell] = True
    known = attack(CHILDREN.ravel(), out.ravel(), RELATIONS)
    least, most = known.least.reshape(5, 5), known.most.reshape(5, 5)
    assert least[0, 3] == pytest.approx(1) and most[0, 3] == pytest.approx(1)
    others = out.copy()
    others[0, 3] = False
    assert (most - least)[others].min() >= 4


@pytest.mark.parametrize("width", [2, 3, 5])
def test_our_pattern_leaves_out_the_sensitive_cells_and_lets_none_be_worked_out(width: int) -> None:
    sensitive = too_few(CHILDREN, minimum=5) & ~MARGIN
    assert sensitive.sum() == 6
    out = complementary(CHILDREN.ravel(), sensitive.ravel(), RELATIONS, minimum=width, fixed=MARGIN.ravel())
    assert not (out & MARGIN.ravel()).any() and out.sum() <= 12
    known = attack(CHILDREN.ravel(), out, RELATIONS)
    assert (known.most - known.least)[sensitive.ravel()].min() >= width - 1e-6


def test_the_p_per_cent_rule_follows_its_definition() -> None:
    """The handbooks: sensitive when the remainder behind the two largest is under p % of the largest."""
    assert one_dominates([1000, 400, 99], p_pct=10)
    assert not one_dominates([1000, 400, 100], p_pct=10)
