"""The controls of a panel: each can be typed and dragged, says its unit and bounds, and why a value is refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from html import escape
from typing import Any

import ipywidgets

from kit.panels.fields import Choice, Day, Field, Number, Values

Widget = Any
widgets: Any = ipywidgets  # ships no types
BOX_PX, SLIDER_PX = 120, 215
STYLE = """<style>
.kit-panel { width: 350px; overflow: visible; }
.kit-panel .widget-html, .kit-panel .widget-html-content { min-height: 0; line-height: 1.25; margin: 0; }
.kit-panel .kit-typed { flex-flow: row wrap; height: auto; overflow: visible; }
.kit-panel .kit-typed > .widget-label { flex: 0 0 100%; text-align: left; overflow: visible; height: 20px;
  line-height: 20px; font-weight: 600; }
.kit-panel .kit-typed > input, .kit-panel .kit-typed > select { flex: 1 1 100%; }
.kit-panel .widget-hslider { margin-bottom: 2px; }
.kit-why { color: #57606a; font-size: 12px; }
.kit-refused { color: #a63d0e; margin: 2px 0; font-size: 13px; }
.kit-refused:not(:empty)::before { content: "\\26A0  "; }
@media (min-width: 1180px) {
  .jp-OutputArea:has(> .jp-OutputArea-child .kit-panel) { display: grid; grid-template-columns: 400px minmax(0, 1fr);
    grid-template-rows: auto auto auto auto 1fr; align-items: start; }
  .jp-OutputArea-child:has(.kit-panel) { grid-row: 1 / span 5; }
  .jp-OutputArea:has(> .jp-OutputArea-child .kit-panel) > .jp-OutputArea-child:not(:has(.kit-panel))
    { grid-column: 2; }
  .jp-OutputArea:has(.kit-panel) .jp-OutputArea-promptOverlay { display: none; }
  .jp-OutputArea:has(.kit-panel) .jp-OutputPrompt { flex: 0 0 0; min-width: 0; padding: 0; }
}
</style>"""
"""Beside each other where there is room; one below the other where there is not, or in a browser without `:has`."""

NAMES = """(() => {
  if (window.seasonSliderNames) return;
  const name = () => document.querySelectorAll('.kit-row .noUi-handle:not([aria-label])').forEach((handle) => {
    const label = handle.closest('.kit-row').querySelector('label');
    if (label) handle.setAttribute('aria-label', label.innerText + ', slider');
  });
  window.seasonSliderNames = new MutationObserver(name);
  window.seasonSliderNames.observe(document.body, {childList: true, subtree: true});
  name();
})()"""
"""Gives each slider the name of its row: the widget itself gives the handle none, and a screen reader needs one."""


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

    def hide(self, names: frozenset[str]) -> None:
        """Show every control but these."""
        for name, row in self._rows.items():
            row.box.layout.display = "none" if name in names else "flex"

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
        self._typed.add_class("kit-typed")
        self._refused = widgets.HTML("")
        parts = [self._typed, *([self._slider] if self._slider is not None else [])]
        line = widgets.HBox(parts, layout=widgets.Layout(align_items="flex-end"))
        line.add_class("kit-row")
        self.box = widgets.VBox([line, widgets.HTML(_why(field)), self._refused])
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
        said = f'<p role="alert" class="kit-refused">{escape(problem)}</p>'
        self._refused.value = said if problem else ""

    def _on_typed(self, change: Any) -> None:
        if self._following:
            return
        self._follow(self._slider, change["new"])
        self._changed(self._field.name)

    def _on_dragged(self, change: Any) -> None:
        if self._following:
            return
        if self._snapped(change["new"]):
            return
        self._follow(self._typed, change["new"])
        self._changed(self._field.name)

    def _snapped(self, value: Any) -> bool:
        """Whether the browser has only put the handle on the step nearest to what was typed or recorded."""
        typed = self._typed.value
        if not isinstance(self._field, Number) or typed is None:
            return bool(value == typed)
        kept = min(max(typed, self._field.low), self._field.high)
        return bool(abs(value - kept) <= self._field.step / 2 + 1e-9)

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
    wide = BOX_PX if isinstance(field, Number | Day) else BOX_PX + SLIDER_PX
    shape: dict[str, Any] = {"layout": widgets.Layout(width=f"{wide}px"), "description": _label(field)}
    shape["style"] = {"description_width": "initial"}
    if isinstance(field, Number):
        return widgets.FloatText(value=value, step=field.step, **shape)
    if isinstance(field, Day):
        return widgets.DatePicker(value=value, **shape)
    if isinstance(field, Choice):
        return widgets.Dropdown(options=list(field.options), value=value, **shape)
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
        bounds = f"{field.low:g} to {field.high:,.4g} {field.unit}: ".replace(" :", ":")
    return f'<span class="kit-why">{escape(bounds + field.why)}</span>'
