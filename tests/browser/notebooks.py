"""A notebook in a real JupyterLab in a real Chromium: opened, run, its controls moved, its charts read back."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from kit.report.lab import Lab, lab

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
OFFLINE = ("--no-sandbox", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1")
LAPTOP = {"width": 1366, "height": 768}
OPTIONS = ("--LabApp.expose_app_in_browser=True", "--JupyterNotebookApp.expose_app_in_browser=True")
LAB, CLASSIC = "lab/workspaces/{name}/tree/{name}.ipynb", "notebooks/{name}.ipynb"
"""Where a notebook opens: in JupyterLab, in a workspace of its own, or in the classic view."""
READY = "window.jupyterapp && window.jupyterapp.shell.currentWidget && window.jupyterapp.shell.currentWidget.context"
# Waiting for the light that says idle is not enough: the kernel's own answer is.
RUN_ALL = """async () => {
  const app = window.jupyterapp, widget = app.shell.currentWidget;
  const run = async () => {
    await widget.context.ready; await widget.sessionContext.ready; await widget.sessionContext.session.kernel.info;
    await app.commands.execute('notebook:run-all-cells');
  };
  const late = new Promise((_, no) => setTimeout(() => no(new Error('the notebook did not run in time')), 180000));
  await Promise.race([run(), late]);
}"""
KERNEL = "window.jupyterapp.shell.currentWidget.sessionContext.session.kernel"
RESTART = f"{KERNEL}.restart()"
# Twice, for a control holds back its newest move until the one before it was taken.
AT_REST = f"""async () => {{
  for (let i = 0; i < 2; i++)
    await {KERNEL}.requestExecute({{code: 'panel._latest.wait(60)', silent: true, store_history: false}}).done;
}}"""
OUTPUTS = """() => {
  const cells = window.jupyterapp.shell.currentWidget.content.model.cells, found = [];
  for (let i = 0; i < cells.length; i++) { const outputs = cells.get(i).outputs; if (!outputs) continue;
    for (let j = 0; j < outputs.length; j++) found.push(outputs.get(j).toJSON()); }
  return found;
}"""


@dataclass
class Seen:
    """A notebook as opened, with what the browser complained of."""

    page: Page
    name: str
    errors: list[str] = field(default_factory=list)

    def run_all(self) -> None:
        """Every cell, from the kernel as it is."""
        self.page.evaluate(RUN_ALL)
        self.page.wait_for_selector(".kit-panel", state="attached", timeout=60_000)
        self.page.evaluate("document.querySelector('.kit-panel').scrollIntoView()")

    def restart(self) -> None:
        """A fresh kernel, nothing run."""
        self.page.evaluate(RESTART)

    def at_rest(self) -> None:
        """Wait until every move was taken and its answer stands."""
        self.page.evaluate(AT_REST)

    def outputs(self, kind: str) -> list[Any]:
        """What the cells show of one kind, in their order."""
        return [o["data"][kind] for o in self.page.evaluate(OUTPUTS) if kind in o.get("data", {})]

    def charts(self) -> list[dict[str, Any]]:
        """The charts as JupyterLab holds them."""
        return self.outputs("application/vnd.vegalite.v5+json")

    def words(self) -> str:
        """All that the outputs say."""
        return "\n".join(str(text) for text in self.outputs("text/html"))

    def typed(self, label: str) -> Any:
        """The control to type into with that label."""
        return self.page.locator(".kit-panel").get_by_label(label, exact=True)

    def type_in(self, label: str, text: str) -> None:
        """Type into a control and leave it."""
        box = self.typed(label)
        box.fill(text)
        box.press("Tab")

    def parameters(self) -> str:
        """What stands in the box of parameters."""
        return str(self.page.locator(".kit-panel textarea").input_value())

    def unfold(self, *, shut: bool = False) -> None:
        """Show the controls behind the button, or hide them again."""
        button, before = self.page.locator(".kit-panel .kit-more"), "Fewer" if shut else "More"
        if button.inner_text().strip().startswith(before):
            button.click()
            self.until(f"() => !document.querySelector('.kit-more').innerText.trim().startsWith('{before}')")

    def until(self, script: str, argument: Any = None) -> None:
        """Wait until something holds in the page."""
        self.page.wait_for_function(script, arg=argument, timeout=60_000)


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser that can reach this machine only."""
    if CHROMIUM is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("Chromium is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(OFFLINE))
        yield browser
        browser.close()


@contextmanager
def jupyterlab(place: Path, settings: Path) -> Iterator[Lab]:
    """JupyterLab as `season lab` starts it, with its application within reach of the test."""
    with lab(place, "", settings=settings, options=OPTIONS) as running:
        yield running


@contextmanager
def laptop(browser: Browser) -> Iterator[BrowserContext]:
    """Pages of laptop size that share what they have loaded."""
    context = browser.new_context(viewport=LAPTOP)
    yield context
    context.close()


@contextmanager
def opened(context: BrowserContext, running: Lab, name: str, view: str = LAB) -> Iterator[Seen]:
    """A notebook opened on a page of its own."""
    seen = Seen(context.new_page(), name)
    seen.page.on("pageerror", lambda error: seen.errors.append(str(error)))
    seen.page.on("requestfailed", lambda request: seen.errors.append(f"{request.url} failed"))
    seen.page.goto(running.address.replace("lab/tree/?", f"{view.format(name=name)}?"))
    seen.page.wait_for_function(READY, timeout=60_000)
    yield seen
    seen.page.close()


def notebook_of(*cells: str) -> str:
    """A notebook of code cells, as text."""
    made = [
        {"cell_type": "code", "id": f"cell-{n}", "metadata": {}, "execution_count": None, "outputs": [], "source": cell}
        for n, cell in enumerate(cells)
    ]
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return json.dumps({"cells": made, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5})
