"""Contacts that nobody leaves where they are: push buttons, and cut-outs that heat opens."""

from __future__ import annotations

from typing import ClassVar

from labkit.parts.base import Celsius
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, Mode, modes_of
from labkit.parts.traits import Trait
from labkit.parts.wiring import Contact, Switch
from labkit.text.quantities import show


class Button(Switch):
    """Push button: on while a finger is on it, and springs back when the hand is needed elsewhere.

    Somebody holds it while another reads the meter, looks or waits; whoever takes something apart,
    joins or mends lets go of it.
    """

    kind: ClassVar[str] = "push button"
    traits: ClassVar[Trait] = Trait.SPRINGS_BACK


class ThermalSwitch(Contact):
    """Thermal cut-out: opens where the part it lies on is hot, closes by itself when it is cool.

    `of` is that part, itself where nothing is written; `opens` and `closes` are its temperatures.
    No hand moves it; time does (`wait`, `labkit time`). 110 C and 70 C are common practice, no
    source.
    """

    kind: ClassVar[str] = "thermal switch"
    letters: ClassVar[str] = "SFB"
    traits: ClassVar[Trait] = Trait.IN_PLACE
    choices: ClassVar[tuple[str, ...]] = ("closed", "open")
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="does not make", weight=1.5),
        RESISTANCE_MODE._replace(says="burnt contact", weight=1.0),
        Mode("welded", "stuck on", "stuck on", 0.3, family="welded contact"),
    )
    of: str = ""
    opens: Celsius = 110.0
    closes: Celsius = 70.0
    position: str = "closed"
    guard: bool = True
    """Whether it keeps people from harm: it is not to be bridged."""

    @property
    def rating(self) -> str:
        return show(self.opens, "C")

    def settings(self) -> tuple[str, ...]:
        return ()

    def refers(self) -> tuple[tuple[str, str], ...]:
        return (("of", self.of),) if self.of else ()

    def problems(self, system: float) -> list[str]:
        if not self.closes < self.opens:
            return [f'closes: found "{self.closes:g} C"; it is below opens, {self.opens:g} C']
        return super().problems(system)
