"""What happened, and when: events in sentences, and series of volts, amps, degrees and charge."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, NamedTuple

from labkit.circuits.circuit import Circuit

MOST_POINTS = 2000
"""Points a series is thinned to."""

_MOST_LEFT = 50  # points left out in a row
_STRAIGHT = 0.005  # of a series' range, within which a straight line may pass a point left out


@dataclass(frozen=True)
class Event:
    """Something that changed: when [s], of which part, what it became, and a sentence."""

    seconds: float
    part: str
    state: str
    text: str

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "seconds": round(self.seconds, 6),
            "part": self.part,
            "state": self.state,
            "text": self.text,
        }


class Moment(NamedTuple):
    """Everything recorded of one instant; None where there is no number."""

    seconds: float
    volts: tuple[float | None, ...]
    amps: tuple[float | None, ...]
    celsius: tuple[float | None, ...]
    charge: tuple[float | None, ...]
    litres: float | None

    @property
    def numbers(self) -> tuple[float | None, ...]:
        """All its values in one row."""
        return (*self.volts, *self.amps, *self.celsius, *self.charge, self.litres)


class Wanted(NamedTuple):
    """What is recorded: terminals or nodes for volts, parts for the rest."""

    volts: tuple[str, ...]
    amps: tuple[str, ...]
    celsius: tuple[str, ...]
    charge: tuple[str, ...]


def wanted(
    circuit: Circuit, show: Collection[str], warm: Collection[str], charged: Collection[str]
) -> Wanted:
    """Sort what somebody asked to see; everything where nothing is named.

    Raises
    ------
    CircuitError
        If there is no such terminal, node or part.
    """
    points = tuple(dict.fromkeys(circuit.point(s) for s in show if s not in circuit.parts))
    parts = tuple(dict.fromkeys(s for s in show if s in circuit.parts))
    if not show:
        points, parts = tuple(circuit.node_of), tuple(circuit.parts)
    return Wanted(
        points, parts, tuple(p for p in parts if p in warm), tuple(p for p in parts if p in charged)
    )


@dataclass
class Chronicle:
    """Events and series of a course."""

    wanted: Wanted
    events: list[Event] = field(default_factory=list)
    moments: list[Moment] = field(default_factory=list)

    def say(self, seconds: float, part: str, state: str, text: str) -> None:
        """Note an event."""
        self.events.append(Event(seconds, part, state, text))

    def as_json(self) -> dict[str, Any]:
        """Return events and series as plain data, series thinned to MOST_POINTS."""
        kept = thinned(self.moments)
        found: dict[str, Any] = {
            "events": [e.as_json() for e in sorted(self.events, key=lambda e: e.seconds)],
            "seconds": [round(m.seconds, 6) for m in kept],
        }
        for name in Wanted._fields:
            found[name] = {
                key: [getattr(m, name)[place] for m in kept]
                for place, key in enumerate(getattr(self.wanted, name))
            }
        if any(m.litres is not None for m in kept):
            found["litres"] = [m.litres for m in kept]
        return found

    def series(self, kind: str, name: str) -> tuple[list[float], list[float | None]]:
        """Instants [s] and values of one thing: kind 'volts', 'amps', 'celsius' or 'charge'."""
        place = getattr(self.wanted, kind).index(name)
        return [m.seconds for m in self.moments], [getattr(m, kind)[place] for m in self.moments]


def thinned(moments: Sequence[Moment], most: int = MOST_POINTS) -> list[Moment]:
    """Leave out moments that a straight line between their neighbours passes closely.

    Both moments of an instant (before and after an event) stay, and so do the first and last.
    """
    kept, share = list(moments), _STRAIGHT
    rows = [m.numbers for m in moments]
    ranges = [_range(column) for column in zip(*rows, strict=True)] if rows else []
    while len(kept) > most:
        kept = _passed(kept, [share * r for r in ranges])
        share *= 1.5
        if share > 1.0:  # nothing but jumps is left
            return kept
    return kept


def _range(column: Iterable[float | None]) -> float:
    values = [v for v in column if v is not None]
    return max(values) - min(values) if values else 0.0


def _passed(moments: list[Moment], slack: list[float]) -> list[Moment]:
    """One pass: leave out every moment that lies on the line from the last kept to the next."""
    kept, left = [moments[0]], list[Moment]()
    for here, after in pairwise(moments[1:]):
        before = kept[-1]
        left.append(here)
        jump = here.seconds in (before.seconds, after.seconds)
        if (
            jump
            or len(left) > _MOST_LEFT
            or not all(_on_line(before, m, after, slack) for m in left)
        ):
            kept.append(here)
            left.clear()
    return [*kept, moments[-1]] if len(moments) > 1 else kept


def _on_line(before: Moment, here: Moment, after: Moment, slack: list[float]) -> bool:
    share = (here.seconds - before.seconds) / (after.seconds - before.seconds)
    for a, b, c, most in zip(before.numbers, here.numbers, after.numbers, slack, strict=True):
        if a is None or b is None or c is None:
            if (a, b, c) != (None, None, None):
                return False
        elif abs(a + share * (c - a) - b) > most:
            return False
    return True


def extremes(values: Iterable[float | None]) -> tuple[float, float] | None:
    """Least and greatest of a series, as a meter's min/max record keeps them; None for nothing."""
    found = [v for v in values if v is not None]
    return (min(found), max(found)) if found else None
