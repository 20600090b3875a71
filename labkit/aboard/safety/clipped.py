"""Jumper and test lamp where they do not belong: across fuses and guards, at electronics."""

from __future__ import annotations

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.measuring.meter import Hazard
from labkit.measuring.solid import Solid
from labkit.parts import Electronics, Switch, ThermalSwitch, Trait


def bypass(circuit: Circuit, first: str, second: str) -> list[Hazard]:
    """Name the danger of a jumper across a fuse: nothing protects the wire behind it."""
    ends = {circuit.node_of[circuit.point(p)] for p in (first, second)}
    for part in circuit.parts.values():
        if Trait.PROTECTION in part.traits and ends == {
            circuit.node_of[f"{part.id}:{t}"] for t in part.terminals
        }:
            text = (
                f"The jumper bridges {part.id}: only the jumper's own fuse now protects the wire "
                "behind it. Find out why the fuse opened before anything is bridged."
            )
            return [Hazard("fuse bypassed", text)]
    return []


def interlock(circuit: Circuit, first: str, second: str) -> list[Hazard]:
    """Name the danger of a jumper past a switch that keeps people from harm.

    Whatever lies between jumper and guard, the guard is bridged where wires, contacts and fuses
    alone lead from one to the other.
    """
    for part in circuit.parts.values():
        if not isinstance(part, Switch | ThermalSwitch) or not part.guard:
            continue
        solid = Solid(circuit, without=(part.id,))
        ends = [f"{part.id}:{t}" for t in part.terminals[:2]]
        across = solid.pair(*ends)
        if len(across) == 2 and solid.pair(first, second) == across:
            text = (
                f"The jumper bridges {part.id} ({part.label or part.kind}), which is there to keep "
                "people from harm: what it holds back can now start by itself. Read the volts "
                "across it instead; if it must be bridged, chock and warn first, and take the "
                "jumper off at once."
            )
            return [Hazard("interlock bridged", text)]
    return []


def jumper_blew(rating: float) -> Hazard:
    """Say that the jumper's fuse blew."""
    text = (
        f"The jumper's {rating:g} A fuse blew: it was put across a supply, or across a load. "
        "Without a fuse it would have glowed."
    )
    return Hazard("jumper short", text)


def lamp_on_electronics(circuit: Circuit, first: str, second: str) -> list[Hazard]:
    """Name the danger of a test lamp on the terminals of electronics."""
    on = {circuit.node_of[p] for p in (first, second)}
    for part in circuit.parts.values():
        if not isinstance(part, Electronics):
            continue
        ends = {circuit.node_of[f"{part.id}:{t}"] for t in part.terminals}
        own = {node for node in ends if node != NEGATIVE and not _bus(circuit, node)}
        if on == ends or on & own:
            text = (
                f"The test lamp is on {part.id} ({part.label or part.kind}): it draws more than a "
                "small output can give, and its spark can kill what is inside. Use the voltmeter "
                "at electronics."
            )
            return [Hazard("lamp on electronics", text)]
    return []


def _bus(circuit: Circuit, node: str) -> bool:
    """Tell whether a node serves more than one circuit: a stud or a bar, where a lamp may hang."""
    return sum(run.start == node or run.end == node for run in circuit.runs) > 3
