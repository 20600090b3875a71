"""The bench with lists and buttons alone, for where scripts in a page cannot run."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.aboard.bench import Bench
from labkit.drawing.sheets import Page
from labkit.parts import Part
from labkit.questions.fields import named
from labkit.text.messages import counted
from labkit.widgets.model import BenchModel
from labkit.widgets.offers import Field
from labkit.widgets.still import picture, still

_WIDE = {"width": "min(100%, 34em)"}
_FITS = 'style="max-width:100%;height:auto"'
_LABELS = {"description_width": "6.5em"}


class PlainBench(widgets.VBox):  # type: ignore[misc]
    """A bench of dropdowns, toggles and buttons.

    Parameters
    ----------
    bench : Bench
    about : str
        The load that is complained of, with whose sheet a large boat begins.

    Examples
    --------
    >>> from labkit import load_circuit
    >>> from labkit.aboard.bench import Bench
    >>> PlainBench(Bench(load_circuit("exercises/circuits/washdown.toml")))
    <PlainBench 'Foredeck washdown pump of the ketch Dunlin': 0 acts, 0.0 min>
    """

    def __init__(self, bench: Bench, about: str = "") -> None:
        self.model = model = BenchModel(bench, about=about)
        self.sheet = widgets.Dropdown(
            description="Sheet",
            layout=_WIDE,
            style=_LABELS,
            options=[(f"{page.number}: {page.name}", page.number) for page in _pages(model)],
        )
        self.drawing = widgets.HTML()
        self.red = widgets.Dropdown(description="Red lead", layout=_WIDE, style=_LABELS)
        self.black = widgets.Dropdown(description="Black lead", layout=_WIDE, style=_LABELS)
        self.function = widgets.Dropdown(
            description="Meter", options=self.model.functions, layout=_WIDE, style=_LABELS
        )
        self.reader = widgets.Button(description="Read the meter", button_style="primary")
        self.display = widgets.HTML()
        self.switches = widgets.HBox(layout={"flex_flow": "row wrap"})
        self.action = widgets.Dropdown(description="Do", layout=_WIDE, style=_LABELS)
        self.choices = widgets.VBox()
        self.doer = widgets.Button(description="Do it")
        self.said = widgets.HTML()
        self.history = widgets.HTML()
        super().__init__(
            [
                *([self.sheet] if model.sheets else []),
                self.drawing,
                self.red,
                self.black,
                self.function,
                widgets.HBox([self.reader, self.display]),
                self.said,
                self.switches,
                self.action,
                self.choices,
                self.doer,
                self.history,
            ]
        )
        self._filling = False
        self._asked: dict[str, Any] = {}
        self.red.observe(lambda change: self._act(self.model.put, "red", change.new), "value")
        self.black.observe(lambda change: self._act(self.model.put, "black", change.new), "value")
        self.function.observe(lambda change: self._act(self.model.turn_to, change.new), "value")
        self.sheet.observe(lambda change: self._act(self.model.turn_sheet, change.new), "value")
        self.reader.on_click(lambda _: self._act(self.model.read))
        self.action.observe(lambda _: self._ask(), "value")
        self.doer.on_click(lambda _: self.do())
        self.refresh()

    def __repr__(self) -> str:
        bench = self.model.bench
        acts = f"{counted(len(bench.log), 'act')}, {self.model.minutes}"
        return f"<PlainBench {bench.circuit.title!r}: {acts}>"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        return {**bundle, "text/plain": repr(self), "text/html": still(self.model)}

    def do(self) -> None:
        """Do what is chosen under 'Do'."""
        args = {name: box.value for name, box in self._asked.items() if box.value}
        self._act(self.model.do, self.action.value, **args)

    def refresh(self) -> None:
        """Show the bench as it is now."""
        self._filling = True
        model = self.model
        if model.sheets:
            self.sheet.value = model.sheets.page.number
        self.drawing.value = picture(model).replace("<svg ", f"<svg {_FITS} ", 1)
        points = [("in the air", ""), *model.points]
        keys = {key for _, key in points}
        for lead, box in (("red", self.red), ("black", self.black)):
            key = getattr(model, lead)
            if key not in keys:
                place = model.place(key)
                key = place.key if place else ""
            if tuple(box.options) != tuple(points):
                box.options = points
            box.value = key
        self.function.value = model.function
        self._show_switches()
        chosen = self.action.value
        offered = [(offer.label, offer.action) for offer in model.offers]
        if tuple(self.action.options) != tuple(offered):
            self.action.options = offered
            self.action.value = chosen if chosen in {a for _, a in offered} else offered[0][1]
        self._filling = False
        self._ask()
        self._tell()

    def _act(self, done: Any, *args: Any, **named: Any) -> None:
        if not self._filling:
            done(*args, **named)
            self.refresh()

    def _show_switches(self) -> None:
        found = self.model.switches
        shown = [toggle.part for toggle in self.switches.children]
        if [part.id for part, _, _ in found] != shown:
            self.switches.children = [self._toggle(part, choices) for part, choices, _ in found]
        for toggle, (_, _, position) in zip(self.switches.children, found, strict=True):
            toggle.value = position

    def _toggle(self, part: Part, choices: tuple[str, ...]) -> Any:
        toggle = widgets.ToggleButtons(
            options=choices,
            description=named(part),
            style={"description_width": "max-content", "button_width": "max-content"},
            layout={"margin": "2px 16px 2px 2px"},
        )
        toggle.part = part.id
        toggle.observe(
            lambda change: self._act(self.model.do, "switch", id=part.id, to=change.new), "value"
        )
        return toggle

    def _ask(self) -> None:
        """Ask what the chosen act needs."""
        if self._filling:
            return
        offer = next(o for o in self.model.offers if o.action == self.action.value)
        kept = {name: box.value for name, box in self._asked.items()}
        self._asked = {field.name: self._box(field, kept) for field in offer.fields}
        self.choices.children = tuple(self._asked.values())

    def _box(self, field: Field, kept: dict[str, str]) -> Any:
        box = widgets.Dropdown(
            description=field.label, options=field.options, layout=_WIDE, style=_LABELS
        )
        if kept.get(field.name) in {value for _, value in field.options}:
            box.value = kept[field.name]
        return box

    def _tell(self) -> None:
        model = self.model
        spoken = model.spoken or "no reading yet"
        self.display.value = (
            '<span role="status" style="font:600 1.6em ui-monospace,monospace;padding:0 .6em" '
            f'aria-label="{escape(spoken)}">{escape(model.display)}</span>'
        )
        hazards = "".join(f"<p><b>Caution.</b> {escape(text)}</p>" for text in model.hazards)
        self.said.value = f'<div role="status">{escape(model.message)}{hazards}</div>'
        lines = "".join(f"<li>{escape(str(line))}</li>" for line in model.lines)
        self.history.value = f"<ol style='margin:0'>{lines}</ol><p>{model.minutes} spent</p>"


def _pages(model: BenchModel) -> tuple[Page, ...]:
    return model.sheets.pages if model.sheets else ()
