"""The fields of a card: what a question is answered with, as widgets and on paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit import Circuit
from labkit.drawing import draw
from labkit.questions.fields import Field, OneOf, Option, Quantity, Several, Steps
from labkit.widgets.places import places

_WIDE = {"width": "min(100%, 30em)"}
_STEP = {"width": "auto", "display": "flex", "justify_content": "flex-start"}
_LABELS = {"description_width": "initial"}


def made(field: Field) -> Any:
    """Make the widget of a field; its `value` is what `grade` takes."""
    if isinstance(field, Quantity):
        return _Number(field)
    if isinstance(field, OneOf) and field.brief:
        return _list(field.label, field.options, field.value)
    if isinstance(field, OneOf):
        return widgets.RadioButtons(
            options=list(field.options),
            value=field.value,
            description=field.label,
            style=_LABELS,
            layout={"width": "max-content", "max_width": "100%"},
        )
    if isinstance(field, Several):
        return _Ticks(field.options)
    if isinstance(field, Steps):
        return _Order(field.steps)
    return _list(field.label, _points(field.circuit), field.value)


def blank(field: Field) -> list[str]:
    """Lines to fill in on paper."""
    if isinstance(field, Quantity):
        return [f"{field.label} ____________ {field.unit}"]
    if isinstance(field, OneOf) and not field.brief:
        return [*([f"{field.label}:"] if field.label else []), *_boxes(field.options)]
    if isinstance(field, Several):
        return _boxes(field.options)
    if isinstance(field, Steps):
        return [f"___ {step}" for step in field.steps]
    return [f"{field.label} ____________"]


class _Number(widgets.HBox):  # type: ignore[misc]
    """A box for a number, with the unit that is meant behind it."""

    def __init__(self, field: Quantity) -> None:
        self.box = widgets.Text(
            description=field.label, layout={"width": "min(100%, 14em)"}, style=_LABELS
        )
        super().__init__([self.box, widgets.Label(field.unit)])

    @property
    def value(self) -> str:
        """What was typed."""
        return str(self.box.value)

    @value.setter
    def value(self, typed: str) -> None:
        self.box.value = typed


class _Ticks(widgets.VBox):  # type: ignore[misc]
    """Options to tick."""

    def __init__(self, options: Sequence[Option]) -> None:
        self.means = [stands_for for _, stands_for in options]
        super().__init__(
            [
                widgets.Checkbox(description=words, indent=False, layout={"width": "100%"})
                for words, _ in options
            ]
        )

    @property
    def value(self) -> list[str]:
        """Those ticked."""
        return [means for means, box in zip(self.means, self.children, strict=True) if box.value]

    @value.setter
    def value(self, ticked: Iterable[str]) -> None:
        for means, box in zip(self.means, self.children, strict=True):
            box.value = means in ticked


class _Order(widgets.VBox):  # type: ignore[misc]
    """Steps to click one after the other; one clicked again is put back."""

    def __init__(self, steps: Sequence[str]) -> None:
        self.taken: list[str] = []
        self.steps = {step: self._button(step) for step in steps}
        super().__init__(list(self.steps.values()))
        self._show()

    @property
    def value(self) -> list[str]:
        """The steps clicked, in that order."""
        return [*self.taken]

    @value.setter
    def value(self, steps: Iterable[str]) -> None:
        self.taken = [step for step in steps if step in self.steps]
        self._show()

    def _button(self, step: str) -> Any:
        button = widgets.Button(layout=_STEP, tooltip="take as the next step, or put back")
        button.add_class("labkit-step")
        button.on_click(lambda _: self._take(step))
        return button

    def _take(self, step: str) -> None:
        if step in self.taken:
            self.taken.remove(step)
        else:
            self.taken.append(step)
        self._show()

    def _show(self) -> None:
        for step, button in self.steps.items():
            place = f"{self.taken.index(step) + 1}. " if step in self.taken else "–  "
            button.description = f"{place}{step}"


def _list(label: str, options: Iterable[Option], value: str | None) -> Any:
    box = widgets.Dropdown(description=label, options=list(options), layout=_WIDE, style=_LABELS)
    if value is not None:
        box.value = value
    return box


def _points(circuit: Circuit) -> list[Option]:
    """Test points as they are numbered on the drawing."""
    return [(place.label, place.key) for place in places(circuit, (), draw(circuit))]


def _boxes(options: Iterable[Option]) -> list[str]:
    return [f"☐ {words}" for words, _ in options]
