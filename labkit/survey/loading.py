"""What each load asks of the wires that lead to it: its way, its current, what is lost on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import Cable, Electronics, MotorLoad, Part
from labkit.parts.traits import Trait
from labkit.survey.standards import CRITICAL_DROP, OTHER_DROP
from labkit.survey.walk import Wiring, area_now

_CRITICAL = (
    "navigation", "anchor light", "bow light", "stern light", "steaming light", "masthead light",
    "running light", "bilge", "blower", "radio", "horn",
)  # fmt: skip  # rows that a reader compares
"""Words in a load's label that put it among the 3 % circuits; electronics always are.

ABYC E-11 names navigation lights, bilge blowers and electronics; ISO 13297 adds bilge pumps and
what else is vital to safety (second hand), which a horn and a radio are.
"""


@dataclass(frozen=True)
class Feed:
    """A load and the way its current takes.

    Attributes
    ----------
    load : Part
    amps : float
        Rated current. [A]
    source : str
        Id of the source it is nearest to.
    out, back : tuple of Part
        Parts met on the way from the source, and on the way to DC-.
    """

    load: Part
    amps: float
    source: str
    out: tuple[Part, ...]
    back: tuple[Part, ...]

    @cached_property
    def protection(self) -> Part | None:
        """The last fuse or breaker before the load."""
        return next((p for p in reversed(self.out) if Trait.PROTECTION in p.traits), None)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Everything on its way, out and back."""
        return (*self.out, *self.back)

    @property
    def metres(self) -> float:
        """Length of wire out and back. [m]"""
        return sum(p.length or 0.0 for p in self.parts if isinstance(p, Cable))

    @property
    def ohms(self) -> float:
        """Resistance of everything on its way. [ohm]"""
        return sum(p.own_resistance for p in self.parts)

    @property
    def allowed_drop(self) -> float:
        """Share of the system voltage that may be lost on its way."""
        critical = isinstance(self.load, Electronics) or any(
            word in self.load.label.lower() for word in _CRITICAL
        )
        return CRITICAL_DROP if critical else OTHER_DROP


class Loading:
    """Every load's way, and what each wire carries with all that hang on one fuse running."""

    def __init__(self, wiring: Wiring) -> None:
        self.circuit = wiring.circuit
        self.feeds = tuple(_feeds(wiring))
        self._amps: dict[tuple[str, str], float] = {}
        for feed in self.feeds:
            for id in {part.id for part in feed.parts}:
                key = _guard(feed), id
                self._amps[key] = self._amps.get(key, 0.0) + feed.amps

    def amps(self, part: str, feed: Feed) -> float:
        """Current through a part on this load's way, its neighbours on the same fuse included."""
        return self._amps.get((_guard(feed), part), 0.0)

    def drop(self, feed: Feed) -> float:
        """Share of the system voltage lost on this load's way, neighbours running too."""
        lost = sum(self._fitted(p) * self.amps(p.id, feed) for p in feed.parts)
        return lost / self.circuit.system

    def _fitted(self, part: Part) -> float:
        """Resistance of a part as it is fitted, a thinner piece of wire counted. [ohm]"""
        drawn = part.area if isinstance(part, Cable) else None
        now = area_now(self.circuit, part.id)
        return part.own_resistance * (drawn / now if drawn and now else 1.0)

    def busiest(self) -> dict[str, float]:
        """Cable to the greatest current that the loads of one fuse draw through it. [A]"""
        found: dict[str, float] = {}
        for feed in self.feeds:
            for part in feed.parts:
                if isinstance(part, Cable):
                    found[part.id] = max(found.get(part.id, 0.0), self.amps(part.id, feed))
        return found


def _guard(feed: Feed) -> str:
    return feed.protection.id if feed.protection else ""


def cranks(part: Part) -> bool:
    """Tell whether a part is an engine's starter, which the wire rules leave out."""
    words = part.label.lower()
    return getattr(part, "load", "") == "crank" or (
        isinstance(part, MotorLoad) and "starter" in words
    )


def _feeds(wiring: Wiring) -> Iterator[Feed]:
    circuit: Circuit = wiring.circuit
    sources = wiring.sources
    for load in circuit.parts.values():
        amps = load.draws(circuit.system)
        if not amps:
            continue
        first, second = (f"{load.id}:{t}" for t in load.terminals[:2])
        for plus, minus in ((first, second), (second, first)):
            back = wiring.way(minus, NEGATIVE)
            ways = ((s, wiring.way(f"{s}:+", plus)) for s in sources)
            found = next(((s, out) for s, out in ways if out is not None), None)
            if back is not None and found is not None:
                yield Feed(load, amps, found[0], found[1], back)
                break
