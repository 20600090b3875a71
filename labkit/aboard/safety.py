"""What is dangerous in what was just done, in a calm sentence each."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard
from labkit.parts import Cable, Trait
from labkit.parts.conductors import ampacity_of_area
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.quantities import show

_ARC = 1.0  # parting a connection that carries more than this draws an arc [A]; common practice


def parting(circuit: Circuit, terminal: str) -> list[Hazard]:
    """Name the danger of taking a connection apart: an arc where it carries current."""
    amps = solve(circuit).at_terminal(circuit.point(terminal)) if ":" in terminal else None
    if amps is None or abs(amps) < _ARC:
        return []
    text = (
        f"The connection at {terminal} carried {show(abs(amps), 'A', 2)} when it was taken apart. "
        "That draws an arc, which burns the contact and lights fuel vapour or battery gas: "
        "switch off first."
    )
    return [Hazard("parted under load", text)]


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


def jumper_blew(rating: float) -> Hazard:
    """Say that the jumper's fuse blew."""
    text = (
        f"The jumper's {rating:g} A fuse blew: it was put across a supply, or across a load. "
        "Without a fuse it would have glowed."
    )
    return Hazard("jumper short", text)


def fuses(circuit: Circuit, opened: tuple[str, ...]) -> list[Hazard]:
    """Name fuses that opened."""
    return [
        Hazard(
            "fuse opened",
            f"{id} opened: more than it is rated for flowed. A fuse is seldom the fault; "
            "look for what took the current before another is fitted.",
        )
        for id in opened
    ]


def fuse_size(circuit: Circuit, id: str) -> list[Hazard]:
    """Name the danger of a fuse too big for the thinnest wire of its run.

    References
    ----------
    33 CFR 183.455(c)(1): at most 150 % of the conductor's ampacity below 50 V.
    """
    fitted = circuit.state_of(id).amount("wrong fuse")
    for run in circuit.runs:
        if id not in [step.part for step in run.passes]:
            continue
        parts = [circuit.parts[step.part] for step in run.passes]
        areas = [part.area for part in parts if isinstance(part, Cable) and part.area]
        most = 1.5 * ampacity_of_area(min(areas)) if areas else 0.0
        if most and fitted > most:
            text = (
                f"A {show(fitted, 'A')} fuse is too big for the thinnest wire behind {id}, which "
                f"allows {show(most, 'A')} at most (33 CFR 183.455): in a short the wire burns."
            )
            return [Hazard("fuse too big", text)]
    return []


def hot_wires(circuit: Circuit, point: OperatingPoint) -> list[Hazard]:
    """Name wires that carry more than 150 % of what 33 CFR 183.425 allows, with nothing opening."""
    found = []
    for id, part in circuit.parts.items():
        amps = point.amps.get(id)
        if not isinstance(part, Cable) or part.area is None or amps is None:
            continue
        allowed = ampacity_of_area(part.area)
        if allowed and abs(amps) > 1.5 * allowed:
            text = (
                f"{id} carries {show(abs(amps), 'A', 2)} and may carry {allowed} A: it heats until "
                "its insulation burns. Switch off."
            )
            found.append(Hazard("hot wire", text))
    return found
