"""What lets one source charge several batteries: combining relays, isolating diodes."""

from __future__ import annotations

import math
from typing import ClassVar

from labkit.parts.base import Branch, Model, Part, PartState, Pull, Seconds, extras
from labkit.parts.keys import JunctionAmps
from labkit.parts.laws import THERMAL_VOLTAGE, Junction, Linear
from labkit.parts.modes import LEAK_MODE, OPEN_MODE, RESISTANCE_MODE, SHORT_MODE, Mode, modes_of
from labkit.parts.relays import Relay
from labkit.parts.traits import Trait
from labkit.text.quantities import show


class Combiner(Relay):
    """Combining relay: joins two batteries while either is being charged.

    It looks at both sides, closes where the higher is above `pull_in` for the time `delay`, and
    opens where both are below `drop_out`; closed it draws `coil`. The defaults are published
    ones: 13.7 and 12.8 V (a maker's part page); others close at 13.3 V (from memory). Terminals
    30 and 87 to the batteries, 31 negative (DIN 72552). `resistance` is the contact's.
    """

    kind: ClassVar[str] = "combiner"
    terminals: ClassVar[tuple[str, ...]] = ("30", "31", "87")
    default_resistance: ClassVar[float] = 0.3e-3  # common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode(
            "never closes",
            "never closes",
            "never closing: its electronics are dead",
            1.5,
            family="charging",
        ),
        Mode(
            "dead contact",
            "contact does not make",
            "not making on its contact",
            1.0,
            family="relay",
        ),
        RESISTANCE_MODE._replace(says="burnt on its contact", weight=2.5),
        Mode("welded", "stuck on", "welded shut", 0.5, family="welded contact"),
        OPEN_MODE._replace(says="open on its contact", weight=0.3),
        SHORT_MODE._replace(says="shorted across its contact", weight=0.1),
        LEAK_MODE._replace(weight=0.1),
    )
    delay: Seconds = 2.0  # common practice, no source

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("30", "31"), ("87", "31"), ("30", "87"))

    def uses(self) -> tuple[tuple[str, str], ...]:
        return self.ways()[:2]

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        return self.ways() if position == "pulled in" else self.uses()

    def passage(self, way: str) -> tuple[str, str] | None:
        return super().passage(way) or (("30", "87") if not way else None)

    @property
    def rating(self) -> str:
        return ""

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        named = {self.ways()[0]: ("sense", "coil"), self.ways()[1]: ("other",)}
        return named.get(way, ("make",))

    def thresholds(self, system: float) -> tuple[float, float]:
        """Voltages at which it closes and opens. [V]"""
        pull_in = self.pull_in if self.pull_in is not None else 13.7 / 12 * system
        return pull_in, self.drop_out if self.drop_out is not None else min(
            pull_in, 12.8 / 12 * system
        )

    def model(self, state: PartState) -> Model:
        senses = Linear.resistor(_SENSES)
        branches = [Branch("sense", "30", "31", senses), Branch("other", "87", "31", senses)]
        dead, welded = state.has("dead contact", "open"), state.has("welded")
        never = state.has("never closes") and not welded
        if not dead and not never:
            branches.append(Branch("make", "30", "87", Linear.resistor(self.series(state))))
        if not never:
            branches.append(Branch("coil", "30", "31", Linear.resistor(self.coil)))
        device = None
        if not welded:
            made = ("coil",) if dead else ("make", "coil")
            pull_in, drop_out = self.thresholds(state.system)
            looks_at = ("", "") if never else ("sense", "other")  # dead, it sees neither side
            device = Pull(looks_at[0], made, (), pull_in, drop_out, other=looks_at[1])
        return Model((*branches, *extras(self, state)), device)


_SENSES = 10e3  # of each of its two inputs [ohm]; common practice, no source


class Isolator(Part):
    """Diode isolator: one input A, two batteries at 1 and 2, and no way from one to the other.

    Two silicon junctions: 0.7 V at 10 A, 0.9 V at 70 A (published: 0.7 to about 1 V).
    """

    kind: ClassVar[str] = "isolator"
    letters: ClassVar[str] = "V"
    traits: ClassVar[Trait] = Trait.JUNCTION
    terminals: ClassVar[tuple[str, ...]] = ("A", "1", "2")
    default_resistance: ClassVar[float] = 1.5e-3
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("first open", "diode to 1 open", "open in its diode to 1", 0.7),
        Mode("second open", "diode to 2 open", "open in its diode to 2", 0.7),
        Mode("first shorted", "diode to 1 shorted", "shorted in its diode to 1", 0.4),
        Mode("second shorted", "diode to 2 shorted", "shorted in its diode to 2", 0.4),
        RESISTANCE_MODE._replace(says="loose at its input stud", weight=1.5),
        OPEN_MODE._replace(weight=0.2),
        LEAK_MODE._replace(weight=0.05),
    )
    saturation: JunctionAmps = 1.45e-7
    ideality: float = 1.5

    @property
    def rating(self) -> str:
        return show(self.drop(10.0), "V", 2)

    def drop(self, amps: float) -> float:
        """Forward voltage of one of its diodes. [V]"""
        emission = self.ideality * THERMAL_VOLTAGE
        return emission * math.log1p(amps / self.saturation) + amps * self.own_resistance

    def problems(self, system: float) -> list[str]:
        if not 0 < self.saturation < 1e-3:
            return [f'saturation: found "{self.saturation:g} A"; write such as "1.45e-7 A"']
        if not 0.5 <= self.ideality <= 10:
            return [f"ideality: found {self.ideality:g}; it is between 0.5 and 10"]
        return super().problems(system)

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("A", "1"), ("A", "2"))

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        return ("-".join(way), f"{'-'.join(way)} shorted")

    def model(self, state: PartState) -> Model:
        branches = []
        if not self.opened(state):
            law = Junction(
                self.series(state),
                saturation=self.saturation,
                emission=self.ideality * THERMAL_VOLTAGE,
            )
            for (first, second), which in zip(self.ways(), ("first", "second"), strict=True):
                if state.has(f"{which} open"):
                    continue
                shorted = state.has(f"{which} shorted")
                role = f"{first}-{second}"
                if shorted:
                    through = Linear.resistor(_SHORTED + self.series(state))
                    branches.append(Branch(f"{role} shorted", first, second, through))
                else:
                    branches.append(Branch(role, first, second, law))
        return Model((*branches, *extras(self, state)))


_SHORTED = 2.5e-3  # of a diode that has fused [ohm]; chosen
