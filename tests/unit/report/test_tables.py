"""Tables as a person reads them, and inert whatever a cell holds."""

from __future__ import annotations

import html5lib
import pandas as pd
import pytest

from kit.report import tables
from kit.report.show import Listed, Note, Said
from kit.season.findings import Findings

HOSTILE = "<img src=x onerror=alert(1)>\"'&{{7*7}}</script>"


def parsed(html: str) -> object:
    return html5lib.HTMLParser(strict=True).parse(f"<!doctype html><title>t</title><body>{html}")


def test_a_likely_range_stands_in_one_cell(review: Findings) -> None:
    html = tables.show(review, "efficacy")._repr_html_()
    assert ">62 (40–80)<" in html
    assert "efficacy_p05" not in html and "kill [%]" in html


def test_the_slice_of_one_apiary_does_not_repeat_its_name(review: Findings) -> None:
    assert "Far Meadow" not in tables.show(review.of("Far Meadow"), "timing")._repr_html_()


def test_over_many_apiaries_single_hives_are_left_to_their_own_pages(review: Findings) -> None:
    assert ">F1<" not in tables.show(review, "loads")._repr_html_()
    assert ">F1<" in tables.show(review.of("Far Meadow"), "loads")._repr_html_()


def test_an_empty_table_says_what_is_not_there(review: Findings) -> None:
    empty = Findings({}, {}, {"today": review.tables["today"][:0]})
    assert isinstance(tables.show(empty, "today"), Note)


def test_five_rows_stand_open_and_the_others_are_one_tap_away(review: Findings) -> None:
    many = Findings({}, {}, {"trips": pd.concat([review.tables["trips"]] * 9, ignore_index=True)})
    assert "The other 4" in tables.show(many, "trips")._repr_html_()


def test_what_a_page_leaves_out_of_a_long_table_it_counts(review: Findings) -> None:
    many = Findings({}, {}, {"trips": pd.concat([review.tables["trips"]] * 300, ignore_index=True)})
    html = tables.rows(many, "trips")._repr_html_()
    assert html.count("<tr>") == tables.MOST_ROWS + 1
    assert "220 rows more" in html


def test_headings_name_their_column_or_row_for_a_screen_reader(review: Findings) -> None:
    html = tables.show(review, "timing")._repr_html_()
    assert html.count('<th scope="row"') == 3
    assert "<th>" not in html and "<caption>" in html


@pytest.mark.parametrize("name", ["timing", "losses", "today", "readings", "problems", "open_points", "trips"])
def test_a_table_is_valid_html(name: str, review: Findings) -> None:
    parsed(tables.show(review, name)._repr_html_())


def test_hostile_text_is_shown_not_obeyed() -> None:
    rows = pd.DataFrame({"apiary": [HOSTILE], "what": [HOSTILE]})
    shown = (
        tables.show(Findings({}, {}, {"open_points": rows}), "open_points")._repr_html_(),
        Note(HOSTILE)._repr_html_(),
        Said([(HOSTILE, HOSTILE)], {HOSTILE: f"#{HOSTILE}"})._repr_html_(),
        Listed([HOSTILE], "points", HOSTILE)._repr_html_(),
    )
    for html in shown:
        assert "<img" not in html and "<script" not in html and "</script>" not in html
        parsed(html)


def test_a_sentence_links_only_to_what_is_there() -> None:
    html = Said([("Late.", "lateness"), ("Lost.", "nowhere")], {"lateness": "#lateness"})._repr_html_()
    assert html.count("<a ") == 1


def test_the_rows_behind_a_chart_name_the_line_they_were_read_from(review: Findings) -> None:
    read = review.tables["trips"].assign(from_file="log.csv", from_row=17)
    html = tables.rows(Findings({}, {}, {"trips": read}), "trips")._repr_html_()
    assert ">log.csv, row 17<" in html and ">record line<" in html


def test_dates_in_the_kits_own_sentences_are_said_and_a_batch_is_left_alone() -> None:
    rows = pd.DataFrame({"what": ["strips in since 2025-08-09"], "batch": ["2025-08-09"], "remedy": ["see 2025-99-99"]})
    html = tables.show(Findings({}, {}, {"open_points": rows}), "open_points")._repr_html_()
    assert "strips in since 9 Aug 2025" in html and ">2025-08-09<" in html and "see 2025-99-99" in html


def test_words_of_the_record_sheets_in_backticks_are_set_apart() -> None:
    rows = pd.DataFrame({"apiary": ["A"], "remedy": ["write `strips out`"]})
    html = tables.show(Findings({}, {}, {"open_points": rows}), "open_points")._repr_html_()
    assert "write <code>strips out</code>" in html


def test_sums_carry_their_currency_and_are_said_no_finer_than_they_are_known(plan: Findings) -> None:
    known = Findings({**plan.facts, "currency": "GBP"}, {}, {"mends": plan.tables["mends"].assign(cost=74.4639)})
    html = tables.show(known, "mends")._repr_html_()
    assert ">cost [GBP]<" in html and ">74<" in html
    assert tables.cell(-10.0) == "−10"


def test_percent_and_minutes_are_whole_from_ten_on() -> None:
    rows = pd.DataFrame({"apiary": ["A", "B"], "workable_pct": [52.8, 6.24], "minutes": [19.6, 2.81]})
    html = tables.show(Findings({}, {}, {"odds": rows}), "odds")._repr_html_()
    assert all(f">{said}<" in html for said in ("53", "6.2", "20", "2.8"))


def test_a_range_without_width_is_one_number() -> None:
    rows = pd.DataFrame({"apiary": ["A"], "extra_mites_p05": [0.0], "extra_mites_p50": [0.0], "extra_mites_p95": [0.0]})
    assert ">0<" in tables.show(Findings({}, {}, {"timing": rows}), "timing")._repr_html_()
