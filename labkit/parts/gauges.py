"""Gauges and the senders that tell them how much there is."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from labkit.parts.base import Branch, Model, Part, PartState, extras
from labkit.parts.laws import Law, Linear, Value
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, SHORT_MODE, Mode, modes_of
from labkit.parts.traits import Look, Now, Scale, Scatter, Trait
from labkit.parts.wiring import Contact

Scheme = Literal["240-33 ohm", "10-180 ohm"]

SENDERS: dict[str, tuple[float, float]] = {
    "240-33 ohm": (240.0, 33.0),
    "10-180 ohm": (10.0, 180.0),
}
"""Resistance of a sender when empty and when full. [ohm]

The two schemes of the trade, American and European; from memory.
"""

NEEDLE: Scale = (
    Look(0.75, "lies at rest"),
    Look(0.95, "points below empty"),
    Look(1.12, "points at empty"),
    Look(1.38, "points at a quarter"),
    Look(1.62, "points at half", 1),
    Look(1.88, "points at three quarters", 1),
    Look(2.1, "points at full", 2),
    Look(float("inf"), "points beyond full", 2),
)
"""One more than the share of full that the needle points at, up to which each word holds."""

_STOPS = 0.85, 2.2  # the needle's pins, on that scale
_AWAKE = 4.0  # below this a gauge has not the strength to move [V]; common practice, no source


class Gauge(Part):
    """Gauge of two crossed coils: the needle goes by the sender's resistance, not by the voltage.

    Terminal I is fed, S goes to the sender, G to the negative. Its coil I-S is in series with the
    sender; from the voltages across both coils follows what it takes the sender to be. With an
    American sender (240 to 33 ohm) a broken sender wire points below empty and one that touches
    the negative beyond full; with a European one (10 to 180 ohm) the other way about.
    """

    kind: ClassVar[str] = "gauge"
    letters: ClassVar[str] = "P"
    terminals: ClassVar[tuple[str, ...]] = ("I", "S", "G")
    traits: ClassVar[Trait] = Trait.LOAD | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 100.0  # of each coil; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="corroded at its stud S", weight=1.0),
        OPEN_MODE._replace(says="burnt out", weight=0.5),
    )
    signs: ClassVar[tuple[Scale, ...]] = (NEEDLE,)
    sender: Scheme = "240-33 ohm"

    @property
    def rating(self) -> str:
        return self.sender

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("I", "S"), ("I", "G"))

    def uses(self) -> tuple[tuple[str, str], ...]:
        return self.ways()

    def sign(self, now: Now) -> tuple[Value, Value]:
        empty, full = SENDERS[self.sender]
        xp, (sent, fed) = now.xp, (now.across.get(way, 0.0) for way in ("I-S", "I-G"))
        awake = abs(fed) > _AWAKE
        ohms = self.own_resistance * (fed - sent) / xp.maximum(abs(sent), 1e-6)
        size = 1.0 + (empty - ohms) / (empty - full)
        low, high = _STOPS
        return 0, xp.where(awake, xp.minimum(xp.maximum(size, low), high), 0.0)

    def model(self, state: PartState) -> Model:
        coil, feed = Linear.resistor(self.series(state)), Linear.resistor(self.own_resistance)
        branches = (Branch("I-S", "I", "S", coil), Branch("I-G", "I", "G", feed))
        dead = self.opened(state)
        return Model((*(() if dead else branches), *extras(self, state)))


class Sender(Contact):
    """Level sender: a resistance that follows a float; a hand that reaches it may lift the arm."""

    kind: ClassVar[str] = "sender"
    scatter: ClassVar[Scatter] = Scatter()
    letters: ClassVar[str] = "BR"
    traits: ClassVar[Trait] = Trait.IN_PLACE
    choices: ClassVar[tuple[str, ...]] = ("full", "half", "empty")
    default_resistance: ClassVar[float] = 1.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="its wiper lifted off"),
        Mode("sunk", "float sunk", "its float sunk", 1.5, family="sender"),
        SHORT_MODE._replace(weight=0.5),
        RESISTANCE_MODE._replace(
            says="corroded at its stud", weight=2.0, amounts=("30 ohm", "100 ohm", "300 ohm")
        ),
    )
    ohms: Scheme = Field("240-33 ohm", description="empty and full")
    position: str = "half"

    @property
    def rating(self) -> str:
        return self.ohms

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        return self.ways()

    def path(self, state: PartState, law: Law) -> tuple[Branch, ...]:
        return Part.path(self, state, law)

    def series(self, state: PartState) -> Value:
        empty, full = SENDERS[self.ohms]
        position = "empty" if state.has("sunk") else state.position or self.position
        share = {"empty": 0.0, "half": 0.5, "full": 1.0}[position]
        return empty + (full - empty) * share + self.added(state)
