"""A panel on a page: controls above, sentences and charts below, redrawn as the newest values are answered.

Sentences and charts are ordinary outputs of the cell, put in place of the last ones: a saved notebook, an export and a
run without a browser hold the last state like any other result.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any
from uuid import uuid4

import altair as alt
import IPython.display
import pandas as pd

from kit.errors import KitError
from kit.panels.controls import Controls, widgets
from kit.panels.fields import Field, Values, starting
from kit.panels.latest import Latest
from kit.panels.look import NAMES, STYLE, WIDE_PX
from kit.panels.saved_page import saved_page
from kit.report import show
from kit.report.cautions import deference, sublimation_cautions
from kit.report.show import Listed
from kit.report.words.trying import trying
from kit.report.write import write_text

_output: Any = IPython.display  # ships no types

QUIET = {"actions": False}
"""No menu on a chart that is redrawn: each menu would leave a listener, and with it the chart, behind in the page."""
QUICK_ANSWERS = 3
"""Sentences, what was tried, and the first chart."""
HOLD_S = 0.25
"""How long a control waits for its answer before it takes the next move [s]."""


@dataclass(frozen=True)
class Answer:
    """Something to show in one place of the panel: a chart, a table, or sentences."""

    place: str
    shown: Any


@dataclass(frozen=True)
class Words:
    """Sentences that answer, the first one large.

    Parameters
    ----------
    sentences : sequence of str
        The finding first.
    minds : sequence of str
        What to mind about it.
    """

    sentences: Sequence[str]
    minds: Sequence[str] = ()

    def _repr_html_(self) -> str:
        first, *rest = (escape(said) for said in self.sentences)
        mind = escape(trying()("panel.mind"))
        minds = "".join(f'<p style="margin:2px 0"><strong>{mind}</strong> {escape(m)}</p>' for m in self.minds)
        return (
            f'<div role="status" style="max-width:60em"><p style="font-size:17px;margin:6px 0 2px"><strong>{first}'
            f'</strong></p><p style="margin:2px 0">{" ".join(rest)}</p>{minds}</div>'
        )

    def __repr__(self) -> str:
        return "\n".join([*self.sentences, *self.minds])


@dataclass(frozen=True)
class Tool:
    """A button of a panel's own."""

    label: str
    act: Callable[[Panel], str]
    """Does it and says what was done."""


@dataclass(frozen=True)
class Question:
    """What a panel asks and how it is answered.

    Parameters
    ----------
    notebook : str
        Name of the notebook, for the parameters.
    context : mapping
        Parameters that are no controls, such as the folder.
    fields : sequence of Field
        The controls.
    recorded : callable
        From an apiary ('' or '-' for none) to a value for every field.
    refused : callable
        From values that are each within bounds to sentences by field: pairs that cannot go together.
    answers : callable
        From values to answers, quick ones first, one for each place at least.
    assumes : sequence of str
        What is taken for granted.
    data : str
        A sentence on where the numbers are from.
    tools : sequence of Tool
        Buttons beside reset.
    above : widget
        Shown over the buttons, or None.
    """

    notebook: str
    context: Mapping[str, Any]
    fields: Sequence[Field]
    recorded: Callable[[str], Values]
    refused: Callable[[Values], Mapping[str, str]]
    answers: Callable[[Values], Iterator[Answer]]
    assumes: Sequence[str]
    data: str
    source: str = "apiary"
    hidden: Callable[[Values], frozenset[str]] = lambda _: frozenset()
    jurisdiction: str = ""
    tools: Sequence[Tool] = ()
    above: Any = None


@dataclass
class Panel:
    """A question on a page. `values` are the last ones that could be taken."""

    question: Question
    given: Values
    values: dict[str, Any] = field(init=False)

    def __post_init__(self) -> None:
        asked, say = self.question, trying()
        source = str(self.given.get(asked.source, ""))
        begin = starting(asked.fields, asked.recorded(source), self.given)
        self.controls = Controls(asked.fields, begin, self._moved)
        self.values = begin
        self._latest: Latest[dict[str, Any], Answer] = Latest(
            self._answers, self._show, self._failed, quick=QUICK_ANSWERS, rested=lambda: self._working(False)
        )
        self._ids: dict[str, str] = {}
        self._standing: dict[str, Any] = {}
        self._state, self._said = widgets.HTML(""), widgets.HTML("")
        self._parameters = widgets.Textarea(
            description=say("panel.parameters"), rows=4, style={"description_width": "initial"},
            layout=widgets.Layout(width=f"{WIDE_PX}px"), continuous_update=False,
        )  # fmt: skip
        self._parameters.add_class("kit-typed")
        self.controls.hide(asked.hidden(begin))
        self.page = widgets.VBox(
            [widgets.HTML(STYLE), self.controls.box, *self._buttons(), self._state, self._said, self._parameters]
        )
        self.page.add_class("kit-panel")

    def show(self) -> None:
        """Put controls and the first answer on the page; returns when the answer stands."""
        show.enable()
        _output.display(self.page)
        _output.display(_output.Javascript(NAMES % trying().file["panel"]["slider"]))
        problems = self._problems(self.values)
        if problems:
            self.controls.complain(problems)
            raise KitError(" ".join(problems.values()))
        self._write_parameters()
        for answer in self.question.answers(self.values):
            self._show(answer)
        self._show(self._tried(self.values))

    def ask(self) -> None:
        """Answer what stands in the controls, or say why not."""
        values = self.controls.values()
        problems = self._problems(values)
        self.controls.hide(self.question.hidden(values))
        self.controls.complain(problems)
        self.say("")
        if problems:
            self._halt("panel.not_tried")
            return
        self.values = values
        self._write_parameters()
        self._latest.ask(values)
        if not self._latest.wait(HOLD_S):
            self._working(True)
            self._working(self._latest.busy)  # it may have come to rest while that was written

    def say(self, words: str) -> None:
        """What was done, or why not: a line under the buttons, until the next move."""
        self._said.value = _line(words)

    def assumptions(self) -> Listed:
        """What is taken for granted."""
        return Listed(self.question.assumes, last=self.question.data)

    def cautions(self) -> Listed:
        """What can hurt, and who decides."""
        return Listed(sublimation_cautions(), "cautions", deference(self.question.jurisdiction))

    def parameters(self) -> str:
        """What was tried, as a file of parameters that papermill takes."""
        return written(self.question, self.values)

    def _problems(self, values: Values) -> Mapping[str, str]:
        alone = {f.name: said for f in self.question.fields if (said := f.refuse(values[f.name]))}
        return alone or self.question.refused(values)

    def _moved(self, name: str) -> None:
        if name == self.question.source:
            self._reset()
        else:
            self.ask()

    def _reset(self, _: Any = None) -> None:
        source = str(self.controls.values().get(self.question.source, ""))
        self.controls.set(self.question.recorded(source))
        self.ask()

    def _stop(self, _: Any = None) -> None:
        self._halt("panel.stopped")

    def _halt(self, said: str) -> None:
        self._latest.stop()
        self._working(False)
        self.say(trying()(said))

    def _working(self, busy: bool) -> None:
        """A line of its own, which nothing else that is said takes away."""
        self._state.value = _line(trying()("panel.working") if busy else "")

    def _save(self, _: Any = None) -> None:
        path = free(Path(f"{self.question.notebook}-tried.yaml"))
        write_text(path, self.parameters())
        self.say(trying()("panel.saved", path=path, book=self.question.notebook, stem=path.stem))

    def _save_page(self, _: Any = None) -> None:
        path, lists = free(Path(f"{self.question.notebook}.html")), [self.assumptions(), self.cautions()]
        write_text(path, saved_page(self.question.notebook, self._standing, lists))
        self.say(trying()("panel.page_saved", path=path))

    def _buttons(self) -> list[Any]:
        def button(label: str, act: Callable[[Any], None]) -> Any:
            made = widgets.Button(description=label, layout=widgets.Layout(width="auto"))
            made.on_click(act)
            return made

        def acting(tool: Tool) -> Callable[[Any], None]:
            return lambda _: self.say(tool.act(self))

        say = trying()

        row = [
            button(say("panel.reset"), self._reset),
            button(say("panel.stop"), self._stop),
            *(button(tool.label, acting(tool)) for tool in self.question.tools),
            button(say("panel.save"), self._save),
            button(say("panel.save_page"), self._save_page),
        ]
        wrap = widgets.Layout(flex_flow="row wrap", align_items="flex-start")
        above = [] if self.question.above is None else [self.question.above]
        return [*above, widgets.HBox(row, layout=wrap)]

    def _write_parameters(self) -> None:
        self._parameters.value = self.parameters()

    def _answers(self, values: dict[str, Any]) -> Iterator[Answer]:
        answers = self.question.answers(values)
        yield next(answers)
        yield self._tried(values)
        yield from answers

    def _show(self, answer: Answer) -> None:
        shown = self._standing[answer.place] = _headed(answer.shown)
        plain: dict[str, Any] = {}
        if isinstance(shown, alt.TopLevelMixin):
            shown, plain = show.bundle(shown), {"raw": True, "metadata": {show.MIME: {"embed_options": QUIET}}}
        if answer.place in self._ids:
            _output.update_display(shown, display_id=self._ids[answer.place], **plain)
            return
        self._ids[answer.place] = f"{self.question.notebook}-{answer.place}-{uuid4().hex[:8]}"
        _output.display(shown, display_id=self._ids[answer.place], **plain)

    def _failed(self, error: Exception) -> None:
        self.say(str(error) if isinstance(error, KitError) else trying()("panel.failed", error=error))

    def _tried(self, values: Values) -> Answer:
        say, hidden = trying(), self.question.hidden(values)
        told = [(f.said.label, f.told(values[f.name])) for f in self.question.fields if f.name not in hidden]
        tried = "; ".join(say("panel.tried_one", label=label, value=value) for label, value in told)
        said = say("panel.tried", values=tried, data=self.question.data)
        return Answer("tried", Tried(said, written(self.question, values)))


def written(question: Question, values: Values) -> str:
    """Values as a file of parameters that papermill takes."""
    plain = dict(question.context) | {f.name: f.written(values[f.name]) for f in question.fields}
    return parameter_lines(plain)


def parameter_lines(values: Values) -> str:
    """Plain values by name, one to a line: YAML, as papermill reads it.

    Examples
    --------
    >>> parameter_lines({"rounds": 3, "seal": "good"})
    'rounds: 3\\nseal: "good"\\n'
    """
    return "".join(f"{name}: {json.dumps(value, ensure_ascii=False)}\n" for name, value in values.items())


@dataclass(frozen=True)
class Tried:
    """What the answers above it answer for; in a saved copy the only trace of the controls."""

    said: str
    parameters: str

    def _repr_html_(self) -> str:
        return f'<p style="color:#57606a;font-size:12px;line-height:1.3;max-width:60em">{escape(self.said)}</p>'

    def __repr__(self) -> str:
        return f"{self.said}\n{self.parameters}"


def _headed(shown: Any) -> Any:
    """A table with one row of headings, that of its first column among them; anything else as it is."""
    if not isinstance(shown, pd.DataFrame):
        return shown
    return shown.rename_axis(index=None, columns=str(shown.index.name))


def _line(words: str) -> str:
    return f'<p role="status" style="margin:2px 0">{escape(words)}</p>' if words else ""


def free(path: Path) -> Path:
    """The path, or the first like it with a number that is not taken."""
    n, found = 1, path
    while found.exists():
        n += 1
        found = path.with_name(f"{path.stem}-{n}{path.suffix}")
    return found
