"""Every kind of page on a phone, on a desk, without scripts and in print."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pypdf
import pytest

from kit.report.pdf import print_pages
from tests.browser.conftest import Seen

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("pages")]
Open = Callable[..., Seen]
KINDS = (
    "index.html",
    "season.html",
    "plan.html",
    "medicine_record.html",
    "numbers.html",
    "apiaries/SLUICE/review.html",
    "apiaries/SLUICE/plan.html",
    "apiaries/SLUICE/visits.html",
)
DRAWN = tuple(
    kind for kind in KINDS if kind in ("season.html", "plan.html") or kind.endswith(("review.html", "E/plan.html"))
)
every_kind = pytest.mark.parametrize("kind", KINDS)


@every_kind
@pytest.mark.parametrize("width", [390, 1280])
def test_a_page_asks_for_nothing_complains_of_nothing_and_does_not_scroll_sideways(
    kind: str, width: int, pages: Path, opened: Open
) -> None:
    seen = opened(pages / kind, width)
    assert seen.console == []
    assert seen.requests == [(pages / kind).as_uri()]
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("kind", DRAWN)
@pytest.mark.parametrize("width", [390, 1280])
def test_every_chart_is_drawn_within_its_place(kind: str, width: int, pages: Path, opened: Open) -> None:
    page = opened(pages / kind, width).page
    assert page.locator("figure.undrawn").count() == 0
    assert page.locator("figure.chart").count() == page.locator("figure.drawn svg").count() > 0
    boxes = page.evaluate(
        """[...document.querySelectorAll('figure.drawn svg')].map(
             s => [s.getBoundingClientRect().width, s.parentElement.clientWidth])"""
    )
    assert all(0.6 * place < drawn <= place + 1 for drawn, place in boxes)


@pytest.mark.parametrize("kind", DRAWN)
def test_words_in_charts_stay_legible_on_a_phone(kind: str, pages: Path, opened: Open) -> None:
    page = opened(pages / kind, 390).page
    sizes = page.evaluate(
        """[...document.querySelectorAll('figure.drawn svg text')].filter(t => t.textContent.trim())
           .map(t => parseFloat(getComputedStyle(t).fontSize) * Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b))"""
    )
    assert min(sizes) >= 11


@every_kind
def test_without_scripts_the_words_are_all_there(kind: str, pages: Path, opened: Open) -> None:
    page = opened(pages / kind, 390, scripts=False).page
    assert page.locator("h1").count() == 1
    assert all(says.is_visible() for says in page.locator("p.says").all())


@every_kind
def test_every_chart_and_link_has_a_name_for_a_screen_reader(kind: str, pages: Path, opened: Open) -> None:
    page = opened(pages / kind, 390).page
    nameless = page.evaluate(
        """[...document.querySelectorAll('[role=img]')].filter(e => !(e.getAttribute('aria-label') ||
             document.getElementById(e.getAttribute('aria-labelledby'))?.textContent || '').trim()).length
         + [...document.querySelectorAll('a')].filter(e => !e.textContent.trim()).length"""
    )
    assert nameless == 0
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3')].map(h => +h.tagName[1])")
    assert all(after - before <= 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("kind", (*KINDS, "today.html"))
def test_words_and_marks_keep_their_contrast_as_they_are_drawn(kind: str, pages: Path, opened: Open) -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11: words 4.5:1 and marks 3:1 on what lies behind them; there is one theme, light."""
    page = opened(pages / kind, 1280).page
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    assert page.evaluate(CONTRAST) == []


def test_the_check_of_contrast_sees_a_faint_word_and_a_faint_mark(pages: Path, opened: Open) -> None:
    page = opened(pages / "index.html", 1280).page
    page.evaluate(
        """document.querySelector('main').insertAdjacentHTML('beforeend', `<p style="color:#888">pale</p>
           <figure class="drawn"><svg><g class="role-mark"><path fill="#a63d0e" opacity="0.4" d="M0,0h9v9z"/></g>
           <text fill="#888">pale too</text></svg></figure>`)"""
    )
    assert [found.split(":")[0] for found in page.evaluate(CONTRAST)] == ["P", "text", "path"]


CONTRAST = """() => {
  const parse = (c) => (c.match(/[\\d.]+/g) || []).map(Number);
  const hairline = 'rgb(216, 220, 224)';
  const lum = (rgb) => rgb.slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const ground = (e) => { for (; e; e = e.parentElement) { const c = parse(getComputedStyle(e).backgroundColor);
    if (c.length === 3 || c[3] > 0) return c; } return [255, 255, 255]; };
  const faint = [];
  for (const e of document.querySelectorAll('body *:not(svg *):not(script):not(style)')) {
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()) || !e.checkVisibility()) continue;
    const [a, b] = [lum(parse(getComputedStyle(e).color)), lum(ground(e))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 4.5) faint.push(e.tagName + ': ' + e.textContent.slice(0, 40));
  }
  // A mark counts by the stronger of its line and its fill, each mixed with the ground by its opacity.
  const shown = (e, of) => { const s = getComputedStyle(e), c = parse(s[of]);
    if (c.length < 3 || (of === 'stroke' && parseFloat(s.strokeWidth) === 0)) return 1;
    const behind = ground(e.closest('figure')), part = (c[3] ?? 1) * s.opacity * s[of + 'Opacity'];
    const mixed = c.slice(0, 3).map((v, i) => v * part + behind[i] * (1 - part));
    const [a, b] = [lum(mixed), lum(behind)].sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05); };
  for (const e of document.querySelectorAll('figure svg text'))
    if (e.textContent.trim() && shown(e, 'fill') < 4.5) faint.push('text: ' + e.textContent.slice(0, 40));
  for (const e of document.querySelectorAll('figure svg .role-mark > :is(path, line, rect)'))
    if (getComputedStyle(e).stroke !== hairline && Math.max(shown(e, 'fill'), shown(e, 'stroke')) < 3)
      faint.push(e.tagName + ': ' + e.parentElement.getAttribute('class'));
  return [...new Set(faint)];
}"""


def test_a_page_can_be_used_by_keyboard_alone(pages: Path, opened: Open) -> None:
    page = opened(pages / "season.html", 390).page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_the_list_of_apiaries_can_be_searched_and_sorted(pages: Path, opened: Open) -> None:
    page = opened(pages / "index.html", 1280).page
    rows = page.locator("table.apiaries tbody tr")
    page.get_by_label("Find an apiary").fill("sluice")
    assert [row.locator("th").inner_text()[:6] for row in rows.all() if row.is_visible()] == ["SLUICE"]
    page.get_by_label("Find an apiary").fill("")
    page.get_by_role("button", name="days late").click()
    late = [int(t.replace("−", "-")) for t in page.locator(".apiaries td:nth-child(3)").all_inner_texts() if t != "–"]
    assert late == sorted(late)


def test_a_mark_tells_its_numbers_when_pointed_at(pages: Path, opened: Open) -> None:
    page = opened(pages / "season.html", 1280).page
    page.locator("figure.drawn path[aria-roledescription='point']").first.hover()
    page.wait_for_selector("#vg-tooltip-element.visible")
    assert "per 100 bees" in page.locator("#vg-tooltip-element").inner_text()


def test_every_page_prints_to_a4_with_its_words(pages: Path, tmp_path: Path) -> None:
    names = [pages / "apiaries" / "SLUICE" / name for name in ("review.html", "visits.html")]
    assert print_pages(names, lambda *_: None) == []
    for name in names:
        printed = pypdf.PdfReader(name.with_suffix(".pdf"))
        text = "".join(page.extract_text() for page in printed.pages)
        assert "SLUICE" in text and 1 <= len(printed.pages) <= 12
        assert [round(float(side)) for side in printed.pages[0].mediabox[2:]] == [595, 842]
