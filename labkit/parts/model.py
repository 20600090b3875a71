"""What the solver is told of a part: its state, its branches, and the device that settles them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from labkit.parts.laws import Law, Value


@dataclass(frozen=True)
class Fault:
    """Something wrong with one part, as written: 'X1 resistance 0.8 ohm', 'W2:2 leak 30 ohm'.

    `to` is the terminal or node elsewhere that it joins the part to: 'W6:2 short to W5:2 0.1 ohm'.

    `value` is the amount in SI units (None where the mode has no amount); where it is a
    resistance, a part's model takes a row of them, one a circuit, as it takes one.
    """

    part: str
    mode: str
    terminal: str = ""
    amount: str = ""
    value: Value | None = None
    to: str = ""

    def __str__(self) -> str:
        place = f"{self.part}:{self.terminal}" if self.terminal else self.part
        return " ".join(word for word in (place, self.mode, self.to, self.amount) if word)

    def at(self, part: str) -> bool:
        """Tell whether a part has to do with it: its own, or the one it joins that to."""
        return part in (self.part, self.to.partition(":")[0])


@dataclass(frozen=True)
class Branch:
    """A law between two of a part's terminals. `role` tells a part's branches apart.

    `elsewhere` says that `second` is no terminal of its own but a point of the circuit.
    """

    role: str
    first: str
    second: str
    law: Law
    elsewhere: bool = False


@dataclass(frozen=True)
class Trip:
    """A fuse or breaker: its branch opens for good where it would carry more than `amps`."""

    role: str
    amps: float

    @property
    def opens(self) -> tuple[str, ...]:
        """Branches that it opens."""
        return (self.role,)


@dataclass(frozen=True)
class Pull:
    """A relay: contacts follow the coil's voltage, with hysteresis, starting from rest.

    With a winding `beside` the coil, of as many turns, their currents pull together: counted is
    what both carry, over the `sound` coil's conductance, and `share` is the sound second winding's
    conductance over it. The thresholds stand for both in, and for the coil alone. [V, S]
    With a coil `other` it goes by the higher voltage of the two.
    """

    coil: str
    make: tuple[str, ...]
    rest: tuple[str, ...]
    pull_in: float
    drop_out: float
    beside: str = ""
    share: float = 0.0
    sound: float = 0.0
    other: str = ""


@dataclass(frozen=True)
class CutOut:
    """Electronics that shut down below one voltage and start again above another.

    What they give stands or falls with what they take: the branches `also`.
    """

    role: str
    cut_out: float
    restart: float
    also: tuple[str, ...] = ()

    @property
    def opens(self) -> tuple[str, ...]:
        """Branches that it opens."""
        return (self.role, *self.also)


@dataclass(frozen=True)
class CurrentLimit:
    """A supply that holds its current where it would be more than `amps`."""

    role: str
    amps: float
    emf: float
    resistance: float


@dataclass(frozen=True)
class Guard:
    """A battery's own protection: its branch opens at too low or too high a voltage. [V]

    It closes again when something else, a charger, brings its posts between `wakes` and `calms`;
    until then they are dead. The branch drives from its first terminal to its second.
    """

    role: str
    low: float
    wakes: float
    high: float
    calms: float

    @property
    def opens(self) -> tuple[str, ...]:
        """Branches that it opens."""
        return (self.role,)


Device = Trip | Pull | CutOut | CurrentLimit | Guard


@dataclass(frozen=True)
class PartState:
    """All that changes in a part without its file changing.

    Attributes
    ----------
    system : float
        Nominal voltage. [V]
    position : str
    faults : sequence of Fault
    memory : mapping of str to Value
        What the part remembers of what went before, by name; a name that is missing stands as
        after a long rest. Its kind says which names it knows and in which unit.
    dt : float
        The step of time at whose end the part is looked at: infinite for what it settles to in the
        end, 0 for the instant itself, in which nothing that takes time has moved. What is quick
        (a lamp's filament, a rotor, a battery's surface) takes one implicit step of this length
        within its law, and :meth:`labkit.parts.laws.Law.after` says where that has taken it. [s]
    """

    system: float
    position: str = ""
    faults: Sequence[Fault] = ()
    memory: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    dt: float = math.inf

    def find(self, mode: str) -> Fault | None:
        """Return the fault of this mode, if the part has it."""
        return next((f for f in self.faults if f.mode == mode), None)

    def has(self, *modes: str) -> bool:
        """Tell whether the part has a fault of any of these modes."""
        return any(f.mode in modes for f in self.faults)

    def amount(self, mode: str, default: float = 0.0) -> Value:
        """Sum of the amounts of the faults of this mode."""
        values = [f.value for f in self.faults if f.mode == mode and f.value is not None]
        return sum(values) if values else default


@dataclass(frozen=True)
class Model:
    """A part's branches and, if it has one, the device that settles them."""

    branches: tuple[Branch, ...]
    device: Device | None = None
