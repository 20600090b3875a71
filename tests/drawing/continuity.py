"""Reads a drawing as an eye does: follows the ink, and tells what it joins."""

from __future__ import annotations

from collections.abc import Iterator

from labkit.circuits.circuit import Circuit
from labkit.drawing import Drawing
from labkit.drawing.geometry import Point, Wire

NEAR = 0.05


def touches(wire: Wire, point: Point) -> bool:
    box = wire.box
    return (
        box.left - NEAR <= point.x <= box.right + NEAR
        and box.top - NEAR <= point.y <= box.bottom + NEAR
    )


def joined(wires: list[Wire]) -> list[list[Wire]]:
    """Group wires that meet at an end of one of them."""
    groups: list[list[Wire]] = []
    for wire in wires:
        meets = [
            group
            for group in groups
            if any(
                touches(other, end) or touches(wire, far)
                for other in group
                for end in (wire.start, wire.end)
                for far in (other.start, other.end)
            )
        ]
        merged = [wire, *(w for group in meets for w in group)]
        groups = [group for group in groups if group not in meets] + [merged]
    return groups


def leads(drawing: Drawing) -> Iterator[tuple[str, Point]]:
    """Every terminal drawn, and where its symbol ends."""
    for placed in drawing.placement.parts:
        step = placed.step
        yield f"{step.id}:{step.enter}", placed.first
        yield f"{step.id}:{step.leave}", placed.second


def ink_joins(drawing: Drawing) -> dict[str, int]:
    """The piece of ink each terminal's lead belongs to, by a number for each piece."""
    groups = joined(drawing.placement.sheet.wires)
    found: dict[str, int] = {}
    for terminal, point in leads(drawing):
        for n, group in enumerate(groups):
            if any(touches(wire, point) for wire in group):
                found[terminal] = n
    return found


def circuit_joins(circuit: Circuit, traced: set[str]) -> dict[str, str]:
    """The node each terminal belongs to, hidden parts that nobody traced being mere wire."""
    at = {member: j.label for j in circuit.junctions for member in j.members}
    for run in circuit.runs:
        for step in run.passes:
            if circuit.parts[step.part].hidden and run.name not in traced:
                one, other = at[step.first], at[step.second]
                at = {member: one if label == other else label for member, label in at.items()}
    return {m: f"{m} apart" if m in circuit.parted else label for m, label in at.items()}
