"""What one current switches another with: relays and solenoids."""

from __future__ import annotations

from typing import ClassVar

from labkit.parts.base import Branch, Model, Ohms, Part, PartState, Pull, Volts, extras
from labkit.parts.laws import Linear, Value
from labkit.parts.modes import (
    LEAK_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    SHORT_MODE,
    Mode,
    modes_of,
)
from labkit.parts.traits import Now, Scale, Scatter, Trait, yes_or_no
from labkit.text.quantities import show

LEAST_COIL = 1e-3
"""Below this a coil is a short. [ohm]"""

DEAD_CONTACT = Mode(
    "dead contact", "contact does not make", "not making on its contact", 1.5, family="relay"
)


class Relay(Part):
    """Relay or solenoid: coil 86-85; contact 30 to 87 when pulled in, to 87a when not.

    `resistance` is the contact's. Solved from rest: pulled in only if the coil reaches pull-in.
    Terminal numbers of DIN 72552.
    """

    kind: ClassVar[str] = "relay"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.75)
    letters: ClassVar[str] = "K"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.CONTACT
    terminals: ClassVar[tuple[str, ...]] = ("86", "85", "30", "87", "87a")
    default_resistance: ClassVar[float] = 2e-3  # clean contact; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("coil open", "coil open", "open in its coil", 1.5, family="relay"),
        DEAD_CONTACT,
        RESISTANCE_MODE._replace(says="burnt on its contact", weight=2.5),
        Mode("welded", "stuck on", "welded shut", 0.7, family="welded contact"),
        OPEN_MODE._replace(says="open on its contact", weight=0.3),
        SHORT_MODE._replace(says="shorted across its contact", weight=0.1),
        LEAK_MODE._replace(weight=0.1),
    )
    signs: ClassVar[tuple[Scale, ...]] = (yes_or_no("clicks in", "does not click", drawn=1),)
    states: ClassVar[tuple[str, str, str]] = ("at rest", "pulled in", "welded shut")
    coil: Ohms = 85.0  # within 90 +- 10 %, 1.6 W, of a 45 A relay's data sheet (V23076), 12 V
    pull_in: Volts | None = None
    drop_out: Volts | None = None
    audible: bool = True
    """Whether somebody beside it can hear it click; its case shows nothing."""

    @property
    def seen(self) -> bool:
        return self.audible

    @property
    def rating(self) -> str:
        return show(self.coil, "ohm") + " coil"

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("86", "85"), ("30", "87a"), ("30", "87"))

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        coil, rest, make = self.ways()
        return coil, make if position == "pulled in" else rest

    def sign(self, now: Now) -> tuple[Value, Value]:
        # A welded contact holds the armature, so that nothing is heard whatever the coil does.
        return 0, now.xp.where(now.state == "pulled in", 1.0, 0.0)

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        return (dict(zip(self.ways(), ("coil", "rest", "make"), strict=True))[way],)

    def thresholds(self, system: float) -> tuple[float, float]:
        """Pull-in and drop-out voltage, where none is written 60 % and 15 % of the system's. [V]

        Data sheets promise that every relay pulls in at 58 to 60 % (6.9 to 7.2 of 12 V: V23076,
        OEN 78 and 40 series) and that it lets go at 10 % at the latest (1.2 of 12, 2.4 of 24 V);
        what one lets go at is more: 15 % is common practice, no source.
        """
        pull_in = self.pull_in if self.pull_in is not None else 0.6 * system
        return pull_in, self.drop_out if self.drop_out is not None else min(pull_in, 0.15 * system)

    def problems(self, system: float) -> list[str]:
        pull_in, drop_out = self.thresholds(system)
        if drop_out > pull_in:
            return [
                f'drop_out: found "{drop_out:g} V"; it is no higher than pull_in, {pull_in:g} V'
            ]
        if self.coil < LEAST_COIL:
            return [
                f'coil: found "{show(self.coil, "ohm")}"; write its resistance, such as "85 ohm"'
            ]
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        law = Linear.resistor(self.series(state))
        branches = []
        if not state.has("coil open"):
            branches.append(Branch("coil", "86", "85", Linear.resistor(self.coil)))
        dead = state.has("dead contact", "open")
        if not dead:
            branches.append(Branch("make", "30", "87", law))
        if not state.has("welded"):
            branches.append(Branch("rest", "30", "87a", law))
        pull_in, drop_out = self.thresholds(state.system)
        if state.has("welded"):
            device = None
        else:
            device = Pull("coil", () if dead else ("make",), ("rest",), pull_in, drop_out)
        return Model((*branches, *extras(self, state)), device)
