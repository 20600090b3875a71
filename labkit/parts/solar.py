"""Solar panels, and the controllers that keep them from overcharging."""

from __future__ import annotations

import math
from typing import ClassVar, Literal

from labkit.parts.base import Amps, Branch, Model, Part, PartState, Volts, Watts, extras
from labkit.parts.charging_laws import Photo, Sensed
from labkit.parts.laws import THERMAL_VOLTAGE, Linear
from labkit.parts.modes import (
    LEAK_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    Mode,
    modes_of,
)
from labkit.parts.sources import Source
from labkit.parts.traits import Trait
from labkit.text.quantities import show

CELLS = 36
"""Of a panel for 12 V, in series. Common practice, no source."""

_IDEALITY = 1.3  # of crystalline cells; common practice, no source
_SUN = {"full sun": 1.0, "cloud": 0.2, "dark": 0.0}  # of the light current
_SHADED = 0.15  # of the light current that is left in hard shade on one cell; chosen
_VOC, _VMP = 22.0, 18.0  # of 36 cells, open and at most power [V]; common practice, no source
_ISC = 1.08  # short-circuit current over that at most power; common practice, no source
_LOST = 1.0 / 3.0  # of the cells, with one of three bypass diodes shorted


class Panel(Source):
    """Solar panel: the single-diode model of its cells in series.

    `power` is what is printed; `voltage` its open-circuit voltage and `current` its short-circuit
    current in full sun, printed beside it.
    """

    kind: ClassVar[str] = "solar panel"
    traits: ClassVar[Trait] = Source.traits | Trait.CHARGES
    example: ClassVar[dict[str, str]] = {"power": "100 W"}
    default_resistance: ClassVar[float] = 0.15  # of cells and leads; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="open inside", weight=0.5),
        Mode("shaded", "in hard shade", "in the hard shade of something", 1.5),
        Mode("bypassed", "bypass diode shorted", "short of a third of its cells", 0.4),
        RESISTANCE_MODE._replace(says="corroded in its junction box", weight=2.0),
        REVERSED_MODE._replace(weight=0.2),
        LEAK_MODE._replace(weight=0.05),
    )
    choices: ClassVar[tuple[str, ...]] = ("full sun", "cloud", "dark")
    power: Watts
    voltage: Volts | None = None
    current: Amps | None = None
    position: Literal["full sun", "cloud", "dark"] = "full sun"

    @property
    def rating(self) -> str:
        return show(self.power, "W")

    def start_position(self) -> str:
        return self.position

    def off(self) -> str:
        return "dark"

    def problems(self, system: float) -> list[str]:
        if self.power == 0:
            return ['power: found "0 W"; write what is printed on it, such as "100 W"']
        return super().problems(system)

    def shorted(self, system: float) -> float:
        """Short-circuit current in full sun. [A]"""
        if self.current is not None:
            return self.current
        return _ISC * self.power / (_VMP * system / 12.0)

    @property
    def limit(self) -> float:
        """Most it can give, were it made for 12 V. [A]"""
        return self.shorted(12.0)

    def law(self, state: PartState) -> Photo:
        """Return the panel's law in this state."""
        number = max(round(state.system / 12), 1)
        voc = self.voltage if self.voltage is not None else _VOC * number
        emission = _IDEALITY * CELLS * number * THERMAL_VOLTAGE
        full = self.shorted(state.system)
        saturation = full / math.expm1(voc / emission)
        if state.has("bypassed"):
            emission *= 1 - _LOST
        light = full * _SUN[state.position or self.position]
        light *= _SHADED if state.has("shaded") else 1.0
        return Photo(self.series(state), light=light, saturation=saturation, emission=emission)

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))


class SolarController(Part):
    """Solar controller of the switching kind: it joins panel and battery, less and less often.

    Reckoned by its means: all that the panel gives until the battery is at `voltage`, then what
    keeps it there, while the panel's own voltage rises. It keeps the battery from feeding the
    panel at night, and takes 10 mA itself.
    """

    kind: ClassVar[str] = "solar controller"
    letters: ClassVar[str] = "A"
    traits: ClassVar[Trait] = Trait.JUNCTION | Trait.NOT_OHMS
    example: ClassVar[dict[str, str]] = {"limit": "10 A"}
    terminals: ClassVar[tuple[str, ...]] = ("PV", "+", "-")
    default_resistance: ClassVar[float] = 20e-3  # common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="dead", weight=1.0),
        RESISTANCE_MODE._replace(says="corroded at its terminals", weight=2.0),
        Mode("passes all", "regulates no more", "passing all the panel gives", 0.5),
        LEAK_MODE._replace(weight=0.05),
    )
    voltage: Volts | None = None
    limit: Amps

    @property
    def rating(self) -> str:
        return show(self.limit, "A")

    def problems(self, system: float) -> list[str]:
        if self.limit == 0:
            return ['limit: found "0 A"; write what is printed on it, such as "10 A"']
        return super().problems(system)

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("PV", "+"), ("+", "-"))

    def passage(self, way: str) -> tuple[str, str] | None:
        return super().passage(way) or {"": ("PV", "+"), "-": ("+", "-")}.get(way)

    def counted(self) -> tuple[tuple[str, str], ...]:
        return self.ways()[:1]

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        return ("main",) if way == ("PV", "+") else ("sense",)

    def model(self, state: PartState) -> Model:
        scale = state.system / 12.0
        target = self.voltage if self.voltage is not None else _ABSORBS * scale
        target += 100.0 * scale if state.has("passes all") else 0.0
        law = Sensed(
            conductance=1 / self.series(state),
            emf=0.0,
            amps=self.limit,
            target=target,
            at_target=0.0,
            gain=_GAIN,
            least=-_PANEL * scale,
            most=0.0,
        )
        own = Branch("sense", "+", "-", Linear.resistor(_OWN * scale))
        return Model((*self.path(state, law), own, *extras(self, state)))


_ABSORBS = 14.4  # of 12 V [V]; common practice, no source
_GAIN = 200.0  # 40 mV too much keep 8 V off; chosen
_PANEL = 60.0  # more than any panel for 12 V gives [V]
_OWN = 1.2e3  # 10 mA of 12 V [ohm]; common practice, no source
