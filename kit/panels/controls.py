"""The controls of a panel: each can be typed and dragged, says its unit and bounds, and why a value is refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from html import escape
from typing import Any

import ipywidgets as widgets

from kit.panels.fields import Choice, Day, Field, Number, Values

Widget = Any
LABEL_PX, BOX_PX, SLIDER_PX = 210, 340, 240
SMALL = "color:#57606a;font-size:12px;line-height:1.3"


class Controls:
    """A row for each field.

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
        self.box = widgets.VBox([row.box for row in self._rows.values()])

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

    def complain(self, problems: Mapping[str, str]) -> None:
        """Say beside each control why its value is refused; nothing where none is given."""
        for name, row in self._rows.items():
            row.complain(problems.get(name, ""))

    def _changed(self, name: str) -> None:
        if not self._setting:
            self._moved(name)


class _Row:
    """A control to type into, one to drag where there is a range, and the words beside them."""

    def __init__(self, field: Field, value: Any, changed: Callable[[str], None]) -> None:
        self._field, self._changed, self._following = field, changed, False
        self._typed = _typed(field, value)
        self._slider = _slider(field, value)
        self._why = widgets.HTML(_why(field), layout=widgets.Layout(width="auto", flex="1 1 220px"))
        self._refused = widgets.HTML("")
        parts = [self._typed, *([self._slider] if self._slider is not None else []), self._why]
        line = widgets.HBox(parts, layout=widgets.Layout(align_items="center", flex_flow="row wrap"))
        self.box = widgets.VBox([line, self._refused])
        self._typed.observe(self._on_typed, "value")
        if self._slider is not None:
            self._slider.observe(self._on_dragged, "value")

    @property
    def value(self) -> Any:
        value = self._typed.value
        if isinstance(self._field, Number) and self._field.whole and float(value).is_integer():
            return int(value)
        return value

    def put(self, value: Any) -> None:
        self._typed.value = value

    def complain(self, problem: str) -> None:
        said = f'<p role="alert" style="color:#a63d0e;margin:0 0 4px {LABEL_PX}px">{escape(problem)}</p>'
        self._refused.value = said if problem else ""

    def _on_typed(self, change: Any) -> None:
        if self._following:
            return
        self._follow(self._slider, change["new"])
        self._changed(self._field.name)

    def _on_dragged(self, change: Any) -> None:
        if self._following:
            return
        self._follow(self._typed, change["new"])
        self._changed(self._field.name)

    def _follow(self, other: Widget, value: Any) -> None:
        """The other control of the row shows the same, as far as it can."""
        if other is None:
            return
        self._following = True
        try:
            other.value = value if other is self._typed else _within(self._field, value, other.value)
        finally:
            self._following = False


def _within(field: Field, value: Any, else_: Any) -> Any:
    """The value nearest to it that a slider can show; where there is none, what it shows."""
    if field.refuse(value).endswith("is needed."):
        return else_
    if isinstance(field, Number):
        kept = min(max(value, field.low), field.high)
        return round(kept) if field.whole else kept
    return min(max(value, field.low), field.high) if isinstance(field, Day) else value


def _typed(field: Field, value: Any) -> Widget:
    style = {"description_width": f"{LABEL_PX}px"}
    shape = {"style": style, "layout": widgets.Layout(width=f"{BOX_PX}px"), "description": _label(field)}
    if isinstance(field, Number):
        return widgets.FloatText(value=value, step=field.step, **shape)
    if isinstance(field, Day):
        return widgets.DatePicker(value=value, **shape)
    if isinstance(field, Choice):
        return widgets.Dropdown(options=list(field.options), value=value, **shape)
    shape["layout"] = widgets.Layout(width=f"{BOX_PX + SLIDER_PX}px")
    return widgets.Text(value=value, placeholder=field.example, continuous_update=False, **shape)


def _slider(field: Field, value: Any) -> Widget:
    shape: dict[str, Any] = {"readout": False, "layout": widgets.Layout(width=f"{SLIDER_PX}px")}
    if isinstance(field, Number):
        kind = widgets.IntSlider if field.whole else widgets.FloatSlider
        step = int(field.step) if field.whole else field.step
        shown = _within(field, value, field.low)
        return kind(value=shown, min=field.low, max=field.high, step=step, tooltip=_drag(field), **shape)
    if isinstance(field, Day):
        days = [field.low + timedelta(days=n) for n in range((field.high - field.low).days + 1)]
        options = [(f"{day:%-d %b %Y}", day) for day in days]
        shown = _within(field, value, field.low) if isinstance(value, date) else field.low
        return widgets.SelectionSlider(options=options, value=shown, tooltip=_drag(field), **shape)
    return None


def _label(field: Field) -> str:
    return f"{field.label} ({field.unit})" if field.unit else field.label


def _drag(field: Field) -> str:
    return f"{_label(field)}, by dragging or arrow keys"


def _why(field: Field) -> str:
    bounds = ""
    if isinstance(field, Number):
        bounds = f"{field.low:g} to {field.high:g} {field.unit}: ".replace(" :", ":")
    return f'<span style="{SMALL}">{escape(bounds + field.why)}</span>'
