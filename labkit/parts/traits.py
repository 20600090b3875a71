"""What the rest of the house asks of a part: its traits, and what it shows to eye and ear."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Flag, auto
from types import MappingProxyType
from typing import Any, NamedTuple

from labkit.parts.laws import Floats, Value


class Trait(Flag):
    """What a kind of part is; ask ``Trait.LOAD in part.traits``.

    Positions, failures and what a part shows are no traits: see :class:`labkit.parts.Part`.
    """

    NONE = 0
    SOURCE = auto()
    """Gives current of its own, from '-' to '+'."""
    CHARGES = auto()
    """Gives a battery back what was taken from it, and needs one to hold its voltage down."""
    LOAD = auto()
    """Current is led to it and used up in its first way: what comes after is the return side."""
    PROTECTION = auto()
    """Opens where too much flows; a hand can open it, look at it and set it again."""
    CARTRIDGE = auto()
    """Comes out of its holder: one of another size may be fitted, or a meter put in its place."""
    IN_PLACE = auto()
    """Operated where it is fitted, not from a panel."""
    NOT_OHMS = auto()
    """Its resistance is not measured: it has a voltage of its own, or the meter could harm it."""
    JUNCTION = auto()
    """Conducts one way: it has a diode test, and the little current of a meter counts behind it."""
    THROWS = auto()
    """Has one pole, terminal '1', and a hand chooses which others it is joined to."""
    CONTACT = auto()
    """Metal touches metal in it: where that grows resistance, it warms between its wires."""
    MEANT_HOT = auto()
    """Makes heat, or is hot, when it does what it should."""
    TURNS = auto()
    """Has a speed: the law of its main branch gives one."""
    SPRINGS_BACK = auto()
    """Goes off by itself when the hand that holds it is needed elsewhere."""
    GALVANIC = auto()
    """Stands at a voltage of its own against the sea, too weak to run anything."""


class Scatter(NamedTuple):
    """How far one part of a kind is from the next, where its file says nothing.

    `ohms` and `draw` are standard deviations of the natural logarithm of its resistance, and of
    what a load takes; `volts` one of a source's voltage on a 12 V boat; `aged` the resistance of a
    sound one some years old, where new ones have less. 0 is known exactly. [-, -, V, ohm]

    Common practice, no source: a joint of 0.5 to 5 mohm, a cable cut a fifth long.
    """

    ohms: float = 0.0
    draw: float = 0.0
    volts: float = 0.0
    aged: float = 0.0


class Look(NamedTuple):
    """A word for how much a part does, up to a size; `drawn` is how lively its symbol is.

    0 is at rest or dark and 3 at full light; negative turns backwards.
    """

    upto: float
    says: str
    drawn: int = 0


Scale = tuple[Look, ...]
"""Words for a size, the least first; the last is for any size."""


def word(says: str, drawn: int = 0) -> Scale:
    """A scale of one word, for what has no degrees."""
    return (Look(float("inf"), says, drawn),)


def word_for(size: float, scale: Scale) -> str:
    """Return the word of the first bound that the size does not exceed."""
    return next(look.says for look in scale if size <= look.upto)


def words_in(scales: tuple[Scale, ...]) -> tuple[str, ...]:
    """Every word of some scales, each once."""
    return tuple(dict.fromkeys(look.says for scale in scales for look in scale))


def drawn(does: str, scales: tuple[Scale, ...]) -> int:
    """Return how lively the symbol is of what does this; 0 where no scale has the word."""
    return next((look.drawn for scale in scales for look in scale if look.says == does), 0)


class Now(NamedTuple):
    """What a part is doing at an operating point: numbers of one circuit, or rows of many.

    Currents, volts and speeds are nan where there is no steady one; `volts` are those across its
    first way, `across` has those of each of several. [A, V, -]
    """

    system: float
    amps: Value
    volts: Value
    speed: Value = 0.0
    state: Any = ""
    xp: Any = Floats
    across: Mapping[str, Value] = MappingProxyType({})


MOTOR_WORDS: Scale = (
    Look(0.02, "stands still"),
    Look(0.35, "barely turns", 1),
    Look(0.65, "turns at about half speed", 1),
    Look(0.9, "turns noticeably slowly", 1),
    Look(1.2, "runs as it should", 1),
    Look(float("inf"), "races", 1),
)
"""Speed as a fraction of rated, up to which each word holds. Common practice, no source."""

BACKWARDS_WORDS: Scale = (
    MOTOR_WORDS[0],
    *(Look(look.upto, f"{look.says}, backwards", -1) for look in MOTOR_WORDS[1:]),
)
"""The same of a motor that turns the wrong way."""

LAMP_WORDS: Scale = (
    Look(0.002, "is dark"),
    Look(0.15, "glows", 1),
    Look(0.7, "is dim", 2),
    Look(1.9, "is bright", 3),  # up to 14.5 V on a 12 V lamp: a boat on charge is no alarm
    Look(float("inf"), "is far too bright", 3),
)
"""Light as a fraction of rated, up to which each word holds. Common practice, no source."""

LIGHT_WORDS: tuple[Scale, ...] = (LAMP_WORDS, word("flickers", 1))
"""What a lamp shows, and what it shows where its current is not steady."""

LIGHT_EXPONENT = 3.4
"""Of a tungsten lamp's light against voltage. Fink and Beaty, Standard Handbook, sec. 22."""


def yes_or_no(yes: str, no: str, drawn: int = 0) -> Scale:
    """A scale for what a part does (1) or does not (0)."""
    return (Look(0.5, no), Look(float("inf"), yes, drawn))


def steady(amps: Value, light: Value, xp: Any) -> tuple[Value, Value]:
    """The sign of a lamp: its light, or flickering where its current is not steady."""
    unsteady = amps != amps  # nan
    return xp.where(unsteady, 1, 0), xp.where(unsteady, 0.0, light)
