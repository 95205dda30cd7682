"""What was tried as a page of its own: one file, no network, its charts alive, to send, to print or to keep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt
import pandas as pd

from kit.report import show
from kit.report.export import Sheet, page_of
from kit.report.show import Listed
from kit.report.words.trying import trying


def saved_page(notebook: str, shown: Mapping[str, Any], lists: Sequence[Listed]) -> str:
    """The answers as they stand, what is taken for granted, and what can hurt.

    Parameters
    ----------
    notebook : str
        Its name.
    shown : mapping
        What stands on the panel, by place, in the order of the panel.
    lists : sequence of Listed
        Assumptions and cautions.

    Returns
    -------
    str
        One whole HTML file.
    """
    heads = trying().file["page"]
    cells = [_text(heads["answers"]), _code("answers", list(shown.values()))]
    for head, listed in zip(("assumed", "cautions"), lists, strict=True):
        cells += [_text(heads[head]), _code(head, [listed])]
    sheet = Sheet(title=heads[notebook], kicker=heads["kicker"], aside="")
    return page_of({"cells": cells}, sheet)


def _text(heading: str) -> dict[str, Any]:
    return {"cell_type": "markdown", "metadata": {}, "source": f"## {heading}"}


def _code(name: str, shown: Sequence[Any]) -> dict[str, Any]:
    outputs = [{"output_type": "display_data", "data": _bundle(one)} for one in shown]
    return {"cell_type": "code", "id": name, "metadata": {}, "source": "", "outputs": outputs}


def _bundle(shown: Any) -> dict[str, Any]:
    if isinstance(shown, alt.TopLevelMixin):
        return show.bundle(shown)
    if isinstance(shown, pd.DataFrame):
        return {"text/html": shown.to_html(border=0)}
    return {"text/html": shown._repr_html_()}
