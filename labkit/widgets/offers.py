"""The acts a bench offers, and what can be chosen for each, however it is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labkit.aboard.act import Sort
from labkit.aboard.acts import ACTS
from labkit.aboard.asking import ANOTHER
from labkit.aboard.bench import Bench
from labkit.aboard.handling import isolates
from labkit.aboard.load_testing import is_lead
from labkit.circuits.circuit import Circuit, visible_parts
from labkit.parts import Part, Trait
from labkit.questions.fields import Option, named
from labkit.widgets.places import Place, terminals

Act = tuple[str, dict[str, str]]
"""An act by its name, and with what."""

WAITS = ("1 min", "5 min", "10 min", "30 min", "2 h")
"""How long one may wait, on a form."""

FUSES = tuple(f"{rating:g} A" for rating in (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 60))
"""Ratings in the fuse box. Common practice, no source."""

_BROUGHT = ("a battery brought along", ANOTHER)
_AWAY = ("away from all wires", "")


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
    minutes: float = 0.0
    """What it takes, the way to it apart. [min]"""


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
    there = _choices(bench, seen, places)
    offered = [
        Offer(
            act.name,
            act.label,
            tuple(Field(need.name, need.label, there[need.sort]) for need in act.needs),
            act.minutes,
        )
        for act in ACTS.values()
        if act.label
    ]
    return [offer for offer in offered if all(field.options for field in offer.fields)]


def _choices(bench: Bench, seen: Circuit, places: list[Place]) -> dict[Sort, tuple[Option, ...]]:
    """What there is of each sort of thing that an act may need."""
    parts = visible_parts(seen, bench.traced)
    ends = [t for t in terminals(seen, bench.traced) if t not in seen.parted]
    fuses = [part for part in parts if Trait.PROTECTION in part.traits]
    pulled = [part for part in fuses if part.id in bench.pulled]
    return {
        "part": _parts(parts),
        "load": _parts(part for part in parts if part.seen),
        "protection": _parts(part for part in fuses if part not in pulled),
        "gap": _parts(pulled or fuses),
        "terminal": _same(ends),
        "parted": _same(sorted(seen.parted)),
        "point": tuple((p.label, p.key) for p in places),
        "run": tuple((f"{run.name}, {run.start} to {run.end}", run.name) for run in seen.runs),
        "bridge": _same(b.id for b in seen.bridges),
        "source": (*_parts(part for part in parts if Trait.SOURCE in part.traits), _BROUGHT),
        "battery": _parts(part for part in parts if is_lead(part)),
        "isolator": _parts(part for part in parts if isolates(part)),
        "jaw": (_AWAY, *_jaws(places, seen)) if seen.clamp_drift else (),
        "time": _same(WAITS),
        "motion": (("where she lies", ""), ("at sea", "at sea")),
        "rating": (("of its own rating", ""), *((size, size) for size in FUSES)),
    }


def operating(bench: Bench, seen: Circuit, id: str) -> Act:
    """Say what operating a part, or what is clipped on, would be."""
    if id in [bridge.id for bridge in seen.bridges]:
        return "lift", {"what": id}
    part = seen.part(id)
    if Trait.PROTECTION in part.traits:
        return ("fit" if id in bench.pulled else "pull"), {"id": id}
    if part.seen:
        return "look", {"id": id}
    words = part.settings()
    there = words.index(seen.positions[id]) if words and id in seen.positions else -1
    return "switch", {"id": id, "to": words[(there + 1) % len(words)] if words else ""}


def _parts(parts: Iterable[Part]) -> tuple[Option, ...]:
    return tuple((named(part), part.id) for part in parts)


def _jaws(places: Iterable[Place], seen: Circuit) -> tuple[Option, ...]:
    """Where the clamp goes round one wire: at a part's terminal, not at a stud or in the sea."""
    return tuple((p.label, p.key) for p in places if p.key.partition(":")[0] in seen.parts)


def _same(words: Iterable[str]) -> tuple[Option, ...]:
    return tuple((word, word) for word in words)
