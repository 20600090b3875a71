"""Electronics: what takes its power at any voltage, and stops where that is too low."""

from __future__ import annotations

from typing import ClassVar, Literal

from labkit.parts.base import Branch, CutOut, Model, Part, PartState, Volts, Watts, extras
from labkit.parts.laws import THERMAL_VOLTAGE, Junction, Power, Value
from labkit.parts.modes import (
    OPEN_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    SHORT_MODE,
    Mode,
    modes_of,
)
from labkit.parts.traits import Now, Scale, Scatter, Trait, yes_or_no
from labkit.text.quantities import show


class Electronics(Part):
    """Electronics: constant power above cut-out, nothing below it until the restart voltage.

    The wrong way round it draws nothing; with `reverse` = "conducts" a diode across its supply
    conducts then, so that its fuse opens. The diode survives that (our choice: some do not).
    """

    kind: ClassVar[str] = "electronics"
    scatter: ClassVar[Scatter] = Scatter(draw=0.1)
    example: ClassVar[dict[str, str]] = {"power": "24 W"}
    letters: ClassVar[str] = "A"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="dead"),
        SHORT_MODE,
        RESISTANCE_MODE._replace(says="corroded plug", weight=2.0),
        REVERSED_MODE,
    )
    signs: ClassVar[tuple[Scale, ...]] = (yes_or_no("works", "is off", drawn=3),)
    states: ClassVar[tuple[str, str, str]] = ("on", "off", "off")
    power: Watts
    cut_out: Volts | None = None
    restart: Volts | None = None
    reverse: Literal["blocks", "conducts"] = "blocks"
    """What it does the wrong way round: blocks, or conducts through a diode across its supply."""

    @property
    def rating(self) -> str:
        return show(self.power, "W")

    def draws(self, system: float) -> float:
        return self.power / system

    def sign(self, now: Now) -> tuple[Value, Value]:
        return 0, now.xp.where((now.state == "on") & (abs(now.amps) > 0), 1.0, 0.0)

    def thresholds(self, system: float) -> tuple[float, float]:
        """Cut-out and restart voltage; 80 % and 90 % of the system's (common practice). [V]"""
        cut_out = self.cut_out if self.cut_out is not None else 0.8 * system
        return cut_out, self.restart if self.restart is not None else max(cut_out, 0.9 * system)

    def problems(self, system: float) -> list[str]:
        cut_out, restart = self.thresholds(system)
        if restart < cut_out:
            return [f'restart: found "{restart:g} V"; it is no lower than cut_out, {cut_out:g} V']
        if self.power == 0:
            return ['power: found "0 W"; write what it draws, such as "25 W"']
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        cut_out, restart = self.thresholds(state.system)
        law = Power(self.series(state), power=self.power, floor=max(cut_out, state.system / 2))
        branches = self.path(state, law)
        device = CutOut(branches[0].role, cut_out, restart) if branches else None
        across: tuple[Branch, ...] = ()
        if self.reverse == "conducts" and branches:
            main = branches[0]
            role = "diode" if main.role == "reversed" else "reversed diode"
            across = (Branch(role, main.second, main.first, _ACROSS),)
        return Model((*branches, *across, *extras(self, state)), device)


_ACROSS = Junction(0.01, saturation=1e-9, emission=1.5 * THERMAL_VOLTAGE)
"""A power diode: 0.9 V at 10 A. Chosen."""
