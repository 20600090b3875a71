"""A fault beside the sound boat, its severity on a slider."""

from __future__ import annotations

import math
from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit import Circuit
from labkit.measuring.senses import sensed
from labkit.paper.charts import Chart, staircase
from labkit.solving.solver import solve
from labkit.text.quantities import show


class PreviewCard(widgets.VBox):  # type: ignore[misc]
    """The staircase of a sound boat and of one with a fault, whose ohms a slider sets.

    Parameters
    ----------
    circuit : Circuit
        Sound, its load switched on.
    fault : str
        Part and mode of a fault whose amount is a resistance, such as "X3 resistance".
    load : str
        The load the path goes through.
    least, most : float
        Ends of the slider. [ohm]
    """

    def __init__(
        self, circuit: Circuit, fault: str, load: str, least: float = 0.01, most: float = 10.0
    ) -> None:
        self.circuit, self.fault, self.load = circuit, fault, load
        ends = (math.log10(least), math.log10(most))
        self.slider = widgets.FloatLogSlider(
            value=10 ** (sum(ends) / 2),
            min=ends[0],
            max=ends[1],
            step=(ends[1] - ends[0]) / 60,
            description=fault,
            readout=False,
            continuous_update=False,
            style={"description_width": "initial"},
            layout={"width": "min(100%, 34em)"},
        )
        self.says = widgets.HTML()
        self.picture = widgets.HTML()
        super().__init__([self.slider, self.says, self.picture])
        self.slider.observe(lambda _: self.refresh(), "value")
        self.refresh()

    def __repr__(self) -> str:
        return f"{self.text} {self.chart.alt}"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        said = f"<p><b>{escape(self.fault)}</b> {escape(self.text)}</p>"
        return {**bundle, "text/plain": repr(self), "text/html": said + self.chart.html}

    @property
    def faulty(self) -> Circuit:
        """The circuit with the fault as the slider stands."""
        return self.circuit.with_fault(f"{self.fault} {self.slider.value:.3g} ohm")

    @property
    def chart(self) -> Chart:
        """The staircase of both."""
        named = f"{self.fault}, {show(float(f'{self.slider.value:.3g}'), 'ohm')}"
        return staircase({"sound": self.circuit, named: self.faulty}, self.load)

    @property
    def text(self) -> str:
        """What the load does, sound and with the fault."""
        does = [sensed(c, solve(c)).get(self.load, "") for c in (self.circuit, self.faulty)]
        return f"Sound, {self.load} {does[0]}; with the fault it {does[1]}."

    def refresh(self) -> None:
        """Show the fault as the slider stands."""
        ohms = show(float(f"{self.slider.value:.3g}"), "ohm")
        picture = self.chart.html  # takes longest; words and picture change together
        self.says.value = f'<div role="status"><b>{ohms}</b> {escape(self.text)}</div>'
        self.picture.value = picture
