"""The state hands bring a circuit into: switches, connections apart, what is clipped on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.parts.filament import Lamp
from labkit.parts.laws import Linear

JUMPER_FUSE = 10.0
"""Rating of the fuse in the jumper. [A]"""

JUMPER = Linear.resistor(0.03)
"""The jumper with its clips. Common practice, no source."""

TEST_LAMP_WATTS = 21.0
"""A load that shows whether a joint carries current. [W]"""


def test_lamp(circuit: Circuit) -> Lamp:
    """The test lamp's law, a bulb of the boat's own voltage."""
    return Lamp(0.0, voltage=circuit.system, current=TEST_LAMP_WATTS / circuit.system)


_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class Setting:
    """The state that hands have brought a circuit into.

    Attributes
    ----------
    positions : mapping of str to str
        Of everything that is operated.
    parted : frozenset of str
        Terminals apart.
    out : frozenset of str
        Terminals at which a fuse that lies on the bench leaves a gap.
    bridges : mapping of str to tuple of str
        What is clipped on, and where.
    """

    positions: Mapping[str, str] = field(default_factory=lambda: _NOTHING)
    parted: frozenset[str] = frozenset()
    out: frozenset[str] = frozenset()
    bridges: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: _NOTHING)

    def shared(self, other: Setting) -> Setting:
        """What holds in both: the state in which something was asked."""
        both = {k: v for k, v in self.bridges.items() if other.bridges.get(k) == v}
        return Setting(other.positions, self.parted & other.parted, self.out & other.out, both)

    def applied(self, circuit: Circuit) -> Circuit:
        """Return a circuit in this state; fuses that lie on the bench are its own affair."""
        made = circuit.with_position(**self.positions)
        made = made.with_parted(*self.parted) if self.parted else made
        for id, (first, second) in self.bridges.items():
            law, fuse = (JUMPER, JUMPER_FUSE) if id == "jumper" else (test_lamp(made), None)
            made = made.with_bridge(id, id, first, second, law, fuse)
        return made
