"""What a person at a bench can touch: test points, terminals, parts, as drawn and no more."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import NamedTuple

from labkit.circuits.circuit import Circuit, visible_parts
from labkit.drawing import Drawing
from labkit.drawing.drawing import Spot
from labkit.drawing.topology import trace


@dataclass(frozen=True)
class Place:
    """Somewhere to put a lead. `key` names it to the bench; `x`, `y` are on the drawing. [px]"""

    key: str
    number: str
    terminals: tuple[str, ...]
    words: str
    x: float
    y: float

    @property
    def label(self) -> str:
        """Number, terminals and where it is: '9: X1:2, M1:1 (splice; pump)'."""
        where = f" ({self.words})" if self.words else ""
        return f"{self.number}: {', '.join(self.terminals)}{where}"


class Undrawn(NamedTuple):
    """All test points and terminals of a boat that is drawn sheet by sheet, without a place."""

    test_points: tuple[Spot, ...]
    terminals: dict[str, tuple[float, float]]


def undrawn(circuit: Circuit, traced: Collection[str]) -> Undrawn:
    """List what could be drawn of a whole boat, in the order of the numbers."""
    topology = trace(circuit, traced)
    spots = [
        Spot(number, topology.shown(node), 0, 0, topology.members.get(node, ()))
        for node, number in topology.numbers.items()
    ]
    ends = {terminal: (0.0, 0.0) for spot in spots for terminal in spot.terminals}
    return Undrawn(tuple(sorted(spots, key=lambda spot: spot.number)), ends)


def places(circuit: Circuit, traced: Collection[str], drawing: Drawing | Undrawn) -> list[Place]:
    """List where a lead can be put, a connection taken apart giving a place on either side."""
    found = []
    shown = {part.id for part in visible_parts(circuit, traced)}
    for spot in drawing.test_points:
        drawn = [t for t in spot.terminals if ":" not in t or t.split(":")[0] in shown]
        together = tuple(t for t in drawn if t not in circuit.parted)
        number = str(spot.number)
        if together or ":" not in spot.node:
            key = spot.node if ":" not in spot.node else together[0]
            words = _words(circuit, spot.node, together)
            found.append(Place(key, number, together or (key,), words, spot.x, spot.y))
        for terminal in drawn:
            if terminal in circuit.parted and terminal in drawing.terminals:
                x, y = drawing.terminals[terminal]
                found.append(Place(terminal, f"{number}'", (terminal,), "taken apart", x, y))
    return found


def terminal_places(
    circuit: Circuit, traced: Collection[str], drawing: Drawing | Undrawn
) -> list[Place]:
    """List every terminal, where its lead ends: for the clamp, and to take apart."""
    numbers = {t: str(spot.number) for spot in drawing.test_points for t in spot.terminals}
    found = []
    for terminal in terminals(circuit, traced):
        if terminal in drawing.terminals and terminal in numbers:
            part = circuit.parts[terminal.split(":")[0]]
            words, (x, y) = part.label or part.kind, drawing.terminals[terminal]
            number = numbers[terminal] + "'" * (terminal in circuit.parted)
            found.append(Place(terminal, number, (terminal,), words, x, y))
    return found


def _words(circuit: Circuit, node: str, terminals: tuple[str, ...]) -> str:
    if ":" not in node:
        return node
    labels = [circuit.parts[t.split(":")[0]].label for t in terminals]
    return "; ".join(label for label in labels if label)


def terminals(circuit: Circuit, traced: Collection[str]) -> list[str]:
    """Terminals of the parts that are drawn, in tracing order."""
    shown = visible_parts(circuit, traced)
    made = [f"{part.id}:{name}" for part in shown for name in part.terminals]
    return [terminal for terminal in made if terminal in circuit.node_of]
