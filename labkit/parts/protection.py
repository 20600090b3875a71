"""Fuses and breakers: cold resistance by rating, and published opening-time limits."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import ClassVar, Literal

from pydantic import Field

from labkit.parts.base import Amps, Model, Part, PartState, Trip, extras
from labkit.parts.fuse_kinds import INTERRUPTING
from labkit.parts.laws import Linear
from labkit.parts.modes import BLOWN_MODE, MISSING_MODE, OPEN_MODE, RESISTANCE_MODE, Mode, modes_of
from labkit.parts.traits import Scatter, Trait
from labkit.text.quantities import CURRENT, show

FuseKind = Literal["blade", "glass", "maxi", "midi", "mega", "anl", "terminal", "class T"]

TRIP_RATIO = 1.35
"""A settled fuse is open above this share of its rating: all kinds below must open by 135 %."""

COLD_RESISTANCE = {
    "glass": ((1, 162.5), (2, 68.25), (3, 38.25), (5, 20.5), (10, 8.67), (15, 5.10), (20, 3.58),
              (30, 2.15)),
    "blade": ((3, 31.0), (5, 17.0), (10, 7.5), (15, 4.8), (20, 3.4), (30, 2.0), (40, 1.44)),
    "maxi": ((30, 1.9), (35, 1.7), (40, 1.4)),
    "midi": ((30, 2.1), (50, 1.1), (100, 0.5), (200, 0.25)),
    "mega": ((40, 1.4), (100, 0.5), (200, 0.25), (500, 0.1)),
    "anl": ((35, 1.5), (100, 0.5), (200, 0.25), (750, 0.1)),
    "terminal": ((30, 2.1), (100, 0.5), (300, 0.17)),
    "class T": ((1, 200.0), (10, 10.0), (30, 2.5), (100, 0.7), (400, 0.17)),
    "breaker": ((5, 20.0), (10, 9.0), (20, 4.0), (50, 1.4), (100, 0.6)),
}  # fmt: skip  # rows that a reader compares
"""Rating [A] to cold resistance [mohm].

glass: maker's data sheet, series 2041. blade: 40 A from maker's sheet, series 287; the others from
memory. maxi: maker's sheet, series 299. midi and those below it: from memory, some 50 to 75 mV at
the rated current. breaker: common practice, no source.
"""

OPENING_TIMES = {
    "glass": ((1.10, 14400.0, math.inf), (1.35, 0.0, 3600.0), (2.0, 0.0, 120.0)),
    "blade": ((1.10, 360000.0, math.inf), (1.35, 0.75, 600.0), (1.6, 0.25, 50.0), (2.0, 0.15, 5.0),
              (3.5, 0.04, 0.5), (6.0, 0.02, 0.1)),
    "maxi": ((1.0, 360000.0, math.inf), (1.35, 60.0, 1800.0), (2.0, 2.0, 50.0), (3.5, 0.2, 7.0),
             (6.0, 0.04, 1.0)),
    "class T": ((1.0, 14400.0, math.inf), (1.35, 0.0, 3600.0), (2.0, 0.0, 360.0)),
    "midi": ((1.0, 360000.0, math.inf), (1.35, 120.0, 1800.0), (2.0, 1.0, 15.0), (3.5, 0.3, 5.0),
             (5.0, 0.1, 1.0)),
    "breaker": ((1.0, 3600.0, math.inf), (1.35, 15.0, 3600.0), (2.0, 15.0, 60.0), (6.0, 0.0, 5.0)),
}  # fmt: skip  # rows that a reader compares
OPENING_TIMES |= dict.fromkeys(("mega", "anl", "terminal"), OPENING_TIMES["maxi"])
"""Share of rating to least and greatest opening time. [s]

glass: maker's data sheet, series 2041, 2.5 to 30 A. blade: ISO 8820-3 type C, 1 to 30 A, second
hand at 110, 135, 160 and 200 %, from memory at 350 and 600 %. maxi: ISO 8820-3 type E, series 299.
midi: ISO 8820-5, from memory. mega, anl, terminal: no limits read, maxi's stand for them. class T:
UL 248-15, from memory. breaker (thermal): 30 s at 200 % and opening in the end at 125 %, at 25 C,
by the item description of one of 30 A; the rest chosen.
"""

LARGE_BLADE = (
    (1.0, 360000.0, math.inf),
    (1.35, 0.75, 600.0),
    (2.0, 0.15, 5.0),
    (3.5, 0.08, 0.5),
    (6.0, 0.0, 0.15),
)
"""The same of blade fuses of 35 and 40 A. [s] ISO 8820-3 type C, maker's sheet, series 287."""


def is_large_blade(kind: str, rating: float) -> bool:
    """Tell whether a fuse is one of the two blade ratings with limits of their own."""
    return kind == "blade" and rating > 30.0


def cold_resistance(kind: str, rating: float) -> float:
    """Cold resistance of a fuse or breaker, interpolated on log scales. [ohm]

    Parameters
    ----------
    kind : str
        A key of COLD_RESISTANCE.
    rating : float
        [A]
    """
    table = COLD_RESISTANCE[kind]
    for (a0, r0), (a1, r1) in pairwise(table):
        if rating <= a1 or (a1, r1) == table[-1]:
            slope = math.log(r1 / r0) / math.log(a1 / a0)
            return 1e-3 * r0 * math.pow(rating / a0, slope)
    raise AssertionError("a table has two rows at least")


def opening_time(kind: str, share: float, rating: float = 10.0) -> tuple[float, float]:
    """Least and greatest time a fuse may take to open. [s]

    Parameters
    ----------
    kind : str
        A key of OPENING_TIMES.
    share : float
        Current as a share of the rating.
    rating : float
        [A]

    Notes
    -----
    Between the published points the limits are interpolated on log scales; below the first the
    fuse carries for ever, above the last the last row holds.
    """
    table = LARGE_BLADE if is_large_blade(kind, rating) else OPENING_TIMES[kind]
    if share < table[0][0]:
        return math.inf, math.inf
    for (s0, lo0, hi0), (s1, lo1, hi1) in pairwise(table):
        if share < s1:
            return _between(share, s0, lo0, s1, lo1), _between(share, s0, hi0, s1, hi1)
    return table[-1][1], table[-1][2]


def _between(share: float, s0: float, t0: float, s1: float, t1: float) -> float:
    if share == s0 or t0 == math.inf:
        return t0
    if min(t0, t1) <= 0:
        return min(t0, t1)
    part = math.log(share / s0) / math.log(s1 / s0)
    return t0 * math.pow(t1 / t0, part)


HOLDS = "holds"
"""Mark among a part's faults, though it is none: this one does not open, as was seen of it."""

_HOLDS_MODE = Mode(HOLDS, HOLDS, HOLDS, 0.0)


class Protection(Part):
    """What opens where too much flows: its rating, what it can interrupt, how it opens."""

    scatter: ClassVar[Scatter] = Scatter(ohms=0.3)
    letters: ClassVar[str] = "F"
    traits: ClassVar[Trait] = Trait.PROTECTION
    states: ClassVar[tuple[str, str, str]] = ("intact", "open", "open")
    inside: ClassVar[tuple[str, ...]] = ("missing", "blown")

    rated: Amps = Field(alias="rating")
    interrupts: Amps | None = None

    @property
    def interrupting(self) -> float:
        """Greatest current it can interrupt: what is printed on it, or what its kind can. [A]"""
        return self.interrupts if self.interrupts is not None else INTERRUPTING[self.make]

    @property
    def make(self) -> str:
        """What kind of fuse or breaker it is."""
        raise NotImplementedError

    @property
    def rating(self) -> str:
        return show(self.rated, "A")

    @property
    def curve(self) -> str:
        """Key of the tables above."""
        raise NotImplementedError

    @property
    def own_resistance(self) -> float:
        if self.resistance is not None:
            return self.resistance
        return cold_resistance(self.curve, self.rated)

    def problems(self, system: float) -> list[str]:
        if self.rated <= 0:
            return ['rating: found "0 A"; write what is printed on it, such as "15 A"']
        return super().problems(system)

    def fitted(self, state: PartState) -> float:
        """Rating of what is really in the holder. [A]"""
        return state.amount("wrong fuse") or self.rated

    def mode(self, name: str) -> Mode:
        return _HOLDS_MODE if name == HOLDS else super().mode(name)

    def model(self, state: PartState) -> Model:
        branches = self.path(state, Linear.resistor(self.series(state)))
        limit = math.inf if state.has(HOLDS) else TRIP_RATIO * self.fitted(state)
        device = Trip("main", limit) if branches else None
        return Model((*branches, *extras(self, state)), device)


class Fuse(Protection):
    """Fuse: a cold resistance; open where it would carry more than 135 % of its rating."""

    kind: ClassVar[str] = "fuse"
    example: ClassVar[dict[str, str]] = {"rating": "10 A"}
    traits: ClassVar[Trait] = Trait.PROTECTION | Trait.CARTRIDGE
    whole: ClassVar[str] = "whole"
    inside: ClassVar[tuple[str, ...]] = (
        "missing",
        "wrong fuse",
        "blown",
    )  # marked so, blown or not
    modes: ClassVar[dict[str, Mode]] = modes_of(
        BLOWN_MODE._replace(weight=4.0),
        RESISTANCE_MODE._replace(says="corroded holder", weight=2.5),
        OPEN_MODE._replace(says="not making in its holder", weight=1.0),
        Mode(
            "wrong fuse",
            "wrong size fitted",
            "the wrong size",
            0.5,
            CURRENT,
            ("30 A", "5 A"),
            family="wrong fuse",
        ),
        MISSING_MODE._replace(says="out of its holder"),
    )
    form: FuseKind = Field("blade", alias="kind")

    @property
    def make(self) -> str:
        return self.form

    @property
    def curve(self) -> str:
        return self.form


class Breaker(Protection):
    """Breaker: as a fuse, but it can be set again."""

    kind: ClassVar[str] = "breaker"
    example: ClassVar[dict[str, str]] = {"rating": "10 A"}
    whole: ClassVar[str] = "set"
    modes: ClassVar[dict[str, Mode]] = modes_of(
        BLOWN_MODE._replace(word="tripped", says="tripped", weight=2.0),
        RESISTANCE_MODE._replace(says="burnt contact", weight=1.0),
        OPEN_MODE._replace(says="does not make", weight=0.7),
        MISSING_MODE._replace(word="switched off", says="switched off"),
    )
    form: Literal["thermal", "magnetic"] = Field("thermal", alias="kind")

    @property
    def make(self) -> str:
        return self.form

    @property
    def curve(self) -> str:
        return "breaker"
