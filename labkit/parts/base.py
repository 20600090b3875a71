"""What every part has in common: its keys in a file, its terminals, its branches, its failures."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any, ClassVar, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator

from labkit.parts.keys import (
    Amps,
    Celsius,
    Coulombs,
    Fraction,
    InDoubt,
    Metres,
    Ohms,
    Seconds,
    Volts,
    Watts,
)
from labkit.parts.laws import Law, Linear, Value, at_least
from labkit.parts.model import (
    Branch,
    CurrentLimit,
    CutOut,
    Device,
    Fault,
    Guard,
    Model,
    PartState,
    Pull,
    Trip,
)
from labkit.parts.modes import UNIVERSAL, Effect, Mode
from labkit.parts.traits import Now, Scale, Scatter, Trait, drawn, word_for, words_in
from labkit.text.quantities import show

# Names in rows, which a reader compares:
# fmt: off
__all__ = [
    "Amps", "Branch", "Celsius", "Coulombs", "CurrentLimit", "CutOut", "Device", "Fault",
    "Fraction", "Guard", "Metres", "Model", "Ohms", "PartState", "Pull", "Seconds", "Trip",
    "Volts", "Watts",
]
# fmt: on

PART_ID = re.compile(r"[A-Z]{1,2}\d{1,4}")
"""Class letter after IEC 81346-2, simplified (and perhaps a second), then a number."""

LEAST_RESISTANCE = 1e-6
"""A real contact has more; below it a part had better be left out. [ohm]"""

IDEAL_SOURCE = 1e-9
"""Stands for a source's "0 ohm": wrong by at most 1e-6 in any circuit above 1 mohm. [ohm]"""


class Wire(BaseModel):
    """Number and colour of a wire, for the drawing."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    number: str = ""
    color: str = ""


class Part(InDoubt):
    """A part of a circuit, with the keys every part takes.

    Built from a file's table or in Python: ``Joint("X1", label="splice")``.

    Everything that is asked about a kind of part is told by its class: what it is (`traits`), how
    it fails (`modes`), how far one is from the next (`scatter`), what it shows (`signs` and
    :meth:`sign`), where it can be moved (:meth:`settings`), what its states are called (`states`:
    before its device acts, after it has, and where a fault leaves it none), and what there is to
    see inside where a hand can open it (`whole`: how it looks when sound; `inside`: the failures
    that show, the plainest first, which a sound one in its place mends).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    kind: ClassVar[str] = ""
    letters: ClassVar[str] = ""
    terminals: ClassVar[tuple[str, ...]] = ("1", "2")
    traits: ClassVar[Trait] = Trait.NONE
    example: ClassVar[dict[str, str]] = {}
    scatter: ClassVar[Scatter] = Scatter()
    modes: ClassVar[dict[str, Mode]] = {}
    signs: ClassVar[tuple[Scale, ...]] = ()
    states: ClassVar[tuple[str, str, str]] = ("", "", "")
    whole: ClassVar[str] = ""
    inside: ClassVar[tuple[str, ...]] = ()
    default_resistance: ClassVar[float] = 1e-3
    ripple_ohms: ClassVar[float] = 0.1
    """Resistance behind which :meth:`ripple_volts` stands, of a source that has ripple. [ohm]"""
    choices: ClassVar[tuple[str, ...]] = ()
    id: str
    label: str = Field("", max_length=60)
    reach: Seconds = 60.0
    resistance: Ohms | None = None
    hidden: bool = False
    wire: Wire | None = None
    place: Literal["", "engine space"] = ""

    def __init__(self, id: str | None = None, /, **keys: Any) -> None:
        super().__init__(**({"id": id} if id is not None else {}), **keys)

    @field_validator("id")
    @classmethod
    def _class_letter(cls, id: str) -> str:
        if not PART_ID.fullmatch(id) or id[0] not in cls.letters:
            letters = " or ".join(cls.letters)
            raise ValueError(
                f'found "{id[:20]}"; the id of a {cls.kind} is {letters} and a number, such as '
                f'"{cls.letters[0]}1"'
            )
        return id

    @property
    def rating(self) -> str:
        """Short text for the drawing, such as '15 A'."""
        return ""

    @property
    def shown_rating(self) -> str:
        """Its rating for the drawing, with a word where it is not known exactly."""
        if self._printed is not None:
            return self._printed
        return f"about {self.rating}" if self._doubts and self.rating else self.rating

    def printed_as(self, rating: str) -> Self:
        """Return the part with this on its plate and on the drawing, whatever it really is."""
        made = self.model_copy()
        made._printed = rating
        return made

    @property
    def own_resistance(self) -> float:
        """Series resistance of the part itself when sound. [ohm]"""
        return self.default_resistance if self.resistance is None else self.resistance

    def problems(self, system: float) -> list[str]:
        """Return what is wrong with its keys together, each a sentence starting with the key."""
        if self.resistance is not None and self.resistance < LEAST_RESISTANCE:
            return [
                f'resistance: found "{show(self.resistance, "ohm")}"; '
                'leave the part out, or write a small one such as "0.1 mohm"'
            ]
        return []

    def ways(self) -> tuple[tuple[str, str], ...]:
        """Pairs of terminals a run may pass through, in the direction first listed."""
        return (self.terminals[:2],)  # type: ignore[return-value]

    def passage(self, way: str) -> tuple[str, str] | None:
        """Return the terminals a run passes by this way ('' for the only one), or None."""
        if not way:
            return self.ways()[0] if len(self.ways()) == 1 else None
        for first, second in self.ways():
            if way in (f"{first}-{second}", f"{second}-{first}"):
                return (first, second) if way == f"{first}-{second}" else (second, first)
        return None

    def refers(self) -> tuple[tuple[str, str], ...]:
        """Keys that name other parts, and the ids found there."""
        return ()

    def uses(self) -> tuple[tuple[str, str], ...]:
        """The ways in which current is used up: of a load its first, of others none."""
        return self.ways()[:1] if Trait.LOAD in self.traits else ()

    def counted(self) -> tuple[tuple[str, str], ...]:
        """The ways whose current is the part's own."""
        return self.uses() or self.ways()

    def draws(self, system: float) -> float:
        """Rated current of a load that is run for itself; 0 where it has none. [A]"""
        return 0.0

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        """Roles of the branches that carry the current of one of several ways."""
        return ("-".join(way),)

    # -- positions ------------------------------------------------------------------------------

    def start_position(self) -> str:
        """Position written in the file ('' for a part that is not operated)."""
        return ""

    def settings(self) -> tuple[str, ...]:
        """Every position it can be moved to, in their order; none for a part not operated."""
        return self.choices

    def in_use(self) -> tuple[str, ...]:
        """Positions it may have while the boat is in use."""
        return self.choices[:1]

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        """Ways that pass in this position, or this state of its device ('' for as it starts)."""
        closed = not self.choices or (position or self.start_position()) == self.choices[0]
        return self.ways() if closed else ()

    def off(self) -> str:
        """Position in which it passes nothing; '' where there is none, or it is no switch."""
        return "off" if "off" in self.choices else ""

    # -- what it shows --------------------------------------------------------------------------

    def shows(self, now: Now) -> str:
        """Say what it can be seen and heard to do: a phrase that follows its name, or ''."""
        if not self.signs:
            return ""
        which, size = self.sign(now)
        return word_for(size, self.signs[int(which)])

    def sign(self, now: Now) -> tuple[Value, Value]:
        """Return which of its scales of words holds, counted from 0, and the size to look up."""
        raise NotImplementedError

    @classmethod
    def outcomes(cls) -> tuple[str, ...]:
        """Every word :meth:`shows` may give, where they can be counted; none for a number."""
        return words_in(cls.signs)

    @classmethod
    def drawn(cls, does: str) -> int:
        """How lively its symbol is while it does this: see :class:`labkit.parts.traits.Look`."""
        return drawn(does, cls.signs)

    @property
    def seen(self) -> bool:
        """Whether somebody who looks can tell what it does."""
        return bool(self.signs)

    @property
    def operable(self) -> bool:
        """Whether a hand can move it or open it, or somebody can look what it does."""
        return bool(self.settings()) or Trait.PROTECTION in self.traits or self.seen

    def looks(self, modes: Collection[str]) -> str:
        """Say how it looks, with these faults, to somebody who opens it by hand; '' if none can."""
        return next((self.mode(m).word for m in self.inside if m in modes), self.whole)

    def bared(self) -> tuple[str, ...]:
        """Every word :meth:`looks` may give, that of a sound one first."""
        return (self.whole, *(self.mode(m).word for m in self.inside)) if self.whole else ()

    def ripple_volts(self, state: PartState, amps: Value) -> Value:
        """Alternating voltage it makes of itself beside the direct one, peak to peak. [V]

        It drives from the first terminal of its main branch to the second; for alternating
        current it and `ripple_ohms` stand in place of that branch's law. Taken as a sine, its
        root mean square is this over 2.83.

        Parameters
        ----------
        state : PartState
        amps : float or array
            Direct current of the part, as :attr:`labkit.solving.solver.OperatingPoint.amps` has
            it. [A]
        """
        return 0.0 * amps

    # -- how it conducts ------------------------------------------------------------------------

    def model(self, state: PartState) -> Model:
        """Return the part's branches in this state."""
        return Model((*self.path(state, Linear.resistor(self.series(state))), *extras(self, state)))

    def mode(self, name: str) -> Mode:
        """Return a way to fail by what a file calls it."""
        return self.modes.get(name) or UNIVERSAL[name]

    @property
    def comes_and_goes(self) -> bool:
        """Whether it is likely to fail now and then, and shows it when it is shaken."""
        return any(mode.effect is Effect.COMES_AND_GOES for mode in self.modes.values())

    def added(self, state: PartState) -> Value:
        """Resistance that faults put in series with it. [ohm]"""
        adds = (Effect.ADDS, Effect.COMES_AND_GOES)
        values = [f.value for f in state.faults if self.mode(f.mode).effect in adds]
        return sum(value for value in values if value is not None)

    def opened(self, state: PartState) -> bool:
        """Tell whether a fault lets nothing pass."""
        return any(self.mode(f.mode).effect is Effect.OPENS for f in state.faults)

    def series(self, state: PartState) -> Value:
        """Own resistance and what a fault adds to it. [ohm]"""
        return self.own_resistance + self.added(state)

    def path(self, state: PartState, law: Law) -> tuple[Branch, ...]:
        """Return the main branch, unless a fault has opened it."""
        if self.opened(state):
            return ()
        first, second = self.terminals[:2]
        if any(self.mode(f.mode).effect is Effect.REVERSES for f in state.faults):
            return (Branch("reversed", second, first, law),)
        return (Branch("main", first, second, law),)


def extras(part: Part, state: PartState) -> tuple[Branch, ...]:
    """Branches that only a fault adds: a short across it, a leak from one of its terminals."""
    made = []
    for fault in state.faults:
        effect = part.mode(fault.mode).effect
        apart = "" if fault.mode in UNIVERSAL else f" {fault.mode}"
        if effect is Effect.BRIDGES:
            made.append(Branch(f"short{apart}", *part.ways()[-1], _added(fault)))
        elif effect in (Effect.LEAKS, Effect.JOINS):
            terminal, to = fault.terminal or part.terminals[-1], fault.to or "DC-"
            role = " ".join(filter(None, ("leak", terminal, fault.to))) + apart
            made.append(Branch(role, terminal, to, _added(fault), elsewhere=True))
    return tuple(made)


def _added(fault: Fault) -> Linear:
    return Linear.resistor(at_least(fault.value, LEAST_RESISTANCE))
