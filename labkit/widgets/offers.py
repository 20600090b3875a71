"""The acts a bench offers, and what can be chosen for each, however it is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, visible_parts
from labkit.measuring.senses import LOADS
from labkit.parts import Part
from labkit.questions.fields import Option, named, positions_of
from labkit.widgets.places import Place, terminals

Act = tuple[str, dict[str, str]]
"""An act by its name, and with what."""

FUSES = tuple(f"{rating:g} A" for rating in (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 60))
"""Ratings in the fuse box. Common practice, no source."""


@dataclass(frozen=True)
class Field:
    """One thing to choose before an act: its name to the bench, its label, what there is."""

    name: str
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True)
class Offer:
    """An act on offer."""

    action: str
    label: str
    fields: tuple[Field, ...]


def offers(bench: Bench, seen: Circuit, places: list[Place]) -> list[Offer]:
    """List what can be done at a bench, reading and moving switches apart.

    Parameters
    ----------
    bench : Bench
    seen : Circuit
        As drawn, without its faults.
    places : list of Place
        Where a lead can be put.
    """
    parts = visible_parts(seen, bench.traced)
    ends = [t for t in terminals(seen, bench.traced) if t not in seen.parted]
    fuses = [part for part in parts if part.kind in ("fuse", "breaker")]
    pulled = [part for part in fuses if part.id in bench.pulled]
    loads = _parts(part for part in parts if part.kind in LOADS)
    points = tuple((p.label, p.key) for p in places)
    two = (Field("first", "from", points), Field("second", "to", points))
    ratings = (("of its own rating", ""), *((size, size) for size in FUSES))
    runs = tuple((f"{run.name}, {run.start} to {run.end}", run.name) for run in seen.runs)
    offered = [
        Offer("look", "Look and listen", (Field("id", "at", loads),)),
        Offer("pull", "Pull and look at", (Field("id", "the fuse", _parts(
            part for part in fuses if part not in pulled)),)),
        Offer("fit", "Fit or reset", (
            Field("id", "the fuse", _parts(pulled or fuses)),
            Field("rating", "with one", ratings))),
        Offer("part", "Take a connection apart", (Field("terminal", "at", _same(ends)),)),
        Offer("join", "Join again", (
            Field("terminal", "at", _same(sorted(seen.parted))),)),
        Offer("jumper", "Put the fused jumper", two),
        Offer("test lamp", "Put the test lamp", two),
        Offer("lift", "Take away", (
            Field("what", "the", _same(b.id for b in seen.bridges)),)),
        Offer("wiggle", "Wiggle", (
            Field("id", "the part", _parts(parts)), Field("look_at", "while watching", loads))),
        Offer("trace", "Follow by eye and hand", (Field("run", "the run", runs),)),
        Offer("repair", "Mend or replace", (Field("id", "the part", _parts(parts)),)),
    ]  # fmt: skip
    return [offer for offer in offered if all(field.options for field in offer.fields)]


def operating(bench: Bench, seen: Circuit, id: str) -> Act:
    """Say what operating a part, or what is clipped on, would be."""
    if id in [bridge.id for bridge in seen.bridges]:
        return "lift", {"what": id}
    part = seen.part(id)
    if part.kind in ("fuse", "breaker"):
        return ("fit" if id in bench.pulled else "pull"), {"id": id}
    if part.kind in LOADS:
        return "look", {"id": id}
    words = positions_of(part)
    there = words.index(seen.positions[id]) if id in seen.positions else -1
    return "switch", {"id": id, "to": words[(there + 1) % len(words)] if words else ""}


def _parts(parts: Iterable[Part]) -> tuple[Option, ...]:
    return tuple((named(part), part.id) for part in parts)


def _same(words: Iterable[str]) -> tuple[Option, ...]:
    return tuple((word, word) for word in words)
