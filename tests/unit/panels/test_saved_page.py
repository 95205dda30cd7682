"""A panel's page saved: one file with what was tried, what was taken for granted, and what can hurt."""

from __future__ import annotations

import altair as alt
import pandas as pd

from kit.panels.saved_page import saved_page
from kit.report.cautions import deference, sublimation_cautions
from kit.report.show import Listed


def test_it_holds_the_answers_the_assumptions_and_the_cautions() -> None:
    chart = alt.Chart(pd.DataFrame({"day": [1, 2]}), description="Two days.").mark_point().encode(x="day:Q")
    table = pd.DataFrame({"rounds": [3]})
    lists = [Listed(["the law of the mites"], "assumed", "nothing else"),
             Listed(sublimation_cautions(), "cautions", deference())]  # fmt: skip
    html = saved_page("try_rounds", {"chart": chart, "table": table}, lists)
    assert html.count("<!doctype html>") == 1
    for said in ("Two days.", "<td>3</td>", "the law of the mites", "What can hurt?"):
        assert said in html
