"""The colour language and the shape of every chart: one meaning, one colour, one mark, everywhere.

Each meaning also has a mark of its own (a symbol, a dash, a place), so that nothing is said by colour alone. Colours
keep 3:1 on white as marks (WCAG 1.4.11) and 4.5:1 where they colour words; tests hold both, and keep the
colours that meet in one chart apart for colour-blind eyes.
"""

from __future__ import annotations

from textwrap import wrap
from typing import Any, NamedTuple, cast

import altair as alt


class Meaning(NamedTuple):
    """How one idea looks.

    Parameters
    ----------
    colour : str
        `#rrggbb`.
    symbol : str
        Vega symbol of a point.
    dash : tuple of int
        Of a line, in pixels; empty for a solid one.
    """

    colour: str
    symbol: str = "circle"
    dash: tuple[int, ...] = ()


INK = "#22262b"
QUIET = "#57606a"
HAIRLINE = "#d8dce0"

MITES = Meaning("#a63d0e")
COUNT = Meaning("#22262b", "diamond")
TREATMENT = Meaning("#0f5a86", "triangle-down", (6, 3))
LIMIT = Meaning("#22262b", "stroke", (2, 3))
BEES = Meaning("#7a5900", "square")
BROOD = Meaning("#8a3d78", "triangle-up", (5, 2))
LATE = Meaning("#a63d0e", "triangle-right")
IN_TIME = Meaning("#0f5a86", "circle")
LOSS = Meaning("#6b2f5e", "cross")
WORK = Meaning("#4c5763", "square")
WASTED = Meaning("#a63d0e", "cross")
EXPECTED = Meaning("#57606a", "stroke", (4, 4))

MEANINGS: dict[str, Meaning] = {
    "mites": MITES,
    "count": COUNT,
    "treatment": TREATMENT,
    "limit": LIMIT,
    "bees": BEES,
    "brood": BROOD,
    "late": LATE,
    "in time": IN_TIME,
    "loss": LOSS,
    "work": WORK,
    "wasted": WASTED,
    "expected": EXPECTED,
}
"""Every meaning by the word a chart's describes it with."""

TOGETHER: tuple[tuple[str, ...], ...] = (
    ("mites", "count", "treatment"),
    ("bees", "brood", "treatment", "mites"),
    ("late", "in time"),
    ("loss", "expected"),
    ("work", "wasted"),
)
"""Meanings that meet in one chart and must stay apart for every eye."""

RANGE_OPACITY = 0.7
"""Of a bar that holds a likely range: as pale as keeps 3:1 on white, so that the mark at its middle stands out."""
EDGED: dict[str, Any] = {"opacity": 1, "strokeOpacity": RANGE_OPACITY, "strokeWidth": 0.8}
"""Of an area that holds a likely range: its edges keep 3:1, its inside may be paler."""

SYMBOLS = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down", "triangle-right", "triangle-left")
"""For categories told apart by mark, in order of use."""

FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'Liberation Sans', 'DejaVu Sans', sans-serif"
QUARTERS = (0, 25, 50, 75, 100)
"""Ticks of an axis of percent from none to all: few enough for a phone, and the last one is always there."""
ROW_PX, CLOSE_ROW_PX = 30, 24
"""Height of a row of a chart with one row for each apiary, in pixels: where there are few, and where there are many."""
FEW_ROWS = 20
NOTEBOOK_PX = 640
"""Width of a chart in a notebook; a page makes it as wide as its place (in JupyterLab that never comes to rest)."""
TITLE_CHARS = 64
"""Where a chart's title breaks in a notebook; a page sets the title itself."""

AXIS = {
    "labelColor": INK,
    "labelFontSize": 13,
    "labelFont": FONT,
    "titleFont": FONT,
    "titleFontSize": 13,
    "titleFontWeight": "normal",
    "titleColor": QUIET,
    "domainColor": QUIET,
    "tickColor": QUIET,
    "gridColor": HAIRLINE,
    "labelLimit": 150,
    "labelLineHeight": 15,
}
CONFIG: dict[str, Any] = {
    "background": "transparent",
    "font": FONT,
    "view": {"stroke": None},
    "axis": AXIS,
    "axisQuantitative": {"tickCount": 5, "labelOverlap": "greedy", "labelSeparation": 6},
    "numberFormat": ",.12~g",
    "text": {"font": FONT, "fontSize": 13, "color": INK},
    "title": {
        "font": FONT,
        "subtitleFont": FONT,
        "anchor": "start",
        "fontSize": 16,
        "subtitleFontSize": 13,
        "color": INK,
        "subtitleColor": QUIET,
        "offset": 12,
    },
    "legend": {"orient": "top", "labelFontSize": 13, "titleFontSize": 13, "labelLimit": 260, "title": None},
}


def rows_px(count: int, *, more: int = 0) -> int:
    """Height of `count` rows of a chart, in pixels; many stand closer, so that they still fit on one sheet of paper.

    Examples
    --------
    >>> rows_px(10), rows_px(60), rows_px(10, more=8)
    (300, 1440, 380)
    """
    return count * ((ROW_PX if count <= FEW_ROWS else CLOSE_ROW_PX) + more)


def finish(chart: Any, title: str, subtitle: str, says: str) -> alt.LayerChart:
    """A chart ready to be shown: titled, and with what it shows told in words.

    Parameters
    ----------
    chart : altair chart
        Layers or a single one.
    title : str
        The finding, or the question when there is none.
    subtitle : str
        How to read the marks, with units.
    says : str
        The text alternative: what the chart shows.
    """
    heading = alt.TitleParams(text=wrap(title, TITLE_CHARS), subtitle=wrap(subtitle, TITLE_CHARS + 16))
    titled = chart.properties(title=heading, description=says, width=NOTEBOOK_PX)
    return cast(alt.LayerChart, titled.configure(**CONFIG))
