"""From a moved slider to the redrawn chart, against a bare `interact` with a chart of the same size, in one run."""

from __future__ import annotations

import shutil
from pathlib import Path
from statistics import median

import pytest

from kit.panels.own import own
from tests.browser.notebooks import chromium, jupyterlab, notebook_of, opened

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("browser")]
DEMO = Path(__file__).parents[2] / "data_demo" / "minimum"
MOST = 1.5
PANEL = """from kit.panels import rounds
panel = rounds.panel({"folder": "records"})
panel.show()"""
BARE = """from IPython.display import display
from ipywidgets import interact
from kit.panels.rounds_chart import course_chart
from kit.panels.rounds import Mine, brood_of, own, series_of
from kit.calc.series import left_by
values, mine = panel.values, Mine(own("records"))
left = left_by(series_of(values), mites=mine.spread(values), brood=brood_of(values), next_season=mine.next_season)
def draw(k=3):
    display(course_chart(left, series_of(values | {"rounds": k})))
interact(draw, k=(1, 12))"""
REDRAWN = """async ([root, handle, moves]) => {
  const box = document.querySelector(root), grip = box.querySelectorAll('.noUi-handle')[handle];
  const area = box.closest('.jp-Cell').querySelector('.jp-Cell-outputArea'), took = [];
  const drawn = (node) => node.nodeType === 1 && (node.tagName === 'CANVAS' || node.querySelector('canvas'));
  for (let i = 0; i < moves; i++) {
    took.push(await new Promise((resolve, reject) => {
      const start = performance.now();
      const seen = new MutationObserver((changes) => {
        if (!changes.some((c) => [...c.addedNodes].some(drawn))) return;
        seen.disconnect(); resolve(performance.now() - start);
      });
      seen.observe(area, {childList: true, subtree: true});
      grip.dispatchEvent(new KeyboardEvent('keydown', {key: i % 2 ? 'ArrowLeft' : 'ArrowRight', bubbles: true}));
      setTimeout(() => { seen.disconnect(); reject(new Error('nothing was drawn')); }, 10000);
    }));
    await new Promise((rest) => setTimeout(rest, 400));
  }
  return took;
}"""
SLIDERS = {"rounds": 1, "days between": 2, "dose": 3}
"""Sliders of the panel by their place."""


def test_a_moved_slider_redraws_within_one_and_a_half_times_a_bare_interact(tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "records")
    own(str(tmp_path / "records"))  # read once; the kernel finds it in the cache
    (tmp_path / "speed.ipynb").write_text(notebook_of(PANEL, BARE), encoding="utf-8")
    took: dict[str, list[float]] = {"bare": [], **{name: [] for name in SLIDERS}}
    with (
        chromium() as browser,
        jupyterlab(tmp_path, tmp_path / "settings") as running,
        opened(browser, running, "speed") as seen,
    ):
        seen.run_all()
        seen.page.wait_for_selector(".widget-interact canvas", timeout=60_000)
        seen.page.wait_for_timeout(1500)
        for _ in range(2):  # in turns, so that a busy machine is busy for all
            for name, place in SLIDERS.items():
                took[name] += seen.page.evaluate(REDRAWN, [".kit-panel", place, 5])
            took["bare"] += seen.page.evaluate(REDRAWN, [".widget-interact", 0, 5])
    bare = median(took["bare"])
    ratios = {name: median(took[name]) / bare for name in SLIDERS}
    print(f"bare interact {bare:.0f} ms; " + ", ".join(f"{name} {ratio:.2f}" for name, ratio in ratios.items()))
    assert max(ratios.values()) <= MOST
