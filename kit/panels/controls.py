"""The controls of a panel: each can be typed and dragged, says its unit and bounds, and why a value is refused."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from html import escape
from typing import Any

import ipywidgets

from kit.panels.fields import Choice, Day, Field, Number, Text, Values
from kit.panels.look import BOX_PX, CHOICE_PX, SLIDER_PX, WIDE_PX
from kit.report.words.trying import trying

Widget = Any
widgets: Any = ipywidgets  # ships no types
DECIMALS = 6
"""Of a step: a browser reckons 0.1 + 0.2 as everybody does."""
MORE_NAMED = 5
"""How many controls a button that shows them names."""


class Controls:
    """A row for each field; those marked `more` are shown when asked for.

    Parameters
    ----------
    fields : sequence of Field
        In their order.
    values : mapping
        To begin with.
    moved : callable
        Called with the field's name after the user changed it.
    """

    def __init__(self, fields: Sequence[Field], values: Values, moved: Callable[[str], None]) -> None:
        self._moved = moved
        self._setting = False
        self._rows = {field.name: _Row(field, values[field.name], self._changed) for field in fields}
        usual = _paired([self._rows[field.name] for field in fields if not field.more])
        more = [field for field in fields if field.more]
        self._more = _More(more, _paired([self._rows[field.name] for field in more])) if more else None
        self.box = widgets.VBox([*usual, *(self._more.parts if self._more else [])])

    def values(self) -> dict[str, Any]:
        """What stands in the controls, checked or not."""
        return {name: row.value for name, row in self._rows.items()}

    def set(self, values: Values) -> None:
        """Put values in without calling `moved`."""
        self._setting = True
        try:
            for name, value in values.items():
                self._rows[name].put(value)
        finally:
            self._setting = False

    def hide(self, names: frozenset[str]) -> None:
        """Show every control but these."""
        for name, row in self._rows.items():
            row.box.layout.display = "none" if name in names else "flex"
        if self._more is not None:
            self._more.without(names)

    def complain(self, problems: Mapping[str, str]) -> None:
        """Say beside each control why its value is refused; nothing where none is given."""
        for name, row in self._rows.items():
            row.complain(problems.get(name, ""))
        if self._more is not None and not self._more.names.isdisjoint(problems):
            self._more.open()

    def _changed(self, name: str) -> None:
        if not self._setting:
            self._moved(name)


class _More:
    """Controls behind a button that names them."""

    def __init__(self, fields: Sequence[Field], boxes: Sequence[Widget]) -> None:
        self.names = frozenset(field.name for field in fields)
        self._fields = fields
        self._labels = ""
        self._button = widgets.Button(layout=widgets.Layout(width=f"{WIDE_PX}px"))
        self._button.add_class("kit-more")
        self._box = widgets.VBox(list(boxes))
        self.parts = [self._button, self._box]
        self._button.on_click(lambda _: self._show(self._box.layout.display == "none"))
        self._show(False)
        self.without(frozenset())

    def without(self, names: frozenset[str]) -> None:
        """Name every control but these."""
        labels = [field.said.label for field in self._fields if field.name not in names]
        self._labels = " · ".join(labels[:MORE_NAMED])
        if left := len(labels[MORE_NAMED:]):
            self._labels = trying()("panel.more_of_them", labels=self._labels, n=left)
        self._show(self._box.layout.display != "none")

    def open(self) -> None:
        """Show them."""
        self._show(True)

    def _show(self, shown: bool) -> None:
        self._box.layout.display = "flex" if shown else "none"
        self._button.description = trying()("panel.fewer" if shown else "panel.more", labels=self._labels)
        self._button.icon = "chevron-up" if shown else "chevron-down"


class _Row:
    """A control to type into, one to drag where there is a range, and the words beside them."""

    def __init__(self, field: Field, value: Any, changed: Callable[[str], None]) -> None:
        self.field, self._changed, self._following = field, changed, False
        self._typed = _typed(field, value)
        self._slider = None if field.beside else _slider(field, value)
        self._typed.add_class("kit-typed")
        self._refused = widgets.HTML("")
        self.box = widgets.VBox([self._line(), self._refused])
        self._typed.observe(self._on_typed, "value")
        if self._slider is not None:
            self._slider.observe(self._on_dragged, "value")

    def _line(self) -> Widget:
        """Words beside what is typed, under the slider where there is one; below a long line of words."""
        why = widgets.HTML(_why(self.field))
        right = widgets.VBox([why] if self._slider is None else [self._slider, why])
        right.add_class("kit-beside")
        if self.field.beside:
            line = widgets.HBox([self._typed])
        else:
            line = (
                widgets.VBox([self._typed, why]) if isinstance(self.field, Text) else widgets.HBox([self._typed, right])
            )
        line.add_class("kit-row")
        return line

    @property
    def value(self) -> Any:
        value = self._typed.value
        if isinstance(self.field, Number) and self.field.whole and float(value).is_integer():
            return int(value)
        return value

    def put(self, value: Any) -> None:
        self._typed.value = value

    def complain(self, problem: str) -> None:
        said = f'<p role="alert" class="kit-refused">{escape(problem)}</p>'
        self._refused.value = said if problem else ""

    def _on_typed(self, change: Any) -> None:
        if self._following:
            return
        self._follow(self._slider, change["new"])
        self._changed(self.field.name)

    def _on_dragged(self, change: Any) -> None:
        if self._following:
            return
        if self._stands(change["new"]):
            return
        self._follow(self._typed, _within(self.field, change["new"], change["new"]))
        self._changed(self.field.name)

    def _stands(self, value: Any) -> bool:
        """Whether the browser has only told, a rounding off, where the handle was put."""
        put = _within(self.field, self._typed.value, value)
        near = isinstance(self.field, Number) and abs(value - put) < self.field.step / 100
        return bool(near or value == put)

    def _follow(self, other: Widget, value: Any) -> None:
        """The other control of the row shows the same, as far as it can."""
        if other is None:
            return
        self._following = True
        try:
            other.value = value if other is self._typed else _within(self.field, value, other.value)
        finally:
            self._following = False


def _paired(rows: Sequence[_Row]) -> list[Widget]:
    """The rows below each other, one marked `beside` on the line of the one before it."""
    lines: list[list[Widget]] = []
    for row in rows:
        if row.field.beside:
            lines[-1].append(row.box)
        else:
            lines.append([row.box])
    return [line[0] if len(line) == 1 else _pair(line) for line in lines]


def _pair(boxes: Sequence[Widget]) -> Widget:
    pair = widgets.HBox(list(boxes))
    pair.add_class("kit-pair")
    return pair


def _within(field: Field, value: Any, else_: Any) -> Any:
    """The step of a slider nearest to a value; where there is none, what it shows."""
    if isinstance(field, Number):
        if value is None or not math.isfinite(value):
            return else_
        kept = min(max(value, field.low), field.high)
        step = min(field.low + round((kept - field.low) / field.step) * field.step, field.high)
        return round(step) if field.whole else round(step, DECIMALS)
    if isinstance(field, Day):
        return min(max(value, field.low), field.high) if isinstance(value, date) else else_
    return value


def _typed(field: Field, value: Any) -> Widget:
    wide = BOX_PX if isinstance(field, Number | Day) else WIDE_PX if not isinstance(field, Choice) else CHOICE_PX
    shape: dict[str, Any] = {"layout": widgets.Layout(width=f"{wide}px", min_width=f"{wide}px")}
    shape |= {"description": field.said.full, "style": {"description_width": "initial"}, "tooltip": field.said.why}
    if isinstance(field, Number):
        return widgets.FloatText(value=value, step=field.step, **shape)
    if isinstance(field, Day):
        return widgets.DatePicker(value=value, **shape)
    if isinstance(field, Choice):
        return widgets.Dropdown(options=list(field.options), value=value, **shape)
    return widgets.Text(value=value, placeholder=field.example, continuous_update=False, **shape)


def _slider(field: Field, value: Any) -> Widget:
    drag = trying()("panel.drag", label=field.said.full)
    shape: dict[str, Any] = {"readout": False, "layout": widgets.Layout(width=f"{SLIDER_PX - 16}px"), "tooltip": drag}
    if isinstance(field, Number):
        kind = widgets.IntSlider if field.whole else widgets.FloatSlider
        step = int(field.step) if field.whole else field.step
        return kind(value=_within(field, value, field.low), min=field.low, max=field.high, step=step, **shape)
    if isinstance(field, Day):
        days = [field.low + timedelta(days=n) for n in range((field.high - field.low).days + 1)]
        shown = _within(field, value, field.low) if isinstance(value, date) else field.low
        return widgets.SelectionSlider(options=[(field.told(day), day) for day in days], value=shown, **shape)
    return None


def _why(field: Field) -> str:
    said = field.said.why
    if isinstance(field, Number):
        said = trying()("control.bounds", why=said, low=f"{field.low:g}", high=f"{round(field.high, 3):,g}")
    if isinstance(field, Day):
        low, high = (trying().date(day.isoformat()) for day in (field.low, field.high))
        said = trying()("control.bounds", why=said, low=low, high=high)
    return f'<span class="kit-why">{escape(said)}</span>'
