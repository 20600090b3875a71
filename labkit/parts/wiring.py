"""What the current passes through on its way: cables, joints, connectors, switches."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from pydantic import Field, field_validator

from labkit.parts.base import (
    LEAST_RESISTANCE,
    Branch,
    Celsius,
    Metres,
    Model,
    Part,
    PartState,
    extras,
)
from labkit.parts.conductors import (
    AMPACITY_INSULATIONS,
    awg_number,
    cable_resistance,
    wire_area,
)
from labkit.parts.keys import DOUBTS
from labkit.parts.laws import Linear, Value
from labkit.parts.modes import (
    INTERMITTENT_MODE,
    LEAK_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    Mode,
    modes_of,
)
from labkit.parts.traits import Scatter, Trait
from labkit.text.doubts import Doubt, doubtful, read_doubt
from labkit.text.quantities import QuantityError, shorten, show


class Cable(Part):
    """One wire: copper resistivity at its temperature times length over area.

    `length` is the one-way length of that wire, `insulation` what its insulation stands, `bundle`
    how many wires that carry current lie in one bundle with it, itself counted, `sheathed` whether
    a conduit or sheath of its own guards it; `joints` are those
    nobody has seen.
    """

    kind: ClassVar[str] = "cable"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.17)
    example: ClassVar[dict[str, str]] = {"size": "12 AWG", "length": "5 m"}
    letters: ClassVar[str] = "W"
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="broken", weight=1.0),
        RESISTANCE_MODE._replace(says="corroded inside", weight=1.0),
        LEAK_MODE._replace(says="chafed, leaking to negative"),
        Mode(
            "too thin",
            "too thin",
            "too thin",
            0.3,
            "size",
            ("18 AWG", "16 AWG"),
            family="wire too thin",
        ),
    )
    also_in_doubt: ClassVar[tuple[str, ...]] = ("size", "joints")
    size: str | None = Field(
        None,
        examples=["12 AWG", "2.5 mm2"],
        description=f"a wire's size, or how well it is known: {DOUBTS}",
    )
    length: Metres | None = None
    temperature: Celsius = 20.0
    insulation: Celsius = 105.0
    bundle: int = Field(1, ge=1, le=200)
    sheathed: bool = False
    joints: str | None = Field(
        None,
        examples=["0..2", "1"],
        description="joints in this wire that nobody has seen",
    )

    @field_validator("size")
    @classmethod
    def _size(cls, size: str | None) -> str | None:
        if size is not None and doubtful(size):
            return cls.read_doubt("size", size).taken
        if size is not None:
            wire_area(size)
        return size

    @field_validator("joints")
    @classmethod
    def _joints(cls, joints: str | None) -> str | None:
        if joints is not None and doubtful(joints):
            return cls.read_doubt("joints", joints).taken
        if joints is not None:
            _count(joints)
        return joints

    @classmethod
    def _parse(cls, key: str, text: str) -> float:
        if key == "size":
            return wire_area(text)
        return _count(text) if key == "joints" else super()._parse(key, text)

    @classmethod
    def read_doubt(cls, key: str, text: str) -> Doubt:
        if key == "size":
            return read_doubt(text, wire_area, _size_between)
        return super().read_doubt(key, text)

    @property
    def unseen_joints(self) -> float:
        """How many joints are taken to be in it. [-]"""
        return _count(self.joints) if self.joints is not None else 0.0

    @property
    def area(self) -> float | None:
        """Cross-section. [m2]"""
        return wire_area(self.size) if self.size is not None else None

    @property
    def gauge(self) -> int | None:
        """AWG number, None for a metric size."""
        return awg_number(self.size)

    @property
    def rating(self) -> str:
        return " ".join(t for t in (self.size, show(self.length, "m") if self.length else "") if t)

    @property
    def own_resistance(self) -> float:
        if self.resistance is not None:
            return self.resistance
        assert self.area is not None
        assert self.length is not None
        copper = cable_resistance(self.area, self.length, self.temperature)
        return max(copper + self.unseen_joints * Joint.default_resistance, LEAST_RESISTANCE)

    def problems(self, system: float) -> list[str]:
        if self.insulation < AMPACITY_INSULATIONS[0]:
            least = AMPACITY_INSULATIONS[0]
            return [
                f'insulation: found "{self.insulation:g} C"; write what is printed on it, '
                f'such as "105 C"; no table has wire below {least} C'
            ]
        if self.resistance is None:
            for key, example in (("size", "12 AWG"), ("length", "5.5 m")):
                if getattr(self, key) is None:
                    return [f'{key}: is missing; write it, such as {key} = "{example}"']
            if self.length == 0:
                return ['length: found "0 m"; leave the wire out, or write its length']
        return super().problems(system)

    def series(self, state: PartState) -> Value:
        thin = state.find("too thin")
        if thin is None or self.area is None or thin.value is None:
            return super().series(state)
        return super().series(state) + self.own_resistance * (self.area / thin.value - 1)


def _count(text: str) -> float:
    """Read how many joints there are: '2', or the middle of '0..1'."""
    if not re.fullmatch(r"\s*\d{1,2}(\.5)?\s*", text):
        raise QuantityError(
            f'found "{shorten(text)}"; write how many joints there may be, such as "0..2"'
        )
    return float(text)


def _size_between(low: str, high: str) -> str:
    """The middle of two sizes: of gauges half way by number, of areas half way by area."""
    first, last = awg_number(low), awg_number(high)
    if first is not None and last is not None:
        middle = round((first + last) / 2)
        return f"{middle} AWG" if middle > 0 else f"{1 - middle}/0 AWG"
    return f"{(wire_area(low) + wire_area(high)) / 2 * 1e6:.3g} mm2"


class Joint(Part):
    """Splice, terminal or stud: a contact resistance."""

    kind: ClassVar[str] = "joint"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.75, aged=1.8e-3)
    traits: ClassVar[Trait] = Trait.CONTACT
    letters: ClassVar[str] = "X"
    default_resistance: ClassVar[float] = 0.5e-3  # sound crimp or stud; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="corroded", weight=6.0),
        OPEN_MODE._replace(says="come apart"),
        INTERMITTENT_MODE,
        LEAK_MODE._replace(weight=0.1),
    )


class Contact(Part):
    """A contact that is made or not, by its position."""

    scatter: ClassVar[Scatter] = Scatter(ohms=0.75, aged=4e-3)
    traits: ClassVar[Trait] = Trait.CONTACT
    default_resistance: ClassVar[float] = 2e-3  # clean contact; common practice, no source
    letters: ClassVar[str] = "S"
    choices: ClassVar[tuple[str, ...]] = ("on", "off")
    position: str = "off"

    @field_validator("position")
    @classmethod
    def _position(cls, position: str) -> str:
        if cls.choices and position not in cls.choices:
            right = " or ".join(f'"{choice}"' for choice in cls.choices)
            raise ValueError(f'found "{shorten(position)}"; write {right}')
        return position

    def start_position(self) -> str:
        return self.position

    def path(self, state: PartState, law: Any) -> tuple[Branch, ...]:
        made = (state.position or self.position) == self.choices[0]
        return super().path(state, law) if made or state.has("welded") else ()


class Switch(Contact):
    """Switch: a contact resistance when on, no path when off."""

    kind: ClassVar[str] = "switch"
    example: ClassVar[dict[str, str]] = {"position": "on"}
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="burnt contact", weight=2.0),
        OPEN_MODE._replace(says="does not make", weight=1.5),
        Mode("welded", "stuck on", "stuck on", 0.3, family="welded contact"),
        LEAK_MODE._replace(weight=0.1),
        INTERMITTENT_MODE,
    )
    guard: bool = False
    """Whether it keeps people from harm, as a neutral switch does: it is not to be bridged."""


class Float(Contact):
    """Float switch: on when lifted by the water."""

    kind: ClassVar[str] = "float"
    example: ClassVar[dict[str, str]] = {"position": "on"}
    traits: ClassVar[Trait] = Trait.CONTACT | Trait.IN_PLACE
    letters: ClassVar[str] = "SB"
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="does not make", weight=3.0),
        Mode("welded", "stuck on", "stuck on", 1.5, family="welded contact"),
        RESISTANCE_MODE._replace(says="burnt contact", weight=1.0),
        LEAK_MODE._replace(weight=0.5),
    )


class Connector(Contact):
    """Plug and socket that a hand can part."""

    kind: ClassVar[str] = "connector"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.75, aged=3e-3)
    traits: ClassVar[Trait] = Trait.CONTACT | Trait.IN_PLACE
    letters: ClassVar[str] = "X"
    default_resistance: ClassVar[float] = 1e-3  # common practice, no source
    choices: ClassVar[tuple[str, ...]] = ("joined", "parted")
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="corroded pin", weight=4.0),
        OPEN_MODE._replace(says="pin pushed back", weight=1.5),
        INTERMITTENT_MODE,
        LEAK_MODE._replace(weight=0.2),
    )
    position: str = "joined"


class Changeover(Contact):
    """Changeover or selector switch: terminal 1 to 2, to 3, to both or to none.

    `positions` maps what is printed on it to the ways made there: "1-2", "1-3", "none", or both
    as "1-2, 1-3".
    """

    kind: ClassVar[str] = "changeover"
    example: ClassVar[dict[str, str]] = {"position": "2"}
    traits: ClassVar[Trait] = Trait.CONTACT | Trait.THROWS
    terminals: ClassVar[tuple[str, ...]] = ("1", "2", "3")
    choices: ClassVar[tuple[str, ...]] = ()
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="burnt contact", weight=2.0),
        OPEN_MODE._replace(says="does not make", weight=1.5),
        LEAK_MODE._replace(weight=0.1),
    )
    positions: dict[str, str] = Field(
        default_factory=lambda: {"2": "1-2", "off": "none", "3": "1-3"}, min_length=1
    )
    position: str = ""

    @field_validator("positions")
    @classmethod
    def _ways(cls, positions: dict[str, str]) -> dict[str, str]:
        for word, ways in positions.items():
            if any(way not in ("1-2", "1-3", "none") for way in _split(ways)):
                raise ValueError(
                    f'found {shorten(word)} = "{shorten(ways)}"; write "1-2", "1-3", '
                    '"1-2, 1-3" or "none"'
                )
        return positions

    def start_position(self) -> str:
        if self.position:
            return self.position
        return self.off() or next(iter(self.positions))

    def settings(self) -> tuple[str, ...]:
        return tuple(self.positions)

    def in_use(self) -> tuple[str, ...]:
        return self.settings()

    def off(self) -> str:
        return next((word for word, ways in self.positions.items() if ways == "none"), "")

    def problems(self, system: float) -> list[str]:
        if self.start_position() not in self.positions:
            right = ", ".join(f'"{word}"' for word in self.positions)
            return [f'position: found "{shorten(self.position)}"; positions has {right}']
        return super().problems(system)

    @property
    def makes_both(self) -> bool:
        """Whether a position of it joins all three terminals."""
        return any(len(set(_split(ways))) > 1 for ways in self.positions.values())

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("1", "2"), ("1", "3"))

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        words = _split(self.positions.get(position or self.start_position(), "none"))
        return tuple((a, b) for a, b in self.ways() if f"{a}-{b}" in words)

    def model(self, state: PartState) -> Model:
        made = () if self.opened(state) else self.made(state.position)
        law = Linear.resistor(self.series(state))
        branches = tuple(Branch(f"{a}-{b}", a, b, law) for a, b in made)
        return Model((*branches, *extras(self, state)))


def _split(ways: str) -> list[str]:
    return [way.strip() for way in ways.split(",")]
