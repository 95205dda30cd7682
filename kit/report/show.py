"""What a cell of a notebook shows: a note, a numbered list of sentences, points. All text from cells is escaped."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import altair as alt

MIME = "application/vnd.vegalite.v5+json"
"""What JupyterLab draws and the pages read."""
SCHEMA = "https://vega.github.io/schema/vega-lite/v5.20.1.json"
"""Names the grammar in the saved chart; nothing fetches it."""


def quoted(text: str) -> str:
    """Text as HTML, words of the record sheets in backticks set apart; everything else in it is inert.

    Examples
    --------
    >>> quoted("write `strips out`, not <b>")
    'write <code>strips out</code>, not &lt;b&gt;'
    """
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", escape(text))


@dataclass(frozen=True)
class Note:
    """A sentence that stands where a chart or table would, when there is nothing to draw."""

    text: str

    def _repr_html_(self) -> str:
        return f'<p class="note">{quoted(self.text)}</p>'

    def __repr__(self) -> str:
        return self.text


@dataclass(frozen=True)
class Said:
    """Sentences in their order, each with a link to what it stands on.

    Parameters
    ----------
    sentences : sequence of (text, why)
        `why` the anchor of a section, '' for none.
    places : mapping
        Anchor to address; a sentence whose anchor is not in it gets no link.
    ask : str
        What the link says.
    lang : str
        Code of the language, '' for that of the page.
    """

    sentences: Sequence[tuple[str, str]]
    places: Mapping[str, str]
    ask: str = "why?"
    lang: str = ""

    def _repr_html_(self) -> str:
        lang = f' lang="{escape(self.lang)}"' if self.lang else ""
        return f'<ol class="said"{lang}>{"".join(self._item(text, why) for text, why in self.sentences)}</ol>'

    def _item(self, text: str, why: str) -> str:
        place = self.places.get(why, "")
        link = (
            f' <a class="why" href="{escape(place)}" aria-label="{escape(f"{self.ask} {why}")}">{escape(self.ask)}</a>'
            if place
            else ""
        )
        return f"<li>{quoted(text)}{link}</li>"

    def __repr__(self) -> str:
        return "\n".join(f"{n}. {text}" for n, (text, _) in enumerate(self.sentences, 1))


@dataclass(frozen=True)
class Listed:
    """Plain points of one kind, such as the cautions."""

    points: Sequence[str]
    kind: str = "points"
    last: str = ""

    def _repr_html_(self) -> str:
        items = "".join(f"<li>{_led(point)}</li>" for point in self.points)
        last = f"<p>{escape(self.last)}</p>" if self.last else ""
        return f'<div class="{self.kind}"><ul>{items}</ul>{last}</div>'

    def __repr__(self) -> str:
        return "\n".join([*(f"- {point}" for point in self.points), self.last])


def _led(point: str) -> str:
    """A point whose lead, up to the first colon, stands out."""
    lead, colon, rest = point.partition(": ")
    return f"<strong>{escape(lead)}:</strong> {escape(rest)}" if colon and len(lead) < 40 else escape(point)


def bundle(chart: alt.TopLevelMixin) -> dict[str, Any]:
    """A chart by media type, as the renderer would show it."""
    return _bundle(chart.to_dict())


def _bundle(spec: dict[str, Any], **_: Any) -> dict[str, Any]:
    return {MIME: slim(spec) | {"$schema": SCHEMA}, "text/plain": spec.get("description", "a chart")}


def slim(spec: dict[str, Any]) -> dict[str, Any]:
    """The chart with only the columns that it draws or tells, numbers no finer than four digits."""
    grammar = json.dumps({key: value for key, value in spec.items() if key != "datasets"})
    used = set(re.findall(r"\w+", grammar))
    datasets = {
        name: [{key: _short(value) for key, value in row.items() if key in used} for row in rows]
        for name, rows in spec.get("datasets", {}).items()
    }
    return spec | {"datasets": datasets}


def _short(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.4g}")
    return value.removesuffix("T00:00:00") if isinstance(value, str) else value


def enable() -> None:
    """Make altair show charts in the form that JupyterLab draws, papermill keeps, and the pages read."""
    if "kit" not in alt.renderers.names():
        alt.renderers.register("kit", _bundle)
    alt.renderers.enable("kit")
    alt.data_transformers.disable_max_rows()
