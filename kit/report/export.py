"""Executed notebooks as pages: one file each, words before charts, no network, nothing that a cell's text could start.

A page holds Vega, Vega-Lite and Vega-Embed once and each chart as JSON beside the words that say what it shows. A
content-security policy in the page forbids every request and every script but the two whose hashes it names.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from html import escape
from importlib.resources import files
from typing import Any

import mistune
from jinja2 import Environment, PackageLoader, select_autoescape

from kit.report.bundle import vega_bundle
from kit.report.show import MIME

TEMPLATES = "templates"
PAPERMILL_SAYS = "papermill-error-cell-tag"
"""Tag of the cells that papermill puts into a notebook that failed."""
OPENING = "setup"
"""Id of the cell that opens the data; what it shows, the head of a page says."""


@dataclass(frozen=True)
class Link:
    """A way from one page to another."""

    text: str
    href: str


@dataclass(frozen=True)
class Sheet:
    """What a page says about itself.

    Parameters
    ----------
    title : str
        The heading and the name of the window.
    kicker : str
        The line above it: whose, which season.
    aside : str
        The day of the records and the rows set aside, in words.
    up : str
        The way to OUT, such as `../../`.
    links : sequence of Link
        To the pages beside it; the first leads home.
    made : str
        When and from what it was made.
    notebook : str
        Address of the executed notebook, '' for none.
    made_from : str
        Digest of what the page is made from, '' when it is to be made anew each time.
    """

    title: str
    kicker: str
    aside: str
    up: str = ""
    links: Sequence[Link] = ()
    made: str = ""
    notebook: str = ""
    made_from: str = ""


@dataclass
class _Charts:
    """The charts of one page as they are met."""

    ids: list[str] = field(default_factory=list)

    def figure(self, spec: Mapping[str, Any]) -> str:
        chart = {key: value for key, value in spec.items() if key != "$schema"}
        chart["width"] = "container"
        title = chart.pop("title", {})
        says = str(chart.get("description", ""))
        name = f"chart-{len(self.ids) + 1}"
        self.ids.append(name)
        return (
            templates()
            .get_template("figure.html.j2")
            .render(
                id=name,
                title=_joined(title, "text"),
                subtitle=_joined(title, "subtitle"),
                says=says,
                spec=inert_json(chart),
            )
        )


@dataclass
class _Section:
    """A question of a page with what answers it."""

    anchor: str = "answers"
    heading: str = ""
    parts: list[str] = field(default_factory=list)


def page_of(notebook: Mapping[str, Any], sheet: Sheet) -> str:
    """The HTML page of an executed notebook.

    Parameters
    ----------
    notebook : nbformat notebook
        Executed.
    sheet : Sheet
        What the page says about itself; its title takes the place of the notebook's.

    Returns
    -------
    str
        One whole HTML file.
    """
    charts, sections, lead = _Charts(), [_Section()], ""
    for cell in _up_to_a_fault(notebook["cells"]):
        heading, text = _heading(cell["source"]) if cell["cell_type"] == "markdown" else ("", "")
        if heading.startswith("# "):
            lead = markdown(f"{heading[2:]} {text}")
        elif cell["cell_type"] == "markdown":
            sections.append(_Section(cell.get("id", ""), heading.lstrip("# "), [markdown(text)]))
        else:
            shown = [o for o in cell["outputs"] if cell.get("id") != OPENING or o["output_type"] == "error"]
            told = [_output(output, charts) for output in shown]
            sections[-1].parts.extend(part for part in told if part not in sections[-1].parts)
    return render("page.html.j2", sheet, lead=lead, sections=sections, charts=bool(charts.ids))


def _up_to_a_fault(cells: Sequence[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    """The cells up to the one that failed, without what papermill puts before it: the page says it in its own words."""
    for cell in cells:
        if PAPERMILL_SAYS not in cell["metadata"].get("tags", []):
            yield cell
        if any(output["output_type"] == "error" for output in cell.get("outputs", [])):
            return


def render(template: str, sheet: Sheet, **parts: Any) -> str:
    """A page from one of the packaged templates.

    Parameters
    ----------
    template : str
        Name of the file among the templates.
    sheet : Sheet
        What the page says about itself.
    **parts
        What the template asks for; `charts` true when it draws.
    """
    scripts = [vega_bundle()] * bool(parts.get("charts")) + [asset("page.js")]
    policy = "; ".join(
        [
            "default-src 'none'",
            "style-src 'unsafe-inline'",
            "img-src data:",
            f"script-src {' '.join(_hash(script) for script in scripts)}",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )
    return (
        templates()
        .get_template(template)
        .render(sheet=sheet, policy=policy, css=asset("page.css"), scripts=scripts, **parts)
    )


def markdown(text: str) -> str:
    """Markdown of a notebook as HTML; HTML in it is shown, not obeyed."""
    return str(_markdown()(text))


def inert_json(value: Any) -> str:
    """JSON that may stand in a script element: it holds no `<`, so nothing in it can end the element.

    Examples
    --------
    >>> inert_json({"name": "</script>"})
    '{"name":"\\\\u003c/script>"}'
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


@cache
def templates() -> Environment:
    """The packaged templates; every value put into them is escaped."""
    made = Environment(
        loader=PackageLoader("kit.report", TEMPLATES),
        autoescape=select_autoescape(default=True, default_for_string=True),
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["css_text"] = css_text
    return made


def css_text(text: str) -> str:
    """Text inside a quoted string of a style sheet: whatever could end the string is written by its number.

    Examples
    --------
    >>> print(css_text('Bee "Co"').rstrip())
    Bee \\22 Co\\22
    """
    return "".join(one if one.isalnum() or one == " " else f"\\{ord(one):x} " for one in text)


@cache
def asset(name: str) -> str:
    """A packaged style or script as text."""
    return (files("kit.report") / TEMPLATES / name).read_text(encoding="utf-8")


@cache
def _markdown() -> mistune.Markdown:
    return mistune.create_markdown(escape=True)


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def _heading(source: str) -> tuple[str, str]:
    first, _, rest = source.partition("\n")
    return (first, rest.strip()) if first.startswith("#") else ("", source)


def _output(output: Mapping[str, Any], charts: _Charts) -> str:
    if output["output_type"] == "error":
        return (
            f'<p class="note failed">This page stopped here: {escape(output["evalue"])}. '
            f"The notebook named at the foot holds the whole error ({escape(output['ename'])}); "
            "run again when its cause is gone.</p>"
        )
    if output["output_type"] == "stream":
        return f"<pre>{escape(output['text'])}</pre>" if output["name"] == "stdout" else ""
    data = output["data"]
    if MIME in data:
        return charts.figure(data[MIME])
    if "text/html" in data:
        return f'<div class="shown">{data["text/html"]}</div>'
    return f"<pre>{escape(data.get('text/plain', ''))}</pre>"


def _joined(title: Any, part: str) -> str:
    """A chart's title in one line: a page wraps it by itself."""
    text = title.get(part, "") if isinstance(title, Mapping) else (title if part == "text" else "")
    return " ".join(text) if isinstance(text, list) else str(text)
