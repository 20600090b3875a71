"""Any fault of any part beside the sound boat, as bad as a slider says."""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit import Circuit
from labkit.measuring.senses import sensed
from labkit.paper.charts import staircase
from labkit.parts import Fault
from labkit.parts.modes import Mode
from labkit.questions.fields import named
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError, NoConvergenceError
from labkit.text.quantities import Kind, show
from labkit.widgets.cards import text

_WIDER = 10.0  # the slider goes so far below and beyond what is typical

_LABEL = {"description_width": "5em"}
_WIDE = {"width": "min(100%, 30em)"}


class FaultPanel(widgets.VBox):  # type: ignore[misc]
    """A part, a way for it to fail, and how badly: what the boat then does, and the staircase.

    Attributes
    ----------
    fault : str
        As a file writes it: 'X1 resistance 1.6 ohm'; '' where nothing is chosen.
    """

    def __init__(self) -> None:
        self.circuit: Circuit | None = None
        self.load = widgets.Dropdown(description="Load", style=_LABEL, layout=_WIDE)
        self.part = widgets.Dropdown(description="Part", style=_LABEL, layout=_WIDE)
        self.mode = widgets.Dropdown(description="Fails", style=_LABEL, layout=_WIDE)
        self.slider = widgets.FloatLogSlider(
            description="How bad",
            readout=False,
            continuous_update=False,
            style=_LABEL,
            layout=_WIDE,
        )
        self.says, self.picture = widgets.HTML(), widgets.HTML()
        super().__init__([self.load, self.part, self.mode, self.slider, self.says, self.picture])
        self._still = False  # while several boxes are set at once
        self.part.observe(lambda _: self._set(self._modes), "value")
        self.mode.observe(lambda _: self._set(self._span), "value")
        for box in (self.load, self.slider):
            box.observe(lambda _: self._set(lambda: None), "value")

    def _set(self, boxes: Callable[[], object]) -> None:
        """Set boxes that follow from others, and show the whole once."""
        if not self._still:
            self._still = True
            try:
                boxes()
            finally:
                self._still = False
            self.refresh()

    def show(self, circuit: Circuit, load: str = "") -> None:
        """Take a boat, switched on, and the load to look at; what was chosen stays chosen."""
        self._set(lambda: self._take(circuit, load))

    def turn_to(self, fault: Fault) -> None:
        """Choose a fault of the boat."""
        self._set(lambda: self._choose(fault))

    def _choose(self, fault: Fault) -> None:
        self.part.value = fault.part
        self._modes()
        self.mode.value = fault.mode
        self._span()
        if self._typical and fault.value is not None:
            self.slider.value = min(max(fault.value, 10**self.slider.min), 10**self.slider.max)

    def _take(self, circuit: Circuit, load: str) -> None:
        part, mode, amount = self.part.value, self.mode.value, self.slider.value
        self.circuit = circuit
        loads = sensed(circuit, solve(circuit))
        self.load.options = [(named(circuit.parts[id]), id) for id in loads]
        self.load.value = load if load in loads else next(iter(loads), None)
        failing = [one for one in circuit.parts.values() if one.modes]
        self.part.options = [(named(one), one.id) for one in failing]
        self.part.value = part if part in circuit.parts else failing[0].id
        self._modes()
        if mode in circuit.parts[self.part.value].modes:
            self.mode.value = mode
            self._span()
            if self._typical and self.slider.min <= math.log10(amount) <= self.slider.max:
                self.slider.value = amount

    @property
    def fault(self) -> str:
        """The fault as the panel stands."""
        if self.circuit is None or not self.part.value or not self.mode.value:
            return ""
        return f"{self.part.value} {self.mode.value} {self._amount}".rstrip()

    @property
    def _mode(self) -> Mode:
        assert self.circuit is not None
        return self.circuit.parts[self.part.value].modes[self.mode.value]

    @property
    def _amount(self) -> str:
        amount, typical = self._mode.amount, self._mode.amounts
        if isinstance(amount, Kind) and self._typical:
            return _written(self.slider.value, amount)
        return typical[0] if typical else ""

    @property
    def _typical(self) -> list[float]:
        """Amounts that are usual for the mode, in SI units; none where it has no degrees."""
        kind = self._mode.amount
        found = [kind.parse(one) for one in self._mode.amounts] if isinstance(kind, Kind) else []
        return [amount for amount in found if amount > 0]

    def _modes(self) -> None:
        assert self.circuit is not None
        modes = self.circuit.parts[self.part.value].modes
        self.mode.options = [(mode.word, name) for name, mode in modes.items()]
        self.mode.value = next(iter(modes))
        self._span()

    def _span(self) -> None:
        """Let the slider go about what is typical of the mode."""
        typical = self._typical
        self.slider.layout.display = "" if typical else "none"
        if typical:
            most = min(max(typical) * _WIDER, self._mode.most or math.inf)
            ends = math.log10(min(typical) / _WIDER), math.log10(most)
            with self.slider.hold_trait_notifications():
                self.slider.min, self.slider.max = min(ends[0], self.slider.max), ends[1]
                self.slider.min, self.slider.step = ends[0], (ends[1] - ends[0]) / 60
                self.slider.value = typical[0]

    def refresh(self) -> None:
        """Show the fault as the panel stands."""
        if not self.fault or self.circuit is None:
            return
        try:
            faulty = self.circuit.with_fault(self.fault)
            does = [sensed(c, solve(c)).get(self.load.value, "") for c in (self.circuit, faulty)]
            said = f"Sound, {self.load.value} {does[0]}; with it, {self.load.value} {does[1]}."
        except (CircuitError, NoConvergenceError) as error:
            self.says.value, self.picture.value = text(escape(str(error)), "status"), ""
            return
        try:
            picture = staircase({"sound": self.circuit, self.fault: faulty}, self.load.value).html
        except CircuitError:  # nothing leads through such a load alone
            picture = ""
        line = f"<b>{escape(self.fault)}</b> (write it so in the file). {escape(said)}"
        self.says.value = text(line, "status")
        self.picture.value = picture

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        return {**bundle, "text/html": self.says.value + self.picture.value}


def _written(value: float, kind: Kind) -> str:
    """Write a quantity of so many SI units as a file has it, three figures of it."""
    unit, factor = next(iter(kind.units.items()))
    rounded = float(f"{value / factor:.3g}")
    return show(rounded, unit) if unit in kind.scaled else f"{rounded:g} {unit}"
