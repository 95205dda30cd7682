"""From a moved slider to the redrawn chart, against a bare `interact` with a chart of the same size, in one run."""

from __future__ import annotations

import shutil
from pathlib import Path
from statistics import median

import pytest
from playwright.sync_api import Browser

from kit.panels.own import own
from tests.browser.notebooks import jupyterlab, laptop, notebook_of, opened

pytestmark = [pytest.mark.long, pytest.mark.xdist_group("panels")]
DEMO = Path(__file__).parents[2] / "data_demo" / "minimum"
MOST = 1.5
ROUNDS = """from kit.panels import rounds
panel = rounds.panel({"folder": "records"})
panel.show()"""
BARE_ROUNDS = """from IPython.display import display
from ipywidgets import interact
from kit.panels.rounds_chart import course_chart
from kit.panels.rounds import Mine, brood_of, own, series_of
from kit.calc.series import left_by
values, mine = panel.values, Mine(own("records"))
left = left_by(series_of(values), mites=mine.spread(values), brood=brood_of(values), next_season=mine.next_season)
def draw(k=3):
    display(course_chart(left, series_of(values | {"rounds": k})))
interact(draw, k=(1, 12))"""
YEAR = """from kit.panels import mite_year
panel = mite_year.panel({"folder": "records"})
panel.show()"""
BARE_YEAR = """year, tried = mite_year.Mine(own("records")), panel.values
run, winter = year.run(tried)
def draw_year(k=3):
    display(mite_year.year_chart(run, mite_year.treatments_of(tried), year.winter_bees, year.limits, []))
interact(draw_year, k=(1, 12))"""
POWER = """from kit.panels import power
panel = power.panel({"folder": "records"})
panel.show()"""
BARE_POWER = """given, gear = panel.values, power.gear_of(panel.values)
now = power.at_power(gear.sublimator, gear.power_w, air_c=8, minutes_per_colony=3)
doses = power.doses_of(gear, now, given)
visit = power.discharge(gear.battery, gear.inverter, gear.sublimator, air_c=8, minutes_per_colony=3, colonies=20,
                        step_s=power.STEP_S)
def draw_charge(k=3):
    display(power.charge_chart(visit, gear.battery, doses))
interact(draw_charge, k=(1, 12))"""
CELLS = (ROUNDS, BARE_ROUNDS, YEAR, BARE_YEAR, POWER, BARE_POWER)
REDRAWN = """async ([root, place, handle, moves, rest]) => {
  const box = document.querySelectorAll(root)[place];
  const grip = [...box.querySelectorAll('.noUi-handle')].filter((one) => one.offsetParent).at(handle);
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
    await new Promise((r) => setTimeout(r, rest));
  }
  return took;
}"""
SLIDERS = {"rounds": (0, 1), "days between": (0, 2), "dose": (0, 3), "mites on 1 April": (1, -1), "air": (2, 1)}
"""Sliders: which panel, and which of those that stand on it, by their places."""
TURNS, MOVES, REST_MS = 3, 4, 250


def test_a_moved_slider_redraws_within_one_and_a_half_times_a_bare_interact(tmp_path: Path, browser: Browser) -> None:
    shutil.copytree(DEMO, tmp_path / "records")
    _ = own(str(tmp_path / "records")).review  # read once; the kernel finds it in the cache
    (tmp_path / "speed.ipynb").write_text(notebook_of(*CELLS), encoding="utf-8")
    took: dict[str, list[float]] = {name: [] for name in (*SLIDERS, "bare 0", "bare 1", "bare 2")}
    with (
        laptop(browser) as screen,
        jupyterlab(tmp_path, tmp_path / "settings") as running,
        opened(screen, running, "speed") as seen,
    ):
        seen.run_all()
        seen.until("() => document.querySelectorAll('.widget-interact canvas').length === 3")
        seen.at_rest()
        for _ in range(TURNS):  # in turns, so that a busy machine is busy for all
            for name, (panel, handle) in SLIDERS.items():
                took[name] += seen.page.evaluate(REDRAWN, [".kit-panel", panel, handle, MOVES, REST_MS])
            for panel in range(3):
                took[f"bare {panel}"] += seen.page.evaluate(REDRAWN, [".widget-interact", panel, 0, MOVES, REST_MS])
    bare = [median(took[f"bare {panel}"]) for panel in range(3)]
    ratios = {name: median(took[name]) / bare[panel] for name, (panel, _) in SLIDERS.items()}
    print(f"bare interact {', '.join(f'{ms:.0f}' for ms in bare)} ms;", *(f"{n} {r:.2f}" for n, r in ratios.items()))
    assert max(ratios.values()) <= MOST
